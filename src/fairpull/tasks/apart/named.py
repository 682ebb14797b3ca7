"""The works by name."""

from __future__ import annotations

from fairpull.tasks.apart.telling import Work
from fairpull.tasks.apart.usual import no_such


def work_named(name: str) -> Work:
    """The function of a work; imported only when it is asked for.

    Args:
        name: one of ``usual.LIMITS``.

    Returns:
        The function.

    Raises:
        UnknownName: no work of this name.
    """
    if name == "look":
        from fairpull.tasks.apart.works.look import work
    elif name == "look_files":
        from fairpull.tasks.apart.works.look_files import work
    elif name == "keep":
        from fairpull.tasks.apart.works.keep import work
    elif name == "check":
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
