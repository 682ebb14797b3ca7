"""What a GROUP on the command line stands for: a file, a folder or a glob, with or without a name."""

from __future__ import annotations

import glob
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from fairpull.terms.errors import Fault, ReadRefused

NOT_LOGS = {".toml", ".md", ".html", ".png", ".svg", ".pdf", ".py", ".jpg", ".jpeg"}


@dataclass(frozen=True, slots=True)
class FileGroup:
    """A build's name and the log files of its pulls, sorted by name."""

    name: str
    files: tuple[Path, ...]


def expand(groups: Sequence[str]) -> tuple[FileGroup, ...]:
    """Turn GROUP words into files.

    Args:
        groups: each a file, a folder (its log files, not its sub-folders) or a glob, optionally ``NAME=`` before it.

    Returns:
        One group a word, in order.

    Raises:
        ReadRefused: no group, nothing there, or two groups of one name; all faults at once.
    """
    faults: list[Fault] = []
    result: list[FileGroup] = []
    if not groups:
        raise ReadRefused(Fault("no-such-log", "groups", "none given", "name the reference and another build"))
    for word in groups:
        name, place = _name(word)
        files = _files(place)
        if not files:
            remedy = "name a log file, a folder that holds some, or a pattern in quotes"
            faults.append(Fault("no-such-log", place, "no log file there", remedy))
        result.append(FileGroup(name, files))
    names = [group.name for group in result]
    faults += [
        Fault("same-group-name", name, "two groups have this name", "give one of them a name: NAME=GROUP")
        for name in sorted({name for name in names if names.count(name) > 1})
    ]
    if faults:
        raise ReadRefused(faults)
    return tuple(result)


def _name(word: str) -> tuple[str, str]:
    given, mark, place = word.partition("=")
    if mark and given.strip() and not Path(word).exists():
        return given.strip(), place.strip()
    path = Path(word)
    if path.is_dir():
        return path.resolve().name or word, word
    stem = path.stem if path.suffix else path.name
    return (stem.replace("*", "").strip("-_. ") or path.parent.resolve().name or word), word


def _files(place: str) -> tuple[Path, ...]:
    path = Path(place).expanduser()  # the shell leaves ~ alone after NAME=
    if not place:
        return ()
    if path.is_dir():
        found = [item for item in path.iterdir() if item.is_file()]
    elif path.exists():
        return (path,)
    else:
        found = [item for name in glob.glob(str(path), recursive=True) if (item := Path(name)).is_file()]
    return tuple(sorted(item for item in found if item.suffix.lower() not in NOT_LOGS and item.name[0] != "."))
