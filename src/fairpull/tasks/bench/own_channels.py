"""A person's own channel names: the book's ``channels.toml``, read, checked and written as a whole."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from fairpull.tasks.bench.in_place import write_in_place
from fairpull.terms import units
from fairpull.terms.errors import BookRefused, FairpullError, Fault, ValueRefused
from fairpull.terms.glossary import BY_NAME

FILE_NAME = "channels.toml"
LEAVE_ASIDE = "leave aside"
"""What a person writes as the channel of a column that is to be left alone."""
MOST_NAMES = 200
LONGEST = 200  # signs of a name, a channel or a unit
HEAD = "# Columns of your loggers, for every log of this book that has no channels.toml beside it.\n"


@dataclass(frozen=True, slots=True)
class OwnName:
    """One column of a logger.

    Attributes:
        column: its name, as the log writes it.
        channel: of the glossary, with its number where there are several; ``LEAVE_ASIDE`` for none.
        unit: that its values are in; "" where the log says it.
    """

    column: str
    channel: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class OwnNames:
    """All own names of a book.

    Attributes:
        rows: in the file's order.
        mark: of the file as it was read; "" where there is none. Who writes names the mark it read.
        broken: why the file cannot be read, where it cannot.
    """

    rows: tuple[OwnName, ...] = ()
    mark: str = ""
    broken: tuple[Fault, ...] = ()


def own_names(folder: Path) -> OwnNames:
    """The own names of a book.

    Args:
        folder: the book's.

    Returns:
        The names; with faults instead where the file was written by hand and cannot be read.
    """
    from fairpull.logs.channels_file import read_names

    place = folder / FILE_NAME
    mark = _mark(place)
    if not mark:
        return OwnNames()
    try:
        named = read_names(place)
    except FairpullError as error:
        return OwnNames(mark=mark, broken=error.faults)
    rows = (OwnName(column, one.channel or LEAVE_ASIDE, one.unit) for column, one in named.columns.items())
    return OwnNames(tuple(rows), mark)


def write_own_names(folder: Path, rows: Sequence[OwnName], mark: str) -> None:
    """Check own names and write them, in one step: a log that is read meanwhile meets the old file or the new one.

    Args:
        folder: the book's.
        rows: all of them, as a person wrote them.
        mark: of the file that the person saw.

    Raises:
        ValueRefused: names, channels or units that cannot be; all faults, each with ``row N, field`` as its place.
        BookRefused: the file was changed meanwhile, cannot be read, or the folder cannot be written.
    """
    clean = [OwnName(one.column.strip(), one.channel.strip(), one.unit.strip()) for one in rows]
    if faults := row_faults(clean):
        raise ValueRefused(faults)
    place = folder / FILE_NAME
    if broken := own_names(folder).broken:
        raise BookRefused(broken)
    if _mark(place) != mark:
        remedy = "compare it with what stands there now, and save again"
        raise BookRefused(
            Fault("own-names-changed", FILE_NAME, "somebody changed it since this page was opened", remedy)
        )
    write_in_place(place, _as_toml(clean).encode("utf-8"))


def row_faults(rows: Sequence[OwnName]) -> list[Fault]:
    """What is wrong with own names.

    Args:
        rows: without space around.

    Returns:
        All faults; the place of each is ``row N, name``, ``row N, channel`` or ``row N, unit``.
    """
    faults: list[Fault] = []
    if len(rows) > MOST_NAMES:
        seen = f"{len(rows)} names"
        faults.append(Fault("own-names-too-many", FILE_NAME, seen, f"give at most {MOST_NAMES}"))
    first: dict[str, int] = {}
    for number, one in enumerate(rows[:MOST_NAMES], start=1):
        faults += _name_faults(one, number, first)
        faults += _channel_faults(one, number)
        faults += _text_faults(one.unit, f"row {number}, unit")
    return faults


def _text_faults(text: str, where: str) -> list[Fault]:
    if len(text) > LONGEST:
        return [Fault("own-name-too-long", where, f"{len(text)} signs", f"write at most {LONGEST}")]
    if not text.isprintable():
        return [Fault("own-name-signs", where, repr(text), "write it without signs that cannot be printed")]
    return []


def _name_faults(one: OwnName, number: int, first: dict[str, int]) -> list[Fault]:
    where = f"row {number}, name"
    if not one.column:
        return [Fault("own-name-missing", where, "no name", "write the column's name as the log has it")]
    if wrong := _text_faults(one.column, where):
        return wrong
    before = first.setdefault(one.column, number)
    if before != number:
        seen = f"{one.column!r} stands in row {before} too"
        return [Fault("own-name-twice", where, seen, "keep one of the two")]
    return []


def _channel_faults(one: OwnName, number: int) -> list[Fault]:
    """What is wrong with the channel, and with a unit that does not measure it."""
    from fairpull.logs.channels_file import channel_fault, split_channel

    where = f"row {number}, channel"
    if not one.channel:
        return [Fault("own-channel-missing", where, "no channel", f"choose one, or write {LEAVE_ASIDE}")]
    if wrong := _text_faults(one.channel, where):
        return wrong
    if one.channel == LEAVE_ASIDE:
        return []
    base, _ = split_channel(one.channel)
    if not base:
        return [channel_fault(where, one.channel)]
    if (
        not one.unit
        or _text_faults(one.unit, "")
        or units.same_dimension(one.unit.removeprefix("-"), BY_NAME[base].unit)
    ):
        return []
    seen = f"unit {one.unit!r} for {one.channel}"
    remedy = f"a unit that converts to {BY_NAME[base].unit}, or none where the log says it"
    return [Fault("unit-of-another-quantity", f"row {number}, unit", seen, remedy)]


def _as_toml(rows: Sequence[OwnName]) -> str:
    """The file's text, one line a row, in their order; a plain word where no unit is said."""
    lines = [f"{_quoted(one.column)} = {_entry(one)}\n" for one in rows]
    return "".join([HEAD, "[channels]\n", *lines])


def _entry(one: OwnName) -> str:
    channel = _quoted("" if one.channel == LEAVE_ASIDE else one.channel)
    return f"{{ channel = {channel}, unit = {_quoted(one.unit)} }}" if one.unit else channel


def _quoted(text: str) -> str:
    """Printable text as a basic string of TOML."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def _mark(place: Path) -> str:
    try:
        return hashlib.sha256(place.read_bytes()).hexdigest()[:32]
    except FileNotFoundError:
        return ""
    except OSError as error:
        remedy = "see that the book's folder may be read"
        raise BookRefused(Fault("own-names-unreadable", FILE_NAME, error.strerror or str(error), remedy)) from error
