"""The shape of ``conditions.toml``, checked as a whole; imported only when there is such a file."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationError

from fairpull.terms.errors import Fault

Entries = dict[str, str | int]


def _with_unit(value: object) -> object:
    if isinstance(value, int | float) and not isinstance(value, bool):
        return str(value)  # the bare number meets the unit parser, which says what is missing
    return value


Quantity = Annotated[str, BeforeValidator(_with_unit)]


class Entry(BaseModel):
    """Weather and engine for a folder or for one file, every value a number with its unit."""

    model_config = ConfigDict(extra="forbid")

    barometer: Quantity | None = None
    pressure: Quantity | None = None
    inlet_temperature: Quantity | None = None
    temperature: Quantity | None = None
    relative_humidity: Quantity | None = None
    humidity: Quantity | None = None
    dew_point: Quantity | None = None
    wet_bulb: Quantity | None = None
    vapour_pressure: Quantity | None = None
    displacement: Quantity | None = None
    altitude: Quantity | None = None
    strokes: Literal[2, 4] | None = None
    date: Annotated[str, BeforeValidator(str)] | None = None

    def said(self) -> Entries:
        """Only what is there."""
        return self.model_dump(exclude_none=True)


class File(Entry):
    """The whole file: what holds for the folder, and for single files by name or pattern."""

    files: dict[str, Entry] = Field(default_factory=dict)


def validated(content: Mapping[str, object], source: str) -> tuple[Entries, dict[str, Entries], list[Fault]]:
    """Check the shape of a conditions file.

    Args:
        content: as parsed from TOML.
        source: its name, for faults.

    Returns:
        Entries of the folder, entries by file pattern, and all faults.
    """
    try:
        read = File.model_validate(dict(content))
    except ValidationError as error:
        faults = []
        known = ", ".join(name for name in File.model_fields if name != "files")
        for item in error.errors():
            place = ", ".join(str(part) for part in item["loc"])
            remedy = f'known here: {known}; per file under [files."pattern"]'
            faults.append(
                Fault("conditions-file-entry", f"{source}, {place}", f"{item['input']!r}: {item['msg']}", remedy)
            )
        return {}, {}, faults
    folder = read.said()
    folder.pop("files", None)
    return folder, {pattern: entry.said() for pattern, entry in read.files.items()}, []
