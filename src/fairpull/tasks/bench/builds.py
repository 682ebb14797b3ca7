"""Builds as the book knows them: sheets become engines, parts and builds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from fairpull import engine
from fairpull.terms.bench import Sheet
from fairpull.terms.build import Build, Part
from fairpull.terms.errors import Fault, ValueRefused

if TYPE_CHECKING:
    from fairpull.book import Book
    from fairpull.terms.engine import Engine


class Shelf:
    """Sheets at hand: those on their way into the book first, then those that it keeps."""

    def __init__(self, kept: Book, coming: Sequence[Sheet] = ()) -> None:
        """Lay out the sheets."""
        self._kept = kept
        self._coming = {(sheet.kind, sheet.name): sheet for sheet in coming}
        self._engines: dict[str, Engine] = {}
        self._parts: dict[str, Part] = {}

    def sheet(self, kind: str, name: str) -> Sheet:
        """A sheet by name.

        Args:
            kind: of sheet.
            name: of the sheet.

        Returns:
            The sheet, its newest version.

        Raises:
            UnknownName: there is none of this name.
        """
        coming = self._coming.get((kind, name))
        return coming if coming is not None else self._kept.sheet(kind, name)

    def engine(self, name: str) -> Engine:
        """The engine of this name."""
        if name not in self._engines:
            sheet = self.sheet("engine", name)
            self._engines[name] = engine.engine_from_table(sheet.body, where=f"engine {name}", name=name)
        return self._engines[name]

    def part(self, name: str) -> Part:
        """The part of this name."""
        if name not in self._parts:
            sheet = self.sheet("part", name)
            self._parts[name] = engine.part_from_table(sheet.body, where=f"part {name}", name=name)
        return self._parts[name]

    def build(self, name: str) -> Build:
        """The build of this name.

        Args:
            name: of its sheet.

        Returns:
            The build, with its engine and parts.

        Raises:
            UnknownName: no such sheet.
            ValueRefused: its engine or parts are missing or do not fit.
        """
        return self.build_of(self.sheet("build", name))

    def build_of(self, sheet: Sheet) -> Build:
        """The build of a sheet; see ``build``."""
        where = f"build {sheet.name}"
        machine = sheet.body.get("engine")
        named = sheet.body.get("parts", {})
        if not isinstance(machine, str) or not isinstance(named, dict):
            remedy = 'write engine = "NAME", and the parts as [parts] with camshaft = "NAME" lines'
            raise ValueRefused(Fault("build-engine", where, "no engine, or parts that are no table", remedy))
        parts = {str(name): self.part(str(name)) for name in named.values()}
        made = engine.build_from_table(
            sheet.body, where=where, name=sheet.name, engine=self.engine(machine), parts=parts
        )
        return replace(made, name=sheet.name)
