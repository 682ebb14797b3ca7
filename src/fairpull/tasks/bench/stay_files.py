"""What lies in the folder of a stay: the files, what was typed about them, what was recognised, what was kept."""

from __future__ import annotations

import json
import os
import secrets
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from hashlib import sha256
from pathlib import Path
from typing import Any, TypeVar

from fairpull.terms.offered import Look, Typed

Record = TypeVar("Record")
STATE, LOOK, KEPT = "stay.json", "look.json", "kept.json"


@dataclass(frozen=True, slots=True)
class Stay:
    """Where handed-in files lie.

    Attributes:
        id: random.
        folder: private.
        book: folder of the book that they were handed in to.
    """

    id: str
    folder: Path
    book: Path

    @property
    def files(self) -> Path:
        """Folder of the files themselves."""
        return self.folder / "files"


@dataclass(frozen=True, slots=True)
class Handed:
    """One file: name under which it lies, what the person calls it, bytes."""

    name: str
    called: str
    size: int


@dataclass(frozen=True, slots=True)
class StayState:
    """What the page remembers of a stay.

    Attributes:
        typed: by the person, as typed.
        files: handed in.
        work: id of the work that was started last; "" for none.
    """

    typed: Typed
    files: tuple[Handed, ...]
    work: str = ""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What was kept of a stay: new pulls, and those that the same bytes gave before."""

    kept: tuple[str, ...] = ()
    already: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


def write_state(stay: Stay, state: StayState) -> None:
    """Remember what the page knows of a stay."""
    _write(stay.folder / STATE, state)


def read_state(stay: Stay) -> StayState:
    """What the page knows of a stay."""
    found = _read(stay.folder / STATE, StayState)
    assert found is not None
    return found


def write_look(folder: Path, look: Look) -> None:
    """Lay down what was recognised."""
    _write(folder / LOOK, look)


def read_look(stay: Stay) -> Look | None:
    """What was recognised; None before anybody looked."""
    return _read(stay.folder / LOOK, Look)


def looked_at(stay: Stay) -> str:
    """A mark of what was recognised last; "" before anybody looked. A form names it, so that it fits its columns."""
    try:
        return sha256((stay.folder / LOOK).read_bytes()).hexdigest()[:24]
    except FileNotFoundError:
        return ""


def write_outcome(folder: Path, outcome: Outcome) -> None:
    """Lay down what was kept."""
    _write(folder / KEPT, outcome)


def read_outcome(stay: Stay) -> Outcome | None:
    """What was kept; None while nothing was."""
    return _read(stay.folder / KEPT, Outcome)


def as_data(record: Any) -> Any:
    """A record as plain data for JSON."""
    return asdict(record)


def from_data(kind: type[Record], data: Any) -> Record:
    """A record from plain data, checked.

    Args:
        kind: its class.
        data: as ``as_data`` gave it, through JSON.

    Returns:
        The record.
    """
    from pydantic import TypeAdapter

    return TypeAdapter(kind).validate_python(data)


def _write(path: Path, record: Any) -> None:
    """Write whole or not at all; signs that no encoding has become question marks."""
    unfinished = path.with_name(f"{path.name}.{secrets.token_hex(4)}")
    text = json.dumps(as_data(record), ensure_ascii=False, allow_nan=False)
    unfinished.write_bytes(text.encode("utf-8", "replace"))
    os.replace(unfinished, path)


def _read(path: Path, kind: type[Record]) -> Record | None:
    try:
        text = path.read_bytes()
    except FileNotFoundError:
        return None
    return from_data(kind, json.loads(text))
