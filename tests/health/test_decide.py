"""One cause, one sign; and the whole look."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import numpy as np
import pytest

from fairpull import health
from fairpull.health.decide import CONDITIONS, EXPLAINS, decide
from fairpull.health.signs import MODULES
from fairpull.terms.findings import Severity
from fairpull.terms.health import SIGN_KINDS, Sign
from tests.health.plain_pull import channels, engine, pull, speeds


def sign(
    kind: str, low: float = 2000.0, high: float = 5000.0, severity: Severity = Severity.FAULT, size: float = 0.05
) -> Sign:
    """A sign of no particular pull."""
    return Sign(kind, severity, low, high, size, "1", "seen", "confirm")


def test_every_kind_has_one_detector_and_every_row_names_kinds() -> None:
    """Detectors, table and list of kinds agree."""
    assert sorted(kind for module in MODULES for kind in module.KINDS) == sorted(SIGN_KINDS)
    named = {*EXPLAINS, *(kind for row in EXPLAINS.values() for kind in row), *(k for pair in CONDITIONS for k in pair)}
    assert named <= set(SIGN_KINDS)


@pytest.mark.parametrize(
    ("cause", "effect"),
    [
        ("fuel-starvation", "mixture-lean"),
        ("low-cylinder", "torque-span"),
        ("misfire", "flow-lambda-disagreement"),
        ("heat-soak", "oil-out-of-window"),
        ("speed-pickup", "torque-zero"),
        ("wrong-barometer", "intake-restriction"),
        ("belt-slip", "boost-shortfall"),
    ],
)
def test_the_cause_stays_in_either_order(cause: str, effect: str) -> None:
    """Order of the detectors is not the order of causes."""
    for order in permutations((sign(cause), sign(effect, size=-0.05))):
        assert [one.kind for one in decide(order)] == [cause]


def test_independent_troubles_both_stay() -> None:
    """A zero that moved and hot brake water have nothing to do with each other."""
    kept = decide([sign("brake-water-hot", severity=Severity.WARNING), sign("torque-zero")])
    assert [one.kind for one in kept] == ["torque-zero", "brake-water-hot"]


def test_a_cause_explains_nothing_in_other_speeds() -> None:
    """Starvation at the top does not explain a lean bottom."""
    kept = decide([sign("fuel-starvation", 4000.0, 5000.0), sign("mixture-lean", 2000.0, 3000.0)])
    assert {one.kind for one in kept} == {"fuel-starvation", "mixture-lean"}


@pytest.mark.parametrize("cause", ["speed-pickup", "heat-soak", "misfire", "low-cylinder"])
@pytest.mark.parametrize("other", ["mixture-rich", "knock"])
def test_what_has_its_own_instrument_is_hidden_by_no_cause(cause: str, other: str) -> None:
    """A lambda sensor knows no speed and no oil; the knock instrument hears knock."""
    for order in permutations((sign(cause), sign(other, severity=Severity.WARNING, size=-0.085))):
        assert {one.kind for one in decide(order)} == {cause, other}


def test_misfire_explains_false_lean_only_where_it_is() -> None:
    """Lean by its own oxygen within its speeds; a lean half of the range is another trouble."""
    rough = sign("misfire", 2300.0, 2800.0)
    assert [one.kind for one in decide([rough, sign("mixture-lean", 2350.0, 2900.0)])] == ["misfire"]
    assert len(decide([rough, sign("mixture-lean", 2350.0, 3850.0)])) == 2


def test_a_float_explains_no_boost_lost_all_over() -> None:
    """A dip of 300 rpm does not take boost from the whole range."""
    dip = sign("valve-float", 4450.0, 4750.0)
    assert len(decide([dip, sign("boost-shortfall", 1950.0, 4750.0, Severity.WARNING)])) == 2
    assert [one.kind for one in decide([dip, sign("boost-shortfall", 4400.0, 4700.0)])] == ["valve-float"]


@pytest.mark.parametrize("cause", ["knock", "misfire", "low-cylinder", "fuel-starvation"])
@pytest.mark.parametrize("reading", ["torque-zero", "torque-span"])
def test_bad_burning_explains_no_gain(cause: str, reading: str) -> None:
    """What burns badly loses torque; a brake that reads more is off."""
    assert [one.kind for one in decide([sign(cause), sign(reading, size=-0.04)])] == [cause]
    assert {one.kind for one in decide([sign(cause), sign(reading, size=0.04)])} == {cause, reading}


def test_a_lighter_sign_does_not_hide_a_fault_it_does_not_explain() -> None:
    """The table is one-way."""
    kept = decide([sign("oil-out-of-window", severity=Severity.WARNING), sign("heat-soak")])
    assert [one.kind for one in kept] == ["heat-soak"]


def test_small_roughness_on_a_dip_is_the_dips() -> None:
    """Float hashes a little; misfire is rough well below the dip, or rough beside its depth."""
    dip = sign("valve-float", 5000.0, 5400.0, size=-0.06)
    assert [one.kind for one in decide([dip, sign("misfire", 4950.0, 5400.0, size=0.006)])] == ["valve-float"]
    assert [one.kind for one in decide([dip, sign("misfire", 3500.0, 5200.0, size=0.006)])] == ["misfire"]
    assert [one.kind for one in decide([dip, sign("misfire", 4950.0, 5400.0, size=0.03)])] == ["misfire"]


def test_a_bend_where_the_mixture_changes_is_no_dip() -> None:
    """Only at the edge of the rich stretch; a dip elsewhere stays."""
    rich = sign("mixture-rich", 2000.0, 4000.0, Severity.WARNING, -0.05)
    assert [one.kind for one in decide([rich, sign("valve-float", 3900.0, 4200.0)])] == ["mixture-rich"]
    assert len(decide([rich, sign("valve-float", 3000.0, 3300.0)])) == 2


def test_sound_pull_has_no_sign_and_says_what_it_could_not_see() -> None:
    """Nothing is flagged; a natural engine's boost is not looked for."""
    references = [pull(seed=20 + n) for n in range(3)]
    report = health.look(pull(), engine=engine(), references=references)
    assert [one for one in report.signs if one.severity != Severity.NOTE] == []
    assert report.references == ("plain-20", "plain-21", "plain-22")
    assert "torque-zero" in report.looked


