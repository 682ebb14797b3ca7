"""fairpull inertia: the rotating inertia from a slow and a fast sweep."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fairpull.cli import options, screen


def inertia(
    slow: Annotated[Path, typer.Argument(help="Log of the slower sweep.")],
    fast: Annotated[Path, typer.Argument(help="Log of the faster sweep of the same build.")],
    column: options.Column = None,
    unit: options.Unit = None,
    channels: options.Channels = None,
) -> None:
    """Find the rotating inertia from two sweeps."""
    from fairpull.tasks.inertia_files import inertia_of_files

    found = inertia_of_files(slow, fast, **options.reading(column=column, unit=unit, channels=channels))
    screen.say(f"rotating inertia {found.value:.3f} kg m2 +/- {1.96 * found.se:.3f} (95 %)\n{found.how}")
    for finding in found.findings:
        screen.say(f"{finding.severity}: {finding.text} {finding.remedy} [{finding.code}]")
