"""The ledger finds what was planted, says nothing of what was held, and admits what nobody measured."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from fairpull.compare.ledger import make_ledger
from fairpull.compare.ledger.running_rows import running_blocks
from fairpull.compare.ledger.sheet_rows import declared_power
from fairpull.terms.build import Change
from fairpull.terms.ledger import CONFOUNDER, EQUAL, INTENDED, UNKNOWN, Ledger, LedgerRow, RunFacts
from fairpull.terms.recording import Conditions
from tests.compare import fair_days as days
from tests.compare.fair_days import Run, build, engine, facts

ONE = (Change("exhaust", "cast log", "tube header", ("primary 42 in",)),)
A_B_A = (0.0, 120.0)  # the other build runs at 60 minutes
FULL = {"hours": 50.0}
KNOWN = {"calibrations": ("day 1", "day 1"), "accessories": ("fan 8 hp",), "session": ("one", "one")}


def reference(run: Run | None = None, **fields: Any) -> RunFacts:
    machine = fields.pop("machine", engine())
    made = build("log", machine, **FULL)
    return facts(made, run or Run(A_B_A), **{**KNOWN, **fields})


def other(run: Run | None = None, **fields: Any) -> RunFacts:
    machine = fields.pop("machine", engine())
    made = build("header", machine, **{**FULL, **fields.pop("sheet", {})})
    return facts(made, run or Run((60.0, 70.0)), **{**KNOWN, **fields})


def row(ledger: Ledger, name: str) -> LedgerRow:
    (found,) = [one for one in ledger.rows if one.name == name]
    return found


def names(ledger: Ledger, role: str) -> list[str]:
    return [one.name for one in ledger.rows if one.role == role]


def test_everything_held_leaves_one_change_and_no_confounder() -> None:
    ledger = make_ledger(reference(), other(), changes=ONE)
    assert names(ledger, INTENDED) == ["exhaust"]
    assert names(ledger, CONFOUNDER) == []
    assert names(ledger, UNKNOWN) == []
    assert ledger.findings == ()
    assert ledger.together is None
    assert ledger.summary == "Under test: exhaust, cast log -> tube header; nothing else is known to differ."
    assert row(ledger, "exhaust").text == "primary 42 in"


PLANTED: dict[str, tuple[Run, dict[str, object]]] = {
    "air pressure": (Run((60.0,), air=Conditions(98_000.0, 295.0, vapour_pressure=1300.0)), {}),
    "inlet temperature": (Run((60.0,), air=Conditions(100_000.0, 300.0, vapour_pressure=1300.0)), {}),
    "water vapour": (Run((60.0,), air=Conditions(100_000.0, 295.0, vapour_pressure=2300.0)), {}),
    "oil temperature": (Run((60.0,), channels={"oil_temperature": 380.0}), {}),
    "water temperature": (Run((60.0,), channels={"coolant_out": 362.0}), {}),
    "mixture (lambda)": (Run((60.0,), channels={"lambda": 0.83}), {}),
    "spark advance": (Run((60.0,), channels={"spark_advance": 0.46}), {}),
    "sweep rate": (Run((60.0,), rate=400.0), {}),
    "start speed": (Run((60.0,), rpm=np.arange(2200.0, 4801.0, 25.0)), {}),
    "tested range": (Run((60.0,), rpm=np.arange(1800.0, 5301.0, 25.0)), {}),
    "throttle": (Run((60.0,), channels={"throttle": 0.95}), {}),
    "running order": (Run((180.0,)), {}),
    "day": (Run((60.0 + 24.0 * 60.0,)), {}),
    "hours on the engine": (Run((60.0,)), {"sheet": {"hours": 90.0}}),
    "accessories": (Run((60.0,)), {"accessories": ("fan 8 hp", "water pump 7 hp")}),
    "calibration": (Run((60.0,)), {"calibrations": ("day 2",)}),
    "brake zero": (Run((60.0,)), {"zeros": (5.3,)}),
    "fuel": (Run((60.0,)), {"machine": engine(fuel=days.E85)}),
    "correction size": (Run((60.0,)), {"factor": 1.03}),
}
UNSIZED = {"start speed", "tested range", "throttle"}
DRAGGED = {"day": {"running order"}, "start speed": {"tested range"}, "fuel": set[str]()}


@pytest.mark.parametrize("name", sorted(PLANTED))
def test_what_was_planted_is_a_confounder_and_nothing_else_is(name: str) -> None:
    run, fields = PLANTED[name]
    mine = reference(zeros=(0.1, 0.1)) if name == "brake zero" else reference()
    ledger = make_ledger(mine, other(run, **fields), changes=ONE)
    assert set(names(ledger, CONFOUNDER)) - DRAGGED.get(name, set()) == {name}
    found = row(ledger, name)
    assert found.text.endswith((".", "?"))
    if name in UNSIZED:
        assert found.effect is None
    else:
        assert found.effect is not None
        assert found.effect.low <= found.effect.value <= found.effect.high
        assert "[" in found.rule


@pytest.mark.parametrize(
    ("name", "within", "beyond"),
    [
        ("oil temperature", {"oil_temperature": 370.5}, {"oil_temperature": 371.0}),
        ("mixture (lambda)", {"lambda": 0.885}, {"lambda": 0.895}),
        ("throttle", {"throttle": 0.980}, {"throttle": 0.970}),
    ],
)
def test_tolerances_are_where_they_are_said_to_be(
    name: str, within: dict[str, float], beyond: dict[str, float]
) -> None:
    held = make_ledger(reference(), other(Run((60.0,), channels=within)), changes=ONE)
    moved = make_ledger(reference(), other(Run((60.0,), channels=beyond)), changes=ONE)
    assert row(held, name).role == EQUAL
    assert row(moved, name).role == CONFOUNDER


@pytest.mark.parametrize(
    ("name", "missing"),
    [
        ("oil temperature", "oil_temperature"),
        ("water temperature", "coolant_out"),
        ("mixture (lambda)", "lambda"),
        ("throttle", "throttle"),
    ],
)
def test_what_nobody_measured_is_not_known(name: str, missing: str) -> None:
    ledger = make_ledger(reference(), other(Run((60.0,), channels={missing: float("nan")})), changes=ONE)
    assert row(ledger, name).role == UNKNOWN
    assert row(ledger, name).other == "not known"


def test_nothing_is_known_without_sheets_clocks_and_weather() -> None:
    bare = Run((60.0,), air=Conditions(), stamped=False)
    ledger = make_ledger(facts(None, bare), facts(None, bare, numbers=np.array([np.nan])))
    unknown = names(ledger, UNKNOWN)
    for name in ("parts and settings", "air pressure", "fuel", "hours on the engine", "running order", "day"):
        assert name in unknown
    assert ledger.summary.startswith("No sheet says what is under test")


def test_several_changes_are_said_loudly() -> None:
    changes = (*ONE, Change("camshaft", "A", "B"))
    ledger = make_ledger(reference(), other(), changes=changes)
    (found,) = ledger.findings
    assert (found.code, found.severity.value) == ("several-changes", "warning")
    assert "exhaust, camshaft" in found.text
    assert ledger.summary.startswith("2 changes at once (exhaust, camshaft)")


def test_alike_sheets_are_a_note() -> None:
    ledger = make_ledger(reference(), other(), changes=())
    assert [one.code for one in ledger.findings] == ["no-change-on-sheets"]
    assert ledger.summary.startswith("No part or setting differs")


def test_hours_and_gears_are_not_under_test() -> None:
    changes = (*ONE, Change("gear", "1:1", "1.6:1"), Change("hours", "2 h", "9 h"))
    ledger = make_ledger(reference(), other(sheet={"gear": 1.6}), changes=changes)
    assert names(ledger, INTENDED) == ["exhaust"]
    assert row(ledger, "gearing").other == "1.6:1 at 100 %"


def test_fuel_beside_another_change_is_a_confounder() -> None:
    changes = (*ONE, Change("fuel", "regular", "e85"), Change("accessories", "", "fan"))
    ledger = make_ledger(reference(), other(machine=engine(fuel=days.E85)), changes=changes)
    assert names(ledger, INTENDED) == ["exhaust"]
    assert row(ledger, "fuel").role == CONFOUNDER
    assert [one.code for one in ledger.findings] == ["confounder-large"]


def test_induction_follows_from_the_compressor() -> None:
    changes = (Change("compressor", "", "screw"), Change("induction", "natural", "belt"))
    blown = other(Run((60.0,), channels={"boost": 45_000.0}), machine=engine("belt"))
    ledger = make_ledger(reference(), blown, changes=changes)
    assert names(ledger, INTENDED) == ["compressor", "boost"]
    assert "several-changes" not in [one.code for one in ledger.findings]


def test_a_part_at_its_own_tune_is_one_change() -> None:
    changes = (*ONE, Change("setting spark", "31 deg", "33 deg"), Change("setting jets", "60", "62"))
    as_bolted = make_ledger(reference(), other(), changes=changes)
    tuned = make_ledger(reference(), other(sheet={"tuned_from": "header"}), changes=changes)
    assert "several-changes" in [one.code for one in as_bolted.findings]
    assert tuned.findings == ()
    assert tuned.summary.startswith("Under test: exhaust, cast log -> tube header, at its own tune;")
    assert names(tuned, INTENDED) == ["exhaust", "spark", "jets"]


def test_changes_come_from_the_sheets_where_nobody_hands_them_in() -> None:
    parts = {kind: replace(days.compressor()["compressor"], name=kind, kind=kind) for kind in ("exhaust",)}
    ledger = make_ledger(reference(), other(sheet={"parts": parts}))
    assert [(one.name, one.reference, one.other) for one in ledger.rows if one.role == INTENDED] == [
        ("exhaust", "none", "exhaust")
    ]


def test_correction_is_as_uncertain_as_its_standards_differ() -> None:
    moved = other(factor=1.02)
    plain = days.comparison((reference(), moved))
    spread = replace(plain.differences[0], mean_by_standard={"none": 0.5, "sae-j1349": 0.020, "iso-1585": 0.044})
    effect = row(
        make_ledger(reference(), moved, replace(plain, differences=(spread,)), changes=ONE), "correction size"
    ).effect
    assert effect is not None
    assert (effect.value, effect.low, effect.high) == pytest.approx((0.0, -0.012, 0.012))


def test_a_confounder_as_big_as_the_difference_is_a_warning() -> None:
    small = other(Run((60.0 + 1440.0,), change=0.02))
    ledger = make_ledger(reference(), small, days.comparison((reference(), small)), changes=ONE)
    (found,) = ledger.findings
    assert found.code == "confounder-large"
    assert "day up to 1.5 %" in found.text
    large = other(Run((60.0 + 1440.0,), change=0.08))
    assert make_ledger(reference(), large, days.comparison((reference(), large)), changes=ONE).findings == ()


def test_rows_stand_by_role_and_then_by_size() -> None:
    run = Run((60.0 + 1440.0,), channels={"oil_temperature": 372.0})
    ledger = make_ledger(reference(), other(run, accessories=()), changes=ONE)
    roles = [one.role for one in ledger.rows]
    assert roles == sorted(roles, key=[INTENDED, CONFOUNDER, UNKNOWN, EQUAL].index)
    sizes = [max(-one.effect.low, one.effect.high) for one in ledger.rows if one.role == CONFOUNDER and one.effect]
    assert sizes == sorted(sizes, reverse=True)
    assert ledger.rows[-1].role == EQUAL


def test_together_adds_values_and_squares() -> None:
    run = Run((60.0 + 1440.0,), channels={"oil_temperature": 378.0})
    ledger = make_ledger(reference(), other(run), changes=ONE)
    day, oil = row(ledger, "day").effect, row(ledger, "oil temperature").effect
    assert day is not None
    assert oil is not None
    assert ledger.together is not None
    assert ledger.together.value == pytest.approx(day.value + oil.value)
    assert ledger.together.high - ledger.together.value == pytest.approx(
        np.hypot(day.high - day.value, oil.high - oil.value)
    )


def test_weather_is_sized_only_where_nothing_corrects_it() -> None:
    run = Run((60.0,), air=Conditions(97_000.0, 302.0, vapour_pressure=2300.0))
    observed = make_ledger(reference(), other(run), changes=ONE)
    corrected = make_ledger(reference(), other(run, factor=1.05), changes=ONE)
    assert row(observed, "air pressure").effect is not None
    assert row(observed, "correction size").role == EQUAL
    assert row(corrected, "air pressure").effect is None
    assert row(corrected, "correction size").role == CONFOUNDER
    assert "more than 3 % from 1" in row(corrected, "correction size").text
    soak = row(corrected, "inlet temperature").effect
    assert soak is not None
    assert soak.high == 0.0


def test_observed_comparisons_are_not_corrected_whatever_the_book_says() -> None:
    moved = other(Run((60.0,), air=Conditions(97_000.0, 295.0, vapour_pressure=1300.0)), factor=1.04)
    plain = days.comparison((reference(), moved), standard="none")
    assert row(make_ledger(reference(), moved, plain, changes=ONE), "air pressure").effect is not None


def test_a_held_manifold_pressure_may_take_weather_away() -> None:
    thin = Run((60.0,), air=Conditions(95_000.0, 295.0, vapour_pressure=1300.0), channels={"boost": 60_000.0})
    blown = Run(A_B_A, channels={"boost": 60_000.0})
    ledger = make_ledger(
        reference(blown, machine=engine("turbo-held")), other(thin, machine=engine("turbo-held")), changes=ONE
    )
    effect = row(ledger, "air pressure").effect
    assert effect is not None
    assert effect.high == 0.0
    assert effect.low == pytest.approx(0.95**1.25 - 1.0)


@pytest.mark.parametrize(
    ("inertia", "machines", "role", "value"),
    [
        ("none: as the brake saw it", (engine(), engine()), CONFOUNDER, None),
        (days.CORRECTED, (engine(), engine()), EQUAL, None),
        ("none: as the brake saw it", (engine(inertia=0.30), engine(inertia=0.20)), CONFOUNDER, 2.6),
    ],
)
def test_sweep_rate_and_inertia(inertia: str, machines: tuple[object, object], role: str, value: float | None) -> None:
    mine = reference(Run(A_B_A, inertia=days.CORRECTED if value is None else inertia), machine=machines[0])
    theirs = other(Run((60.0,), inertia=inertia), machine=machines[1])
    found = row(make_ledger(mine, theirs, changes=ONE), "sweep rate")
    assert found.role == role
    if value is not None:  # 0.1 kg m2 at 250 rpm/s are 2.6 N m that the lighter parts give back
        assert found.effect is not None
        mean = float(np.mean(days.hump(days.SPEEDS)))
        assert found.effect.value * mean == pytest.approx(value, abs=0.05)


def test_hidden_torque_that_was_not_given_back_is_exact() -> None:
    plain = "none: as the brake saw it"
    ledger = make_ledger(
        reference(Run(A_B_A, inertia=plain)), other(Run((60.0,), inertia=plain, rate=500.0)), changes=ONE
    )
    effect = row(ledger, "sweep rate").effect
    assert effect is not None
    mean = float(np.mean(days.hump(days.SPEEDS)))
    assert effect.value == pytest.approx(-0.20 * 250.0 * 2.0 * np.pi / 60.0 / mean, rel=1e-6)


def test_unknown_inertia_has_a_range() -> None:
    plain = "none: as the brake saw it"
    machine = engine(inertia=None)
    ledger = make_ledger(
        reference(Run(A_B_A, inertia=plain), machine=machine),
        other(Run((60.0,), inertia=plain, rate=500.0), machine=machine),
        changes=ONE,
    )
    found = row(ledger, "sweep rate")
    assert found.effect is not None
    assert found.effect.low / found.effect.high == pytest.approx(0.4 / 0.15)
    assert "inertia unknown" in found.rule


def test_boost_that_came_with_the_change_is_under_test() -> None:
    blown = other(
        Run((60.0,), channels={"boost": 45_000.0, "charge_temperature_after_cooler": 340.0}), machine=engine("belt")
    )
    ledger = make_ledger(reference(), blown, changes=(Change("compressor", "", "screw"),))
    found = row(ledger, "boost")
    assert (found.role, found.reference) == (INTENDED, "none")
    assert found.effect is not None
    assert found.effect.value == pytest.approx(1.1 * (1.45 * 295.0 / 340.0 - 1.0))
    assert ledger.findings == () or ledger.findings[0].code != "several-changes"
    assert ledger.summary.startswith("Under test: compressor")


@pytest.mark.parametrize(("boost", "role"), [(45_000.0, EQUAL), (46_300.0, EQUAL), (50_000.0, CONFOUNDER)])
def test_unequal_boost_is_a_confounder(boost: float, role: str) -> None:
    mine = reference(Run(A_B_A, channels={"boost": 45_000.0}), machine=engine("belt"))
    theirs = other(Run((60.0,), channels={"boost": boost}), machine=engine("belt"))
    found = row(make_ledger(mine, theirs, changes=ONE), "boost")
    assert found.role == role
    if role == CONFOUNDER:  # no charge temperature: by pressure
        assert found.effect is not None
        assert found.effect.value == pytest.approx(0.85 * (150.0 / 145.0 - 1.0))


def test_boost_counts_the_charge_once() -> None:
    hot = {"boost": 55_000.0, "charge_temperature_after_cooler": 350.0}
    cold = {"boost": 45_000.0, "charge_temperature_after_cooler": 330.0}
    mine = reference(Run(A_B_A, channels=cold), machine=engine("belt"))
    theirs = other(Run((60.0,), channels=hot), machine=engine("belt"))
    found = row(make_ledger(mine, theirs, changes=ONE), "charge temperature")
    assert (found.role, found.effect) == (CONFOUNDER, None)
    assert "counted under boost" in found.rule


@pytest.mark.parametrize(
    ("mine", "theirs", "blocks"),
    [([1, 3], [2], "ABA"), ([1, 2], [3, 4], "AB"), ([1, 3, 5], [2, 4], "ABABA"), ([3], [1, 2], "BA")],
)
def test_running_blocks(mine: list[float], theirs: list[float], blocks: str) -> None:
    assert "".join(running_blocks(mine, theirs)) == blocks


@pytest.mark.parametrize(
    ("text", "watts"), [("fan 8 hp", 5965.6), ("pump, 5.5 kW at 6000 rpm", 5500.0), ("alternator", None), ("", None)]
)
def test_declared_power_of_an_accessory(text: str, watts: float | None) -> None:
    found = declared_power(text)
    assert found == (None if watts is None else pytest.approx(watts, abs=0.1))


def test_accessories_of_unknown_appetite_have_no_size() -> None:
    ledger = make_ledger(reference(), other(accessories=("fan 8 hp", "winch")), changes=ONE)
    assert row(ledger, "accessories").effect is None
    usual = make_ledger(reference(), other(accessories=("fan 8 hp", "alternator")), changes=ONE)
    effect = row(usual, "accessories").effect
    assert effect is not None
    assert effect.high < 0.0


def test_a_new_engine_gains_by_itself() -> None:
    ledger = make_ledger(reference(), other(sheet={"hours": 3.0}), changes=ONE)
    effect = row(ledger, "hours on the engine").effect
    assert effect is not None
    assert effect.low == pytest.approx(-0.015 * 7.0 / 10.0)  # the other ran on a younger engine
    assert effect.high == 0.0


def test_a_declared_change_of_fuel_is_not_a_confounder_and_has_its_size() -> None:
    ledger = make_ledger(reference(), other(machine=engine(fuel=days.E85)), changes=(Change("fuel", "regular", "e85"),))
    assert row(ledger, "fuel").role == INTENDED
    assert row(ledger, "fuel").effect is not None


def test_turned_round_values_change_sides() -> None:
    run = Run((60.0,), channels={"oil_temperature": 380.0})
    there = make_ledger(reference(), other(run), changes=ONE)
    back = make_ledger(other(run), reference(), changes=ONE)
    one, two = row(there, "oil temperature"), row(back, "oil temperature")
    assert (one.reference, one.other) == (two.other, two.reference)
    assert one.effect is not None
    assert two.effect is not None
    assert one.effect.value == pytest.approx(-two.effect.value)


def test_only_counted_rows_and_the_common_range_are_averaged() -> None:
    hot_end = np.where(days.SPEEDS > 4000.0, 400.0, 368.0)
    pulls = other(Run((60.0,), channels={"oil_temperature": hot_end}))
    cut = replace(pulls, pulls=tuple(replace(one, valid_to=4000.0) for one in pulls.pulls))
    assert row(make_ledger(reference(), pulls, changes=ONE), "oil temperature").role == CONFOUNDER
    assert row(make_ledger(reference(), cut, changes=ONE), "oil temperature").role == EQUAL
