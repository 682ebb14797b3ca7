"""Units: the table against pint row by row, spellings of the trade, numbers as people type them."""

from __future__ import annotations

import warnings

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fairpull.terms import unit_table, units
from fairpull.terms.errors import UnitRefused, ValueRefused
from fairpull.terms.glossary import CHANNELS

ROWS = pytest.mark.parametrize("row", unit_table.ROWS, ids=lambda row: row[0])


@pytest.fixture(scope="module")
def registry() -> object:
    import pint

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return pint.UnitRegistry()


@ROWS
def test_the_table_is_pint(row: unit_table.Row, registry: object) -> None:
    import pint

    assert isinstance(registry, pint.UnitRegistry)
    house = unit_table.HOUSE_IN_PINT[row[1]]
    zero = registry.Quantity(0.0, row[4]).to(house).magnitude
    ten = registry.Quantity(10.0, row[4]).to(house).magnitude
    assert units.to_house(0.0, row[0], row[1]) == pytest.approx(zero, rel=1e-12, abs=1e-12)
    # Two pints of the same mercury: the conventional inch and millimetre agree to about 1e-7.
    assert units.to_house(10.0, row[0], row[1]) == pytest.approx(ten, rel=2e-7 if "Hg" in row[4] else 1e-9)


def test_no_spelling_means_two_units() -> None:
    owners: dict[str, str] = {}
    for symbol, _, _, _, _, spellings in unit_table.ROWS:
        for spelling in (symbol, *spellings.split(",")):
            unit = units.lookup(spelling) if spelling.strip() else None
            if unit is not None:
                assert unit.symbol == symbol, f"{spelling!r} is {unit.symbol} and {symbol}"
                owners[spelling] = symbol
    assert len(owners) > 300


@pytest.mark.parametrize(
    ("spelling", "symbol"),
    [
        ("lb-ft", "lb-ft"), ("lbf ft", "lb-ft"), ("ft.lb", "lb-ft"), ("FT-LBS", "lb-ft"), ("Nm", "N m"),
        ("N·m", "N m"), ("°F", "°F"), ("degF", "°F"), ("deg C", "°C"), ("in Hg", "inHg"), ('"Hg', "inHg"),
        ("kPa abs", "kPa abs"), ("kPaA", "kPa abs"), ("psig", "psi gauge"), ("PSIA", "psi abs"),
        ("bar(g)", "bar gauge"), ("inHg vac", "inHg vacuum"), ("1/min", "rpm"), ("min-1", "rpm"), ("min⁻¹", "rpm"),
        ("kg/m³", "kg/m3"), ("lb/hr", "lb/h"), ("pph", "lb/h"), ("CFM", "cfm"), ("PS", "PS"), ("bhp", "hp"),
        ("%", "%"), ("ppm", "ppm"), ("°CA", "°"), ("deg BTDC", "°"), ("g/kWh", "g/kWh"), ("rad/s", "rad/s"),
        ("mBar", "mbar"), ("KPA", "kPa"), ("-", "1"), ("λ", "1"), ("US gal/h", "gal/h"),
    ],
)  # fmt: skip
def test_spellings_of_the_trade(spelling: str, symbol: str) -> None:
    assert units.recognise(spelling) == symbol


@pytest.mark.parametrize("word", ["torque", "map", "", "foo", "engine"])
def test_words_are_no_units(word: str) -> None:
    assert units.recognise(word) is None


def test_a_pressure_says_what_it_is_measured_against() -> None:
    assert [units.reference(text) for text in ("psig", "kPa abs", "kPa", "lb-ft", "inHg vac")] == [
        "gauge", "absolute", "", "", "gauge",
    ]  # fmt: skip
    assert units.to_house(20.0, "inHg vac", "Pa") == -units.to_house(20.0, "inHg", "Pa")


