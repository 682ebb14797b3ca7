"""The glossary of channels, and a person's own names of them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated

from fastapi import APIRouter, Form, Query, Response

from fairpull.show.facts import glossary
from fairpull.tasks.bench.own_channels import LEAVE_ASIDE, OwnName, own_names, write_own_names
from fairpull.terms.errors import FairpullError, Fault, ValueRefused
from fairpull.web.ask import Asked

router = APIRouter()

SPARE = 3  # empty rows to write new names into
LONGEST = 200
_PLACE = re.compile(r"row (\d+), (name|channel|unit)")
Cells = Annotated[list[str] | None, Form(max_length=1000)]


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the form.

    Attributes:
        name, channel, unit: as written.
        remove: to be taken away.
        faults: field -> what is wrong with it.
    """

    name: str = ""
    channel: str = ""
    unit: str = ""
    remove: bool = False
    faults: tuple[tuple[str, Fault], ...] = ()

    @property
    def empty(self) -> bool:
        """Nothing is written in it."""
        return not (self.name.strip() or self.channel.strip() or self.unit.strip())

    def of(self, field: str) -> tuple[Fault, ...]:
        """What is wrong with a field."""
        return tuple(fault for name, fault in self.faults if name == field)


@router.get("/settings/channels")
def channels(
    asked: Asked,
    q: Annotated[str, Query(max_length=LONGEST)] = "",
    saved: Annotated[str, Query(max_length=20)] = "",
) -> Response:
    """The glossary, searched, and the own names."""
    found = own_names(_folder(asked))
    rows = [*(Row(one.column, one.channel, one.unit) for one in found.rows), *[Row()] * SPARE]
    said = "Saved. The next log is read with these names." if saved == "yes" else ""
    return _page(asked, rows, found.mark, q, broken=found.broken, said=said)


@router.post("/settings/channels")
def change(
    asked: Asked,
    mark: Annotated[str, Form(max_length=LONGEST)] = "",
    name: Cells = None,
    channel: Cells = None,
    unit: Cells = None,
    remove: Cells = None,
) -> Response:
    """Write all own names anew, or none where something is wrong."""
    rows = _rows(name or [], channel or [], unit or [], set(remove or []))
    folder = _folder(asked)
    kept = [number for number, row in enumerate(rows) if not (row.remove or row.empty)]
    try:
        write_own_names(folder, [_own(rows[number]) for number in kept], mark)
    except FairpullError as error:
        beside, general = _placed(rows, kept, error.faults)
        now = own_names(folder).mark
        return _page(asked, beside, now, status=422, refused=general)
    return asked.away("/settings/channels?saved=yes")


def _folder(asked: Asked) -> Path:
    with asked.book() as kept:
        folder: Path = kept.folder
    return folder


def _own(row: Row) -> OwnName:
    return OwnName(row.name, row.channel, row.unit)


def _rows(names: Sequence[str], channels: Sequence[str], units: Sequence[str], remove: set[str]) -> list[Row]:
    """The form's rows as they were sent."""
    if not len(names) == len(channels) == len(units):
        seen = f"{len(names)} names, {len(channels)} channels and {len(units)} units"
        raise ValueRefused(Fault("own-names-form", "form", seen, "send a name, a channel and a unit for every row"))
    return [
        Row(*cells, remove=str(number) in remove)
        for number, cells in enumerate(zip(names, channels, units, strict=True), start=1)
    ]


def _placed(rows: Sequence[Row], kept: Sequence[int], faults: Sequence[Fault]) -> tuple[list[Row], list[Fault]]:
    """Faults beside their rows, under the numbers that the form shows; and those that belong to none."""
    placed, general = list(rows), []
    for fault in faults:
        place = _PLACE.fullmatch(fault.where)
        if place is None:
            general.append(fault)
            continue
        number, field = kept[int(place[1]) - 1], place[2]
        said = replace(fault, where=f"row {number + 1}, {field}")
        placed[number] = replace(placed[number], faults=(*placed[number].faults, (field, said)))
    return placed, general


def _page(
    asked: Asked,
    rows: Sequence[Row],
    mark: str,
    search: str = "",
    *,
    status: int = 200,
    broken: Sequence[Fault] = (),
    refused: Sequence[Fault] = (),
    said: str = "",
) -> Response:
    return asked.page(
        "settings_channels.html",
        status,
        rows=rows,
        mark=mark,
        search=search,
        entries=glossary.entries(search),
        names=(*glossary.names(), LEAVE_ASIDE),
        broken=tuple(broken),
        refused=tuple(refused),
        wrong=sum(len(row.faults) for row in rows),
        said=said,
    )
