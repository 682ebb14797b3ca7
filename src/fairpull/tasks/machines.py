"""Engine files named for groups, and what they say about reading and cleaning."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from fairpull import engine
from fairpull.logs import ReadOptions
from fairpull.pulls import PullOptions
from fairpull.terms.errors import Fault, ReadRefused

if TYPE_CHECKING:
    from fairpull.terms.engine import Engine


class Machines:
    """Engines by group name; the name "" stands for every group not named."""

    def __init__(self, files: Mapping[str, Path]) -> None:
        """Load the files, group name -> engine file."""
        self._engines = {name: engine.load(path) for name, path in files.items()}

    def check(self, groups: Sequence[str]) -> None:
        """Refuse engine files for groups that are not there.

        Args:
            groups: the groups' names.

        Raises:
            ReadRefused: an engine was named for another group.
        """
        unknown = [name for name in self._engines if name and name not in groups]
        if unknown:
            remedy = f"name one of the groups: {', '.join(groups)}"
            raise ReadRefused(Fault("no-such-group", "--engine", ", ".join(unknown), remedy))

    def of(self, group: str) -> Engine | None:
        """The engine of a group, None where none was given."""
        return self._engines.get(group, self._engines.get(""))

    def for_reading(self, group: str, options: ReadOptions) -> ReadOptions:
        """Reading options with the engine's displacement where none was given."""
        machine = self.of(group)
        if machine is None or options.displacement is not None:
            return options
        return replace(options, displacement=engine.displacement_of(machine), strokes=machine.strokes)

    def for_cleaning(self, group: str, options: PullOptions) -> PullOptions:
        """Cleaning options with the engine's rotating inertia where none was given."""
        machine = self.of(group)
        if machine is None or options.inertia is not None:
            return options
        return replace(options, inertia=machine.inertia)
