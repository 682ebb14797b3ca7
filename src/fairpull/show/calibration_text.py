"""A brake's dead-weight calibration as terminal text and as JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fairpull.show import scale, terminal
from fairpull.show.digits import decimals_for, number
from fairpull.show.facts import made
from fairpull.show.facts.remarks import entries
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.table import words as text
from fairpull.show.json_parts import Json, array, bare, findings, texts
from fairpull.show.json_parts import number as json_number
from fairpull.terms.calibration import Calibration

SCHEMA_VERSION = 1

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
    if calibration.choices:
        columns = (text("choice"), text("value"))
        parts.extend(terminal.listing(Table("choices", "Choices", columns, tuple(calibration.choices.items()))))
    named = made.named_sources(
        " ".join([*(check.source for check in calibration.checks), *calibration.choices.values()])
    )
    if named:
        parts.extend(terminal.listing(made.in_lines(named)))
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
        "schema": "fairpull/calibration",
        "schema_version": SCHEMA_VERSION,
        "slope": {**json_number(calibration.slope, "1"), "standard_error": bare(calibration.slope_se)},
        "intercept": {**json_number(calibration.intercept, "N m"), "standard_error": bare(calibration.intercept_se)},
        "correlation": json_number(calibration.correlation, "1"),
        "standard_error_of_estimate": json_number(calibration.see, "N m"),
        "r2": json_number(calibration.r2, "1"),
        "hysteresis": json_number(calibration.hysteresis, "N m"),
        "return_to_zero": json_number(calibration.return_to_zero, "N m"),
        "full_scale": json_number(calibration.full_scale, "N m"),
        "reference": array(calibration.reference, "N m"),
        "indicated": array(calibration.indicated, "N m"),
        "passed": calibration.passed,
        "checks": [
            {
                "name": check.name,
                "value": bare(check.value),
                "low": bare(check.low),
                "high": bare(check.high),
                "unit": check.unit,
                "passed": check.passed,
                "source": check.source,
            }
            for check in calibration.checks
        ],
        "choices": texts(calibration.choices),
        "findings": findings(calibration.findings),
    }


def _torque(value: float, system: str, decimals: int = 2) -> str:
    return f"{number(scale.scalar(value, 'N m', system, 'torque'), decimals)} {scale.label('N m', system, 'torque')}"


def _line(calibration: Calibration, system: str) -> Table:
    zero_places = max(decimals_for(scale.scalar(calibration.intercept_se, "N m", system, "torque"), default=2), 0)
    slope_places = max(decimals_for(calibration.slope_se, default=5), 3)
    zero = _torque(calibration.intercept, system, zero_places)
    rows = (
        ("read = slope x hung + zero", f"{len(calibration.reference)} readings"),
        (
            "slope",
            f"{number(calibration.slope, slope_places)} (standard error {number(calibration.slope_se, slope_places)})",
        ),
        ("zero", f"{zero} (standard error {_torque(calibration.intercept_se, system, zero_places)})"),
        ("scatter about the line", _torque(calibration.see, system)),
        ("full scale", _torque(calibration.full_scale, system, 0)),
    )
    return Table("line", "The line", (text("what"), text("value")), rows)


def _checks(calibration: Calibration, system: str) -> Table:
    rows = []
    for check in calibration.checks:
        ends = (check.value, check.low, check.high)
        if check.unit == "N m":
            found, low, high = (_torque(value, system) for value in ends)
        else:
            found, low, high = (number(value, 4) for value in ends)
        rows.append((check.name, found, low, high, "kept" if check.passed else "BROKEN", check.source))
    heads = (text("limit"), Column("found"), Column("from"), Column("to"), text("result"), text("source"))
    return Table("limits", "Limits", heads, tuple(rows))
