"""docs/standards.md says of every standard what the program does."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from fairpull.air import STANDARDS, air_from, correct
from fairpull.terms.pull import Air
from fairpull.terms.units import from_house

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "standards.md").read_text("utf-8")
SECTIONS = {
    part.splitlines()[0].strip(): " ".join(part.split()) for part in re.split(r"^## ", PAGE, flags=re.MULTILINE)[1:]
}


@pytest.mark.parametrize("key", list(STANDARDS))
def test_formula_reference_and_treatment_of_charged_engines_stand_on_the_page(key: str) -> None:
    standard, section = STANDARDS[key], SECTIONS[key]
    assert f"`{standard.formula}`" in section
    assert f"**Reference air:** {standard.reference}" in section
    assert f"**Pressure-charged engines:** {standard.charged}" in section


@pytest.mark.parametrize("key", list(STANDARDS))
def test_limits_stand_on_the_page_with_their_mark(key: str) -> None:
    section = SECTIONS[key] if key != "un-r85" else SECTIONS["iso-1585"]
    limits = re.search(r"\*\*Limits:\*\* (.*?) - \*\*", section)
    assert limits is not None
    if not STANDARDS[key].limits:
        assert limits[1].startswith("none")
    for limit in STANDARDS[key].limits:
        unit, house = {"factor": ("1", "1"), "temperature": ("°C", "K"), "dry pressure": ("kPa", "Pa")}[limit.quantity]
        low, high = (f"{round(from_house(value, unit, house), 6):g}" for value in (limit.low, limit.high))
        assert f"{low} to {high}" in limits[1], limit
        assert {"memory": "from memory", "second-hand": "second-hand"}[limit.status] in limits[1]


@pytest.mark.parametrize(
    ("room", "column"),
    [
        (air_from(95000.0, 303.15, relative_humidity=0.60), 2),
        (air_from(101000.0, 288.15, relative_humidity=0.40), 3),
    ],
)
def test_the_table_side_by_side(room: Air, column: int) -> None:
    rows = [row.split("|")[1:-1] for row in PAGE.splitlines() if re.match(r"\| `[a-z]", row)]
    shown = {key: float(row[column]) for row in rows for key in re.findall(r"`([a-z0-9-]+)`", row[0])}
    assert len(shown) == 7
    for key, printed in shown.items():
        assert round(correct(key, room).factor, 5) == printed


def test_a_sea_level_barometer_at_1500_metres_costs_what_the_page_says() -> None:
    typed, meant = (air_from(pressure, 293.15, relative_humidity=0.4) for pressure in (101325.0, 84556.0))
    low = {key: 100.0 * (1.0 - correct(key, typed).factor / correct(key, meant).factor) for key in STANDARDS}
    del low["none"]
    assert (round(min(low.values())), round(max(low.values()))) == (17, 20)
    assert "17 to 20 % too low" in PAGE
