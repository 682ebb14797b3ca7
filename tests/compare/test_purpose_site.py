"""Scores in the site's own air: the correction taken back, held boost left alone, assumptions said."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fairpull import air
from fairpull.compare.purpose import score
from fairpull.terms.build import Build
from fairpull.terms.errors import NotComparable, ValueRefused
from fairpull.terms.pull import Air
from fairpull.terms.purpose import Band, Duty, LoadPoint
from fairpull.terms.units import to_house
from tests.compare.table_curves import HP, day, engine, sheets

HUT_AIR = air.air_from(
    float(air.standard_pressure(air.geopotential_altitude(to_house(7200.0, "ft", "m")))),
    to_house(41.0, "degF", "K"),
    0.5,
)
BANDS = (Band(1600.0, 2200.0, 0.25), Band(2200.0, 3000.0, 0.45), Band(3000.0, 3800.0, 0.30))
HUT = Duty("hut carrier", "bands", bands=BANDS, air=HUT_AIR)
GROUPS = day()
BIG = GROUPS[:3]  # those that cover the duty without a reduction
ONES = {"sae-j1349": {curve.name: 1.0 for _, members in GROUPS for curve in members}}


def test_the_factor_at_the_hut_is_about_1_28() -> None:
    assert air.correct("sae-j1349", HUT_AIR).factor == pytest.approx(1.28, abs=0.005)


def test_all_scores_fall_alike() -> None:
    plain = score(replace(HUT, air=None), GROUPS, builds=sheets(), standard="sae-j1349", factors=ONES)
    thin = score(HUT, GROUPS, builds=sheets(), standard="sae-j1349", factors=ONES)
    share = {one.build: one.value.value for one in plain.scores}
    for one in thin.scores:  # a belt-driven blower falls with the air
        assert one.value.value / share[one.build] == pytest.approx(0.78, abs=0.003)
    header = next(one for one in thin.scores if one.build == "Anvil A header")
    assert [round(part.value / HP) for part in header.parts.values()] == pytest.approx([60, 89, 116], abs=1)
    codes = {finding.code for finding in thin.findings}
    assert {"site-air-assumed", "outside-standard-limits"} <= codes
    assert "1.282" in next(one.text for one in thin.findings if one.code == "site-air-assumed")
    assert thin.choices["air of the scores"] == "site air, 77.6 kPa and 5 °C, by sae-j1349 taken back"


@pytest.mark.parametrize(
    ("build", "long_rpm", "short_rpm"), [("Anvil A header", 2100.0, 2710.0), ("Wren screw", 2080.0, 2700.0)]
)
def test_where_the_hut_demands_are_met(build: str, long_rpm: float, short_rpm: float) -> None:
    for wanted, expected in ((68.0, long_rpm), (93.0, short_rpm)):
        points = (LoadPoint(3800.0, wanted * HP), LoadPoint(1600.0, wanted * HP))
        line = Duty("demand", "load line", points=points, exponent=0.0, air=HUT_AIR)
        scores = score(line, GROUPS, builds=sheets(), standard="sae-j1349", factors=ONES).scores
        found = next(one for one in scores if one.build == build)
        assert found.parts["met from"].value == pytest.approx(expected, abs=10.0)


def test_the_reference_air_changes_nothing() -> None:
    reference = Air(100_000.0, 298.15, 1000.0)
    assert air.correct("sae-j1349", reference).factor == pytest.approx(1.0, abs=1e-9)
    factors = {"sae-j1349": {name: 0.99 for name in ONES["sae-j1349"]}}
    plain = score(replace(HUT, air=None), BIG, standard="sae-j1349", factors=factors)
    there = score(replace(HUT, air=reference), BIG, standard="sae-j1349", factors=factors)
    for one, other in zip(plain.scores, there.scores, strict=True):
        assert one.value.value == pytest.approx(other.value.value, rel=1e-9)


def test_test_air_equal_to_site_air_gives_the_observed_score() -> None:
    factor = air.correct("sae-j1349", HUT_AIR).factor
    factors = {"sae-j1349": dict.fromkeys(ONES["sae-j1349"], factor)}
    there = score(HUT, BIG, standard="sae-j1349", factors=factors)
    observed = score(replace(HUT, air=None), BIG)
    assert [one.value.value for one in there.scores] == pytest.approx([one.value.value for one in observed.scores])


def test_held_boost_keeps_its_observed_torque() -> None:
    names = ("Anvil A log", "Anvil A header")
    held = {names[0]: Build(names[0], engine("turbo-held"), "e"), names[1]: Build(names[1], engine("turbo"), "e")}
    groups = day(only=names)
    factors = {"sae-j1349": {curve.name: 1.01 for _, members in groups for curve in members}}
    found = score(HUT, groups, builds=held, standard="sae-j1349", factors=factors)
    value = {one.build: one.value.value for one in found.scores}
    observed = {one.build: one.value.value for one in score(replace(HUT, air=None), groups).scores}
    assert value[names[0]] == pytest.approx(observed[names[0]], rel=1e-9)
    assert value[names[1]] == pytest.approx(observed[names[1]] * 1.01 / 1.282, rel=1e-3)
    codes = {finding.code: finding.where for finding in found.findings}
    assert codes["site-air-held"] == names[0]
    assert codes["site-air-turbo"] == names[1]


def test_observed_values_have_no_way_to_another_air() -> None:
    with pytest.raises(NotComparable) as refusal:
        score(HUT, GROUPS)
    assert [fault.code for fault in refusal.value.faults] == ["site-air-needs-standard"]


def test_what_the_standard_cannot_compute_is_refused() -> None:
    names = ("Anvil A log",)
    diesel = {names[0]: Build(names[0], engine("natural", "compression"), "e")}
    with pytest.raises(ValueRefused, match="compression-ignition-unread"):
        score(HUT, day(only=names), builds=diesel, standard="sae-j1349", factors=ONES)