def test_alone_and_bare_most_detectors_cannot_look() -> None:
    """Speed and torque only: what would be needed is named."""
    table = channels(1)
    bare = pull(without=tuple(name for name in table if name not in ("time", "rpm", "torque")))
    report = health.look(bare)
    unseen = {one.kind for one in report.unseen}
    assert {"low-cylinder", "heat-soak", "torque-zero", "torque-span", "speed-pickup", "wrong-barometer"} <= unseen
    assert not unseen & set(report.looked)
    assert sorted({*unseen, *report.looked}) == sorted(SIGN_KINDS)
    assert all(one.text for one in report.unseen)


def test_too_short_a_pull_is_unseen_not_refused() -> None:
    """Three rows: nothing looked at, nothing raised."""
    one = pull()
    report = health.look(replace(one, channels={name: values[:3] for name, values in one.channels.items()}))
    assert report.signs == ()
    assert report.looked == ()
    assert len(report.unseen) == len(SIGN_KINDS)


def test_limits_turn_something() -> None:
    """A shop that promises 0.05 % scatter has a quarter of the doubt."""
    off = pull({"torque": channels(1)["torque"] + 1.5})
    references = [pull(seed=20 + n) for n in range(3)]
    loose = health.look(off, engine=engine(), references=references)
    tight = health.look(
        off,
        engine=engine(),
        references=references,
        limits=health.HealthLimits(scatter_torque=0.001, scatter_flow=0.002),
    )
    assert "torque-zero" not in {one.kind for one in loose.signs}
    assert "torque-zero" in {one.kind for one in tight.signs}


def test_a_pull_with_gaps_in_every_channel_is_looked_at() -> None:
    """Missing samples raise nothing and flag nothing."""
    table = channels(1)
    for values in table.values():
        values[50:54] = np.nan
    table["rpm"] = speeds()
    table["time"] = np.arange(speeds().size) / 20.0
    report = health.look(pull(table), engine=engine(), references=[pull(seed=20)])
    assert [one for one in report.signs if one.severity != Severity.NOTE] == []
