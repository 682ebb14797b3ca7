"""A log that has just come in, at arm's length: does it count, what is wrong, what the verdict says now."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from fairpull.show import bench_text, comparison_text, digits, terminal
from fairpull.show.facts import words
from fairpull.terms.bench import COUNTS, KeptPull
from fairpull.terms.findings import Finding
from fairpull.terms.ledger import FairComparison

if TYPE_CHECKING:
    from rich.console import RenderableType

PLAIN = 0.9501  # a band of this level is not widened


def arrival_text(
    name: str,
    lines: Sequence[KeptPull],
    made: FairComparison | None,
    *,
    why_not: str = "",
    look: int = 0,
    findings: Sequence[Finding] = (),
    system: str = "us",
    width: int = terminal.WIDTH,
    colour: bool = False,
) -> str:
    """What came of one log.

    Args:
        name: of the file.
        lines: its pulls as kept; empty where it was refused or kept before.
        made: the comparison of its build with the reference; None where there is none.
        why_not: why there is nothing, or no comparison.
        look: number of this look at the build.
        findings: about the file as such.
        system: "us" or "metric".
        width, colour: of the terminal.

    Returns:
        Lines, ending in a newline: findings first, then the verdict.
    """
    parts: list[RenderableType] = [terminal.heading(name)]
    for line in lines:
        style = "bold green" if line.state == COUNTS else "bold red"
        said = f"{line.name} ({line.build}): {bench_text.headline(line, system)}"
        parts.append(terminal.sentence(said, style=style))
        parts.extend(bench_text.why_aside(line))
        parts.extend(bench_text.health_of(line))
        parts.extend(bench_text.warnings_of(line))
    parts.extend(bench_text.warned(findings))
    if made is not None:
        for ledger, difference in zip(made.ledgers, made.comparison.differences, strict=True):
            said = words.sentence(difference, made.comparison.quantity)
            style = comparison_text.STYLE.get(difference.verdict.kind, "bold")
            parts.append(terminal.sentence(said, style=style, above=True))
            parts.append(terminal.sentence(_counted(difference.verdict.level, look) + ledger.summary, style="dim"))
            needed = words.settle(difference.verdict)
            parts.extend([terminal.sentence(needed)] if needed else [])
    if why_not:
        parts.append(terminal.sentence(why_not, style="yellow"))
    return terminal.draw(parts, width=width, colour=colour)


def _counted(level: float, look: int) -> str:
    """What looking after every pull does to the verdict; "" where nothing is counted."""
    if not look:
        return ""
    if level <= PLAIN:
        return f"Look {look} at this build. "
    held = f"{digits.bare(100.0 * level, 2)} %"
    return (
        f"Look {look} at this build: for looking after every pull, the verdict goes by the wider {held} band at each "
        "speed; the range behind the average is the plain 95 %. "
    )


def watching_text(folder: str, fitted: str, *, width: int = terminal.WIDTH, colour: bool = False) -> str:
    """What a watch says before the first log: the caution, where it looks, what is fitted.

    Args:
        folder: under watch.
        fitted: build that is said to be on the brake; "" for none.
        width, colour: of the terminal.

    Returns:
        Lines, ending in a newline.
    """
    on_brake = f"Fitted: {fitted}." if fitted else "Nothing is said to be fitted yet: fairpull fitted NAME."
    parts: list[RenderableType] = [terminal.sentence(words.CAUTIONS[0])]
    parts.append(terminal.sentence(f"watching {folder}; stop with Ctrl-C"))
    parts.append(terminal.sentence(on_brake, style="bold"))
    return terminal.draw(parts, width=width, colour=colour)


def fitted_text(build: str, before: str, *, width: int = terminal.WIDTH, colour: bool = False) -> str:
    """That another build is on the brake than at the log before; arguments as for ``watching_text``."""
    was = f", until now {before}" if before else ""
    return terminal.draw(
        [terminal.sentence(f"Fitted: {build}{was}.", style="bold", above=True)], width=width, colour=colour
    )
