"""Builds as the book knows them: sheets become engines, parts and builds."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, TypeVar

from fairpull import engine
from fairpull.terms.bench import Sheet
from fairpull.terms.build import Build, Part
from fairpull.terms.errors import Fault, UnknownName, ValueRefused

if TYPE_CHECKING:
    from fairpull.book import Book
    from fairpull.terms.engine import Engine

Made = TypeVar("Made")


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
        """The build of a sheet, see ``build``; every engine and part that is missing is told with the rest."""
        where = f"build {sheet.name}"
        machine = sheet.body.get("engine")
        named = sheet.body.get("parts", {})
        if not isinstance(machine, str) or not isinstance(named, dict):
            remedy = 'write engine = "NAME", and the parts as [parts] with camshaft = "NAME" lines'
            raise ValueRefused(Fault("build-engine", where, "no engine, or parts that are no table", remedy))
        faults: list[Fault] = []
        bare = self._or_faults(self.engine, "engine", machine, f"{where}, engine", faults)
        fitted = {
            kind: self._or_faults(self.part, "part", str(name), f"{where}, parts.{kind}", faults)
            for kind, name in named.items()
        }
        there = {kind: name for kind, name in named.items() if fitted[kind] is not None}
        try:
            made = engine.build_from_table(
                sheet.body if len(there) == len(named) else {**sheet.body, "parts": there},
                where=where,
                name=sheet.name,
                engine={} if bare is None else bare,
                parts={str(named[kind]): part for kind, part in fitted.items() if part is not None},
            )
        except ValueRefused as error:
            told = [fault for fault in error.faults if bare is not None or fault.code != "engine-not-there"]
            raise ValueRefused([*faults, *told]) from error
        if faults:
            raise ValueRefused(faults)
        return replace(made, name=sheet.name)

    def missing(self, kind: str, name: str, where: str) -> list[Fault]:
        """The fault of a sheet that is named and neither in the book nor on its way.

        Args:
            kind: of sheet.
            name: as written.
            where: who names it.

        Returns:
            No fault, or one with near names.
        """
        try:
            self.sheet(kind, name)
        except UnknownName:
            names = {one.name for one in self._kept.sheets(kind)}
            names |= {called for what, called in self._coming if what == kind}
            near = difflib.get_close_matches(name, sorted(names), n=3, cutoff=0.6)
            meant = f"did you mean {', '.join(near)}? else " if near else ""
            seen = f"{name!r}: the book holds no {kind} of this name"
            return [Fault("not-in-book", where, seen, f"{meant}add its sheet first, or together with this one")]
        return []

    def _or_faults(
        self, made: Callable[[str], Made], kind: str, name: str, where: str, faults: list[Fault]
    ) -> Made | None:
        """An engine or a part by name; None with its faults noted where it is missing or wrong."""
        absent = self.missing(kind, name, where)
        faults += absent
        if absent:
            return None
        try:
            return made(name)
        except ValueRefused as error:
            faults += error.faults
            return None
