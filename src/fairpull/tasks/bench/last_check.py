"""What the last check of a book found, remembered in the book's folder until the next."""

from __future__ import annotations

import json
import time
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fairpull.tasks.bench.in_place import write_in_place
from fairpull.terms.bench import BookCheck
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.version import VERSION

FILE_NAME = "last-check.json"


@dataclass(frozen=True, slots=True)
class LastCheck:
    """A check that was made.

    Attributes:
        found: what it found.
        at: when it ended [s since 1970].
        version: code version that checked.
        whole: originals were read and results computed again too.
    """

    found: BookCheck
    at: float
    version: str
    whole: bool


FINDING = ("code", "severity", "where", "text", "remedy")


def remember(folder: Path, found: BookCheck, *, whole: bool, now: float | None = None) -> None:
    """Keep what a check found, in place of the one before.

    Args:
        folder: the book's.
        found: what was found.
        whole: whether originals were read and results computed again too.
        now: [s since 1970]; None takes the clock.

    Raises:
        BookRefused: the folder cannot be written.
    """
    findings = [[one.code, one.severity.value, one.where, one.text, one.remedy] for one in found.findings]
    said = {
        "at": time.time() if now is None else now,
        "version": VERSION,
        "whole": whole,
        "looked_at": dict(found.looked_at),
        "findings": findings,
    }
    # names in findings may hold signs that no encoding has; they become question marks
    write_in_place(folder / FILE_NAME, json.dumps(said, ensure_ascii=False, indent=1).encode("utf-8", "replace"))


def last_check(folder: Path) -> LastCheck | None:
    """The last check of a book.

    Args:
        folder: the book's.

    Returns:
        What it found; None where none was made, or its file is not what was written.
    """
    try:
        said = json.loads((folder / FILE_NAME).read_bytes())
        return _from_json(said)
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None


def _from_json(said: Mapping[str, Any]) -> LastCheck:
    findings = tuple(
        Finding(**{**dict(zip(FINDING, map(str, one), strict=True)), "severity": Severity(one[1])})  # type: ignore[arg-type]
        for one in said["findings"]
    )
    looked_at = {str(name): int(count) for name, count in said["looked_at"].items()}
    return LastCheck(BookCheck(findings, looked_at), float(said["at"]), str(said["version"]), bool(said["whole"]))
