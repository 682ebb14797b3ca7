"""What the health detectors said of a pull, as terminal text."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from fairpull.show import terminal
from fairpull.show.facts import words
from fairpull.show.facts.state import sign_line
from fairpull.terms.health import HealthReport

if TYPE_CHECKING:
    from rich.console import RenderableType

STYLES = {"fault": "bold red", "warning": "yellow", "note": "cyan"}


def signs(report: HealthReport, indent: int = 2) -> list[RenderableType]:
    """Each sign with its evidence and what would confirm it.

    Args:
        report: of one pull.
        indent: columns before each line.

    Returns:
        Parts for a terminal; one line where there is no sign.
    """
    parts: list[RenderableType] = []
    for sign in report.signs:
        weight = sign.severity.value
        lead = ((f"{weight} ", STYLES[weight]),)
        parts.append(terminal.Paragraph(sign_line(sign), style="bold", indent=indent, hang=2, lead=lead))
        parts.append(terminal.Paragraph(sign.evidence, indent=indent + 2))
        parts.append(terminal.Paragraph(f"-> {sign.confirm}", indent=indent + 2))
    if not parts:
        parts.append(terminal.Paragraph("No sign of trouble.", style="dim", indent=indent))
    return parts


def unseen(report: HealthReport, indent: int = 2) -> list[RenderableType]:
    """What could not be looked at, and for want of what, in one paragraph."""
    if not report.unseen:
        return []
    by_missing: dict[str, list[str]] = {}
    for one in report.unseen:
        by_missing.setdefault(", ".join(one.missing) or one.text, []).append(one.kind.replace("-", " "))
    told = "; ".join(f"{', '.join(kinds)} (needs {missing})" for missing, kinds in by_missing.items())
    return [terminal.Paragraph(f"Not looked at: {told}.", style="dim", indent=indent, hang=2)]


def health_text(
    reports: Sequence[HealthReport], *, width: int = terminal.WIDTH, colour: bool = False, every: bool = True
) -> str:
    """Health reports as text for a terminal.

    Args:
        reports: one a pull.
        width: columns; no line is longer.
        colour: with ANSI styles.
        every: with what could not be looked at.

    Returns:
        Lines, ending in a newline.
    """
    parts: list[RenderableType] = []
    for report in reports:
        parts.append(terminal.heading(report.pull))
        parts.extend(signs(report))
        held = ", ".join(report.references)
        if held:
            parts.append(terminal.Paragraph(f"Held against: {held}.", style="dim", indent=2, hang=2))
        parts.extend(unseen(report) if every else [])
    parts.append(terminal.sentence(words.CAUTIONS[1], style="dim", above=True))
    return terminal.draw(parts, width=width, colour=colour)
