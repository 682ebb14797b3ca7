"""Terminal faces of the ledger, the fair views and boost: what differs first, 80 columns, the person's units."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from fairpull.show.fairness_text import boost_table, fairness_text, look_table
from fairpull.show.ledger_text import ledger_text, ledgers_text, shown, worth
from fairpull.terms.comparison import Estimate
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.ledger import (
    CONFOUNDER,
    EQUAL,
    INTENDED,
    UNKNOWN,
    BoostFacts,
    FairComparison,
    FairLook,
    Ledger,
    LedgerRow,
)
from tests.show import days

PSI = 6894.757293168361
NAMES = ("log", "header")
RPM = np.arange(2000.0, 6401.0, 100.0)


def per_cent(value: float, low: float, high: float) -> Estimate:
    return Estimate(value, low, high, "1")


def ledger(name: str = "header") -> Ledger:
    rows = (
        LedgerRow("exhaust", INTENDED, "cast log", "tube header", None, "", "primary 42 in"),
        LedgerRow("jets", INTENDED, "60", "62", None, "", "Differs in the sheets."),
        LedgerRow(
            "day", CONFOUNDER, "2026-05-23", "2026-05-24", per_cent(0.0, -0.015, 0.015), "1.5 % [practice]",
            "Two days.",
        ),
        LedgerRow(
            "boost", CONFOUNDER, "44.8 kPa", "none", per_cent(0.021, 0.016, 0.027), "density [practice]", "Unequal.",
            "boost", (6.5 * PSI, 0.0),
        ),
        LedgerRow(
            "air pressure", CONFOUNDER, "100.11 kPa", "98.88 kPa", None, "inside the correction", "It moved.",
            "barometer", (100_110.0, 98_880.0),
        ),
        LedgerRow("hours on the engine", UNKNOWN, UNKNOWN, UNKNOWN, None, "", "Nobody knows."),
        LedgerRow(
            "oil temperature", UNKNOWN, "95.0 °C", UNKNOWN, None, "", "None.", "temperature", (368.15, float("nan")),
        ),
        LedgerRow("throttle", EQUAL, "99.7 %", "99.7 %", None, "", "Held.", "throttle", (0.997, 0.997)),
    )  # fmt: skip
    findings = (Finding("several-changes", Severity.WARNING, "x", "2 changes at once.", "Change one."),)
    return Ledger("log", name, (), rows, "2 changes at once.", findings, per_cent(0.021, 0.005, 0.037))


def fair_look(**fields: object) -> FairLook:
    ratio = np.full(len(RPM), 0.03)
    made = FairLook(
        "at equal boost", "Boost is equal.", "rpm", "torque", "N m", RPM, np.full(len(RPM), 200.0),
        np.full(len(RPM), 206.0), ratio, ratio - 0.01, ratio + 0.01, ratio + 0.05, per_cent(0.03, 0.02, 0.04),
        "At equal boost header makes 3.0 % more torque than log.", "practice", "moved point by point",
        Estimate(6.5 * PSI, 6.3 * PSI, 6.7 * PSI, "Pa"),
    )  # fmt: skip
    return replace(made, **fields)  # type: ignore[arg-type]


def boost() -> BoostFacts:
    psi = np.linspace(1.0, 9.4, len(RPM))
    ratio = 1.0 + psi / 14.3
    gain = 0.042 * psi
    return BoostFacts(
        "header", "log", RPM, ratio, ratio * 0.9, gain, gain / psi / PSI, (1.0 + gain) / ratio, "It gained.", psi * PSI,
        (0.75, 0.87), (0.05 / PSI, 0.06 / PSI), (), gain - 0.015, gain + 0.018, (gain - 0.015) / psi / PSI,
        (gain + 0.018) / psi / PSI, "moved point by point",
    )  # fmt: skip


@cache
def made(name: str = "header") -> FairComparison:
    missing = Finding("fair-look-missing", Severity.NOTE, "per fuel energy", "No fuel flow.", "Log it.")
    looks = {name: (fair_look(), fair_look(name="per fuel energy", band="other"))}
    return FairComparison(days.header_day(), (ledger(name),), looks, (boost(),), (missing,))


@pytest.mark.parametrize("system", ["us", "metric"])
def test_no_line_is_longer_than_the_terminal(system: str) -> None:
    for text in (ledgers_text(made(), system), fairness_text(made(), system)):
        assert max(len(line) for line in text.splitlines()) <= 80
        assert "safe" not in text.lower()


def test_the_ledger_opens_with_what_differs() -> None:
    lines = ledger_text(ledger()).splitlines()
    assert lines[0] == "header against log: what differs"
    assert lines[1] == "2 changes at once."
    assert lines[2].startswith("warning 2 changes at once")


def test_rows_stand_under_their_role() -> None:
    text = ledger_text(ledger())
    assert text.count("under test") == 2
    assert "Not known: hours on the engine, oil temperature." in text
    assert "Held: throttle." in text
    assert "exhaust: primary 42 in" in text
    assert "jets: Differs" not in text  # nothing beyond the table to say
    assert "day: Two days. Rule: 1.5 % [practice]." in text


def test_all_confounders_together_are_said_in_a_line() -> None:
    assert "All that else differs together: +2.1 % (+0.5 to +3.7)" in ledger_text(ledger())
    assert "together" not in ledger_text(replace(ledger(), together=None))


@pytest.mark.parametrize(
    ("name", "us", "metric"),
    [
        ("boost", ("6.5 psi", "none"), ("44.8 kPa", "none")),
        ("air pressure", ("29.56 inHg", "29.20 inHg"), ("100.11 kPa", "98.88 kPa")),
        ("oil temperature", ("203.0 °F", "not known"), ("95.0 °C", "not known")),
        ("throttle", ("99.7 %", "99.7 %"), ("99.7 %", "99.7 %")),
        ("exhaust", ("cast log", "tube header"), ("cast log", "tube header")),
    ],
)
def test_values_are_shown_in_the_persons_units(name: str, us: tuple[str, str], metric: tuple[str, str]) -> None:
    (row,) = [one for one in ledger().rows if one.name == name]
    assert shown(row, "us") == us
    assert shown(row, "metric") == metric


def test_worth_is_in_per_cent_with_its_range() -> None:
    rows = {one.name: one for one in ledger().rows}
    assert worth(rows["boost"]) == "+2.1 (+1.6 to +2.7)"
    assert worth(rows["air pressure"]) == "-"


def test_a_fair_view_says_sentence_assumption_and_the_plain_beside_it() -> None:
    text = " ".join(fairness_text(made()).split())
    assert "At equal boost header makes 3.0 % more torque than log." in text
    assert "Takes for granted: Boost is equal." in text
    assert "Held equal: boost, 6.5 psi (6.3 to 6.7)." in text
    assert "Band (at equal boost): moved point by point." in text
    assert "common practice, no source" in text
    cells = look_table(fair_look(), NAMES, "us").rows[0]
    assert cells == ("2,000", "147.5", "151.9", "+3.0", "+2.0", "+4.0", "+8.0")


def test_unlike_axes_and_quantities_have_their_units() -> None:
    speed = fair_look(axis="mean piston speed", quantity="bmep", unit="Pa", x=RPM / 300.0, reference=RPM * 300.0)
    us, metric = look_table(speed, NAMES, "us"), look_table(speed, NAMES, "metric")
    assert (us.columns[0].unit, us.columns[1].unit) == ("ft/min", "psi")
    assert (metric.columns[0].unit, metric.columns[1].unit) == ("m/s", "bar")
    shaft = look_table(fair_look(axis="output shaft rpm"), NAMES, "us")
    assert (shaft.columns[0].name, shaft.columns[0].unit) == ("output shaft rpm", "")
    fuel = look_table(fair_look(unit="1", reference=np.full(len(RPM), 0.3)), NAMES, "us")
    assert (fuel.columns[1].unit, fuel.rows[0][1]) == ("%", "30.00")


def test_a_single_fair_point_is_a_table_of_one_row() -> None:
    one = np.array([5200.0])
    point = fair_look(
        **dict.fromkeys(("x", "reference", "other", "ratio", "ratio_low", "ratio_high", "plain"), one / 1e5)
    )
    assert len(look_table(point, NAMES, "us").rows) == 1
    held = replace(point, held=Estimate(6.5 * PSI, 6.49 * PSI, 6.51 * PSI, "Pa"))
    text = fairness_text(replace(made(), looks={"header": (held,)}))
    assert "Held equal: boost, 6.5 psi." in text


@pytest.mark.parametrize(
    ("system", "unit", "cell", "usual"),
    [("us", "%/psi", "4.2", "5 to 6 %/psi"), ("metric", "%/kPa", "0.61", "0.73 to 0.87 %/kPa")],
)
def test_gain_for_each_unit_of_boost(system: str, unit: str, cell: str, usual: str) -> None:
    table = boost_table(boost(), system)
    assert table.columns[7].unit == unit
    assert table.rows[-1][7] == cell
    assert usual in table.note
    assert "75 to 87 % of it (common practice, no source)" in table.note


def test_gains_are_shown_with_their_bands() -> None:
    """At the top 39.5 % less 1.5 and plus 1.8, over 9.4 psi."""
    table = boost_table(boost(), "us")
    assert table.rows[-1][4:10] == ("+39.5", "+38.0", "+41.3", "4.2", "4.0", "4.4")
    assert table.note.startswith("Low and high: moved point by point. ")
    empty = np.empty(0)
    bare = replace(boost(), gain_low=empty, gain_high=empty, per_pressure_low=empty, per_pressure_high=empty, band="")
    assert boost_table(bare, "us").rows[-1][4:10] == ("+39.5", "-", "-", "4.2", "-", "-")


def test_views_that_are_missing_are_named_with_their_remedy() -> None:
    text = fairness_text(made())
    assert "Fair views that are missing" in text
    assert "per fuel energy: No fuel flow." in text
    assert "-> Log it." in text


def test_nothing_fair_to_show_is_no_text() -> None:
    assert fairness_text(replace(made(), looks={}, boost=(), findings=())) == ""


def test_names_from_files_cannot_steer_the_terminal() -> None:
    hostile = made(days.HOSTILE)
    for text in (ledgers_text(hostile), fairness_text(hostile)):
        assert "\x1b" not in text
        assert "[bold]" in text
        assert max(len(line) for line in text.splitlines()) <= 80
