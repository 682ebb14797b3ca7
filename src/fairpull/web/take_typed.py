"""The form of offered files: names of its fields, and what a person typed into them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256
from typing import Annotated
from urllib.parse import quote

from fastapi import Depends, Request

from fairpull.show.facts.words import plain
from fairpull.terms.offered import Look, OfferedColumn, OfferedFile, Typed, TypedFile

LONGEST = 400
LONGEST_MORE = 20_000
LISTS = 130  # rows that choose from a list each; where there are more, they share one, or the page would be large
MOST_SHOWN = 1000  # columns of a file that have a row
COLUMNS = 400  # rows of the tables that can be overruled in the form; a form may hold a thousand fields
WORDS = ("build", "format", "sheet", "by", "date", "weather", "displacement", "altitude", "aside")
IN = " in "


def clean(text: str) -> str:
    """Words without control characters and signs that no encoding has."""
    return plain(text.encode("utf-8", "replace").decode())


def part(text: str) -> str:
    """A name as one part of a path."""
    return quote(text, safe="", errors="replace")


@dataclass(frozen=True, slots=True)
class Sent:
    """What the form sent: its fields by name."""

    fields: Mapping[str, str]

    def get(self, name: str, most: int = LONGEST) -> str:
        """One field, cut where it is too long."""
        return self.fields.get(name, "")[:most]


async def _sent(request: Request) -> Sent:
    form = await request.form()
    told = {key: value for key, value in form.multi_items() if isinstance(value, str) and key != "token"}
    return Sent({key: value.replace("\r\n", "\n").encode("utf-8", "replace").decode() for key, value in told.items()})


SentForm = Annotated[Sent, Depends(_sent)]


def in_order(one: OfferedFile) -> tuple[OfferedColumn, ...]:
    """The columns of a file, those that became channels first."""
    return tuple(sorted(one.columns, key=lambda column: column.channel is None))


def in_form(one: OfferedFile, files: int) -> tuple[OfferedColumn, ...]:
    """The columns that can be overruled in their rows: so many that a form holds them all.

    Args:
        one: the file.
        files: how many logs the form is about.

    Returns:
        Columns, those that became channels first.
    """
    return in_order(one)[: COLUMNS // max(files, 1)]


def mark_of(columns: Sequence[OfferedColumn]) -> str:
    """Tells whether a form is about these columns still."""
    return sha256(repr([one.column for one in columns]).encode("utf-8", "replace")).hexdigest()[:16]


def logs_of(look: Look | None) -> tuple[OfferedFile, ...]:
    """The files that are logs."""
    return tuple(one for one in look.files if not one.paper) if look else ()


def typed_of(sent: Sent, before: Typed, look: Look | None) -> Typed:
    """What a person typed.

    Args:
        sent: by the form.
        before: typed before; stands where the form says nothing of a file.
        look: what was recognised, which the form is about.

    Returns:
        All of it.
    """
    files = dict(before.files)
    logs = logs_of(look)
    for n, one in enumerate(logs):
        if sent.get(f"f{n}.name") == one.name:
            files[one.name] = _file(sent, n, one, files.get(one.name, TypedFile()), len(logs))
    return Typed(plain(sent.get("build")), plain(sent.get("session")), files)


def _file(sent: Sent, n: int, one: OfferedFile, before: TypedFile, logs: int) -> TypedFile:
    told = {word: plain(sent.get(f"f{n}.{word}")) for word in WORDS}
    shown = in_form(one, logs)
    columns, units = _further(sent.get(f"f{n}.more", LONGEST_MORE))
    if sent.get(f"f{n}.mark") != mark_of(shown):  # another reading came between: its columns are not these
        columns, units = dict(before.columns), dict(before.units)
    else:
        for c, column in enumerate(shown):
            channel, unit = plain(sent.get(f"f{n}.c{c}")).strip(), plain(sent.get(f"f{n}.u{c}")).strip()
            columns |= {column.column: channel} if channel else {}
            units |= {column.column: unit} if unit else {}
    return TypedFile(**told, left=bool(sent.get(f"f{n}.left")), columns=columns, units=units)


def _further(text: str) -> tuple[dict[str, str], dict[str, str]]:
    """Columns that have no row of their own, a line each: ``COLUMN = CHANNEL in UNIT``."""
    columns: dict[str, str] = {}
    units: dict[str, str] = {}
    for line in text.split("\n"):
        column, mark, said = line.rpartition("=")
        channel, _, unit = said.strip().partition(IN)
        if mark and column.strip():
            columns |= {column.strip(): channel.strip() or "-"}
            units |= {column.strip(): unit.strip()} if unit.strip() else {}
    return columns, units


def further_of(own: TypedFile, shown: Sequence[OfferedColumn]) -> str:
    """What was typed of columns that have no row of their own, as it is typed."""
    rows = {one.column for one in shown}
    return "\n".join(
        f"{column} = {channel}{IN + own.units[column] if column in own.units else ''}"
        for column, channel in own.columns.items()
        if column not in rows
    )


def reads_alike(one: Typed, other: Typed) -> bool:
    """Whether files are read the same way by both: whether one counts or is left out decides nothing of that."""
    return _reading(one) == _reading(other)


def _reading(typed: Typed) -> tuple[str, str, dict[str, TypedFile]]:
    files = {name: replace(one, aside="", left=False) for name, one in typed.files.items()}
    return typed.build, typed.session, {name: one for name, one in files.items() if one != TypedFile()}
