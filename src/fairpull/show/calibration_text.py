"""A brake's dead-weight calibration as terminal text and as JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fairpull.show import scale, terminal
from fairpull.show.digits import number
from fairpull.show.facts.remarks import entries
from fairpull.show.facts.table import Table
from fairpull.show.facts.table import words as text
from fairpull.show.json_parts import Json, array, findings, texts
from fairpull.show.json_parts import number as json_number
from fairpull.terms.calibration import Calibration

if TYPE_CHECKING:
    from rich.console import RenderableType


def calibration_text(
    calibration: Calibration, system: str = "us", *, width: int = terminal.WIDTH, colour: bool = False
) -> str:
    """The line, each limit with what was found, and the findings.

    Args:
        calibration: the result.
        system: "us" or "metric".
        width: columns; no line is longer.
        colour: with ANSI styles.

    Returns:
        Lines, ending in a newline; the first says whether every limit is kept.
    """
    verdict = "every limit is kept" if calibration.passed else "not every limit is kept"
    parts: list[RenderableType] = [terminal.sentence(f"Calibration: {verdict}.", style="bold")]
    parts.extend(terminal.pairs(_line(calibration, system)))
    parts.extend(terminal.table(_checks(calibration, system)))
    parts.extend(terminal.blocks(entries(calibration.findings)))
    return terminal.draw(parts, width=width, colour=colour)


def calibration_to_json(calibration: Calibration) -> Json:
    """The calibration as a JSON document, house units.

    Args:
        calibration: the result.

    Returns:
        The document.
    """
    return {
        "schema": "fairpull/calibration/1",
        "slope": {**json_number(calibration.slope, "1"), "standard_error": calibration.slope_se},
        "intercept": {**json_number(calibration.intercept, "N m"), "standard_error": calibration.intercept_se},
        "standard_error_of_estimate": json_number(calibration.see, "N m"),
        "r2": calibration.r2,
        "full_scale": json_number(calibration.full_scale, "N m"),
        "reference": array(calibration.reference, "N m"),
        "indicated": array(calibration.indicated, "N m"),
        "passed": calibration.passed,
        "checks": [
            {
                "name": check.name,
                "value": check.value,
                "low": check.low,
                "high": check.high,
                "unit": check.unit,
                "passed": check.passed,
                "source": check.source,
            }
            for check in calibration.checks
        ],
        "choices": texts(calibration.choices),
        "findings": findings(calibration.findings),
    }


def _torque(value: float, system: str) -> str:
    return f"{number(scale.scalar(value, 'N m', system, 'torque'), 2)} {scale.label('N m', system, 'torque')}"


def _line(calibration: Calibration, system: str) -> Table:
    rows = (
        ("read = slope x hung + zero", f"{len(calibration.reference)} readings"),
        ("slope", f"{calibration.slope:.5f} +/- {1.96 * calibration.slope_se:.5f} (95 %)"),
        ("zero", _torque(calibration.intercept, system)),
        ("scatter about the line", _torque(calibration.see, system)),
        ("full scale", _torque(calibration.full_scale, system)),
    )
    return Table("line", "The line", (text("what"), text("value")), rows)


def _checks(calibration: Calibration, system: str) -> Table:
    rows = []
    for check in calibration.checks:
        if check.unit == "N m":
            found, low, high = (_torque(value, system) for value in (check.value, check.low, check.high))
        else:
            found, low, high = (f"{value:.4f}" for value in (check.value, check.low, check.high))
        rows.append((check.name, found, low, high, "kept" if check.passed else "BROKEN", check.source))
    heads = tuple(text(name) for name in ("limit", "found", "from", "to", "", "source"))
    return Table("limits", "Limits", heads, tuple(rows))