@pytest.mark.parametrize(
    ("text", "house", "value"),
    [
        ("29.62inHg", "Pa", 100304.83152690042),
        ("68degF", "K", 293.15),
        ("-5 °C", "K", 268.15),
        ("56%", "1", 0.56),
        ("0.56", "1", 0.56),
        ("1,5 bar", "Pa", 150000.0),
        ("101,325.0 Pa", "Pa", 101325.0),
        ("2.0L", "m3", 0.002),
        ("219.4 in3", "m3", 219.4 * 0.0254**3),
        ("400ft", "m", 121.92),
        ("3500", "rpm", 3500.0),
        ("3 furlong", "m", 603.504),  # not in the table: pint is asked; US survey or not differs in the sixth digit
    ],
)
def test_numbers_with_units_as_typed(text: str, house: str, value: float) -> None:
    assert units.parse(text, house) == pytest.approx(value, rel=3e-6)


@pytest.mark.parametrize(
    ("text", "house", "error", "code"),
    [
        ("30", "Pa", UnitRefused, "unit-missing"),
        ("30 K", "Pa", UnitRefused, "unit-of-another-quantity"),
        ("3 blah", "Pa", UnitRefused, "unit-unknown"),
        ("5 (((", "Pa", UnitRefused, "unit-unknown"),
        ("abc", "Pa", ValueRefused, "not-a-number"),
        ("", "Pa", ValueRefused, "not-a-number"),
        ("3 m**9**9**9", "Pa", UnitRefused, "unit-unknown"),  # powers of powers would be computed for hours
        ("3 m*9^(9*9*9*9)", "Pa", UnitRefused, "unit-unknown"),
        ("3 m/0", "Pa", UnitRefused, "unit-unknown"),
        ("3 mm..9(9)", "Pa", UnitRefused, "unit-unknown"),
        ("3 m*9^9.9e99", "Pa", UnitRefused, "unit-unknown"),
        ("1,013 hPa", "Pa", ValueRefused, "comma-two-ways"),
    ],
)
def test_what_is_not_clear_is_refused(text: str, house: str, error: type[Exception], code: str) -> None:
    with pytest.raises(error) as refusal:
        units.parse(text, house)
    (fault,) = refusal.value.faults  # type: ignore[attr-defined]
    assert fault.code == code
    assert fault.remedy


@given(st.floats(-1e6, 1e6), st.sampled_from(unit_table.ROWS))
def test_there_and_back(value: float, row: unit_table.Row) -> None:
    house = units.to_house(value, row[0], row[1])
    assert units.from_house(house, row[0], row[1]) == pytest.approx(value, rel=1e-9, abs=1e-6)


def test_arrays_as_scalars() -> None:
    shown = np.array([-40.0, 32.0, 212.0])
    house = units.to_house(shown, "°F", "K")
    assert house.tolist() == [units.to_house(float(value), "°F", "K") for value in shown]
    assert house[0] == pytest.approx(233.15, rel=1e-12)  # where both scales meet


@pytest.mark.parametrize("system", sorted(units.SYSTEMS))
def test_every_channel_has_a_shown_unit(system: str) -> None:
    for channel in CHANNELS:
        assert units.same_dimension(units.shown_unit(channel.name, system), channel.unit)
    assert units.shown_unit("exhaust_temperature_3", system) == units.shown_unit("exhaust_temperature", system)
    for quantity, house in unit_table.QUANTITIES.items():
        assert units.same_dimension(units.shown_unit(quantity, system), house)


def test_units_people_expect() -> None:
    assert [units.shown_unit(name, "us") for name in ("torque", "power", "barometer")] == ["lb-ft", "hp", "inHg"]
    assert [units.shown_unit(name, "metric") for name in ("torque", "power", "bmep")] == ["N m", "kW", "bar"]
    for wrong in (("torque", "imperial"), ("nothing", "us")):
        with pytest.raises(UnitRefused):
            units.shown_unit(*wrong)
