"""Tables on hand-written sheets: rows of cells with units, or a first row of units and bare numbers below."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from pydantic_core import PydanticCustomError, core_schema

from fairpull.engine.form_types import Held, refuse_entry, refused
from fairpull.terms.errors import Fault

_NUMBER = re.compile(r"\s*[-+.\d]")
Rows = tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True)
class Table:
    """Metadata of an entry that holds a table.

    Attributes:
        names: of the columns.
        columns: how each is read and what is possible.
        least: how many columns must be there; the others may be left out, from the last on.
    """

    names: tuple[str, ...]
    columns: tuple[Held, ...]
    least: int

    def __get_pydantic_core_schema__(self, source: object, handler: object) -> core_schema.CoreSchema:
        """Read cell by cell; the first column rises."""
        return core_schema.no_info_plain_validator_function(self.read)

    def read(self, value: object) -> Rows:
        """The table in house units.

        Args:
            value: list of rows.

        Returns:
            Rows of numbers, all of one length.

        Raises:
            PydanticCustomError: with every wrong cell and row.
        """
        if not isinstance(value, (list, tuple)) or not all(isinstance(row, (list, tuple)) for row in value):
            raise refuse_entry("table-form", repr(value)[:60], self._remedy())
        rows: list[Sequence[object]] = list(value)
        units: Sequence[object] = ()
        if rows and _is_heading(rows[0]):
            units, rows = rows[0], rows[1:]
        first = 2 if units else 1
        faults: list[Fault] = []
        found = [self._row(row, units, f"row {first + n}", faults) for n, row in enumerate(rows)]
        if len(found) < 2:
            faults.append(Fault("table-form", "", f"{len(found)} rows", "give at least two rows"))
        if not faults:
            faults += self._order(found, first)
        if faults:
            raise refused(*faults)
        return tuple(found)

    def _row(
        self, row: Sequence[object], units: Sequence[object], place: str, faults: list[Fault]
    ) -> tuple[float, ...]:
        wanted = {len(units)} if units else set(range(self.least, len(self.columns) + 1))
        if len(row) not in wanted or not self.least <= len(row) <= len(self.columns):
            faults.append(Fault("table-form", place, f"{len(row)} cells", self._remedy()))
            return ()
        cells = []
        for number, cell in enumerate(row):
            held = self.columns[number]
            try:
                value = held.read(_with_unit(cell, units[number] if units else ""), held)
                if not held.low <= value <= held.high:
                    raise refuse_entry("out-of-range", repr(cell), f"give something between {held.range_text()}")
                cells.append(value)
            except PydanticCustomError as error:
                inner: tuple[Fault, ...] = (error.context or {})["faults"]
                faults += [replace(fault, where=f"{place}, {self.names[number]}") for fault in inner]
        return tuple(cells)

    def _order(self, rows: list[tuple[float, ...]], first: int) -> list[Fault]:
        if len({len(row) for row in rows}) > 1:
            return [Fault("table-form", "", "rows of different length", self._remedy())]
        return [
            Fault(
                "table-not-rising",
                f"row {first + n + 1}",
                f"{self.names[0]} does not rise",
                f"order the rows by {self.names[0]}, lowest first, each once",
            )
            for n, (row, following) in enumerate(pairwise(rows))
            if following[0] <= row[0]
        ]

    def _remedy(self) -> str:
        columns = ", ".join(self.names)
        units = ", ".join(f'"{held.example.split(" ")[-1]}"' for held in self.columns)
        return f"give rows of {columns}; every cell with its unit, or a first row of units such as [{units}]"


def _is_heading(row: Sequence[object]) -> bool:
    return (
        bool(row) and all(isinstance(cell, str) for cell in row) and not all(_NUMBER.match(str(cell)) for cell in row)
    )


def _with_unit(cell: object, unit: object) -> object:
    bare = isinstance(cell, (int, float)) and not isinstance(cell, bool)
    return f"{cell!r} {unit}" if bare and unit not in ("", "1") else cell
