"""Engine files named for groups, and what they say about reading and cleaning."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from fairpull import engine
from fairpull.logs import ReadOptions
from fairpull.pulls import PullOptions
from fairpull.terms.engine import Engine
from fairpull.terms.errors import Fault, ReadRefused


class Machines:
    """Engines by group name; the name "" stands for every group not named."""

    def __init__(self, files: Mapping[str, Path], groups: tuple[str, ...]) -> None:
        """Load the files; ``groups`` are the known group names, empty when they are not known yet."""
        unknown = [name for name in files if name and groups and name not in groups]
        if unknown:
            remedy = f"name one of the groups: {', '.join(groups)}"
            raise ReadRefused(Fault("no-such-group", "--engine", ", ".join(unknown), remedy))
        self._engines = {name: engine.load(path) for name, path in files.items()}

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
