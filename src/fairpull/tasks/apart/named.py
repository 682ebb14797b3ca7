"""The works by name, and how much each may use."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from fairpull.tasks.apart.limits import GIB, Limits
from fairpull.terms.errors import Fault, UnknownName

Tell = Callable[[int, int, str], None]
"""Told where a work is: how much is done, of how much (0: not known), and what it does now in a few words."""
Work = Callable[[Mapping[str, Any], Tell], dict[str, Any]]
"""What was asked, as plain data, and whom to tell; gives the result as plain data (no NaN)."""

HOUR = 3600
LIMITS: dict[str, Limits] = {
    "look": Limits(),
    "keep": Limits(cpu=300, wall=600.0),
    "check": Limits(memory=4 * GIB, cpu=4 * HOUR, wall=4.0 * HOUR),
    "backup": Limits(cpu=2 * HOUR, wall=4.0 * HOUR, file=64 * GIB),
    "standard": Limits(memory=4 * GIB, cpu=2 * HOUR, wall=4.0 * HOUR),
    "demo": Limits(memory=4 * GIB, cpu=600, wall=900.0),
    "new_book": Limits(cpu=60, wall=120.0),
}
"""Every work that there is -> what it may use."""


def work_named(name: str) -> Work:
    """The function of a work; imported only when it is asked for.

    Args:
        name: one of ``LIMITS``.

    Returns:
        The function.

    Raises:
        UnknownName: no work of this name.
    """
    if name == "check":
        from fairpull.tasks.apart.works.check import work
    elif name == "backup":
        from fairpull.tasks.apart.works.backup import work
    elif name == "standard":
        from fairpull.tasks.apart.works.standard import work
    elif name == "demo":
        from fairpull.tasks.apart.works.demo import work
    elif name == "new_book":
        from fairpull.tasks.apart.works.new_book import work
    else:
        raise no_such(name)
    return work


def no_such(name: str) -> UnknownName:
    """The refusal of a work that there is not."""
    return UnknownName(Fault("no-such-work", "work", f"no work {name!r}", f"one of: {', '.join(LIMITS)}"))
