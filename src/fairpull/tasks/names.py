"""What pulls are called: each by a name of its own, and by every name a person may use for it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from fairpull.terms.findings import Finding, Severity
from fairpull.terms.pull import Pull
from fairpull.terms.recording import Recording


def with_own_names(pulls: Sequence[tuple[str, Pull]]) -> list[Pull]:
    """Pulls named uniquely: the group's name before a name that stands twice, then the file's ending, then a number.

    Args:
        pulls: (group name, pull), in order.

    Returns:
        The pulls, in order.
    """
    names = [pull.name for _, pull in pulls]
    names = _tell_apart(names, [f"{group}/{pull.name}" for group, pull in pulls])
    endings = [Path(pull.origin.path).suffix for _, pull in pulls]
    names = _tell_apart(names, [f"{name}{ending}" for name, ending in zip(names, endings, strict=True)])
    names = _tell_apart(names, [f"{name} ({names[: i + 1].count(name)})" for i, name in enumerate(names)])
    return [
        pull if pull.name == name else replace(pull, name=name) for (_, pull), name in zip(pulls, names, strict=True)
    ]


def _tell_apart(names: Sequence[str], longer: Sequence[str]) -> list[str]:
    count = Counter(names)
    return [more if count[name] > 1 else name for name, more in zip(names, longer, strict=True)]


def called(group: str, pull: Pull) -> tuple[str, ...]:
    """All names that mean this pull, nearest first.

    Args:
        group: its group's name.
        pull: the pull.

    Returns:
        Its own name, its recording's name where the file held several, its file, its group.
    """
    path = Path(pull.origin.path)
    own = pull.name.removeprefix(f"{group}/")
    return tuple(dict.fromkeys((pull.name, own, own.rpartition("#")[0] or own, path.name, path.stem, group)))


def same_log_twice(recordings: Sequence[Recording]) -> tuple[Finding, ...]:
    """Logs that hold the same bytes: a copy is no repeat.

    Args:
        recordings: of all groups.

    Returns:
        A finding for each log that stands more than once.
    """
    times: dict[str, dict[str, int]] = {}
    for (digest, path, _), count in Counter((r.origin.sha256, r.origin.path, r.name) for r in recordings).items():
        paths = times.setdefault(digest, {})
        paths[path] = max(count, paths.get(path, 0))  # a table that is split with --by stands once
    return tuple(
        Finding(
            "same-log-twice",
            Severity.FAULT,
            ", ".join(paths),
            f"the same log counts {sum(paths.values())} times; a copy is no repeat and makes scatter look too small",
            "give each log once, to one build",
        )
        for paths in times.values()
        if sum(paths.values()) > 1
    )
