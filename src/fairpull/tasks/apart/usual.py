"""Every work that there is, and how much each may use."""

from __future__ import annotations

from fairpull.tasks.apart.limits import GIB, Limits
from fairpull.terms.errors import Fault, UnknownName

HOUR = 3600
LIMITS: dict[str, Limits] = {
    "look": Limits(cpu=300, wall=600.0),
    "look_files": Limits(cpu=240, wall=300.0),
    "keep": Limits(cpu=300, wall=600.0),
    "check": Limits(memory=4 * GIB, cpu=4 * HOUR, wall=4.0 * HOUR),
    "backup": Limits(cpu=2 * HOUR, wall=4.0 * HOUR, file=64 * GIB),
    "standard": Limits(memory=4 * GIB, cpu=2 * HOUR, wall=4.0 * HOUR),
    "demo": Limits(memory=4 * GIB, cpu=600, wall=900.0),
    "new_book": Limits(cpu=60, wall=120.0),
}
"""Every work that there is -> what it may use."""


def no_such(name: str) -> UnknownName:
    """The refusal of a work that there is not."""
    return UnknownName(Fault("no-such-work", "work", f"no work {name!r}", f"one of: {', '.join(LIMITS)}"))
