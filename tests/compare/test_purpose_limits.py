"""Vetoes over channels and sheets: broken, kept, and not known, which is not passed."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from fairpull.compare.purpose import score
from fairpull.terms.build import Build, Fact, Part
from fairpull.terms.pull import Curve
from fairpull.terms.purpose import Band, Duty, Scores, Veto
from tests.compare.table_curves import curve, engine

HOT = Veto("exhaust_temperature", most=1033.15, unit="K")
DUTY = Duty("haul", "bands", bands=(Band(2000.0, 3000.0, 1.0),), vetoes=(HOT,))


def warm(name: str, number: int, top: float, *, channel: str = "exhaust_temperature_1", reach: float = 9e9) -> Curve:
    plain = curve(name, number)
    heat = np.linspace(top - 100.0, top, len(plain.rpm))
    heat[plain.rpm > reach] = np.nan
    return replace(plain, channels={channel: heat, "exhaust_temperature_2": heat - 10.0})


def judged(one: list[Curve], two: list[Curve], duty: Duty = DUTY, build: Build | None = None) -> Scores:
    return score(duty, [("first", one), ("second", two)], builds={"first": build} if build else {})


def test_a_broken_limit_strikes_a_build_out() -> None:
    result = judged([warm("Anvil A log", 1, 1100.0)], [warm("Anvil A header", 2, 1000.0)])
    kept, struck = result.scores
    assert (kept.build, kept.ranked, struck.ranked) == ("second", True, False)
    # at 3000 rpm, the duty's highest speed: 1100 K less 100 K times 1800 / 3200, as Celsius
    assert struck.struck == ("exhaust temperature 770.6 °C, at most 760 °C allowed",)
    assert result.ties == (("second",),)


def test_only_the_speeds_of_the_duty_count() -> None:
    result = judged([warm("Anvil A log", 1, 1060.0)], [warm("Anvil A header", 2, 1000.0)])
    assert all(one.ranked for one in result.scores)  # 1060 K is reached above 3000 rpm only
    wide = replace(DUTY, bands=(Band(2000.0, 4800.0, 1.0),))
    result = judged([warm("Anvil A log", 1, 1060.0)], [warm("Anvil A header", 2, 1000.0)], wide)
    struck = next(one for one in result.scores if one.build == "first")
    assert struck.struck == ("exhaust temperature 786.9 °C, at most 760 °C allowed",)
    assert "struck out: first" in result.sentence
    assert "limit-broken" in [finding.code for finding in result.findings]


def test_what_was_not_measured_is_not_passed() -> None:
    result = judged([curve("Anvil A log", 1)], [warm("Anvil A header", 2, 1000.0)])
    open_one = next(one for one in result.scores if one.build == "first")
    assert open_one.not_known == ("exhaust temperature: nothing measured or declared",)
    assert not open_one.ranked
    assert open_one.complete
    assert result.ties == (("second",),)
    assert "not passed for want of a measurement: first" in result.sentence
    assert [finding.code for finding in result.findings] == ["limit-not-known"]


def test_half_a_measurement_is_none() -> None:
    result = judged([warm("Anvil A log", 1, 1000.0, reach=2400.0)], [warm("Anvil A header", 2, 1000.0)])
    open_one = next(one for one in result.scores if one.build == "first")
    assert open_one.not_known == ("exhaust temperature: measured over part of the duty's speeds only",)


def test_the_hottest_pull_counts() -> None:
    pulls = [warm("Anvil A log", 1, 1000.0), warm("Anvil A log", 3, 1200.0)]
    result = judged(pulls, [warm("Anvil A header", 2, 1000.0)])
    assert next(one for one in result.scores if one.build == "first").struck


def sheet(name: str, **fields: Any) -> Build:
    return Build(name, engine(), "bench", **fields)


@pytest.mark.parametrize(
    ("veto", "fields", "outcome"),
    [
        (Veto("octane", most=91.0), {"facts": (Fact("octane", 95.0),)}, "broken"),
        (Veto("octane", most=91.0), {"facts": (Fact("octane", 91.0, "1"),)}, "kept"),
        (Veto("octane", most=91.0), {"facts": (Fact("octane", 91.0, "K"),)}, "unknown"),
        (Veto("octane", most=91.0), {"facts": (Fact("octane", "regular"),)}, "unknown"),
        (Veto("noise", most=96.0), {"settings": {"noise": "98"}}, "broken"),
        (Veto("noise", most=96.0), {"settings": {"noise": "loud"}}, "unknown"),
        (Veto("spark", most=0.6, unit="rad"), {"settings": {"spark": "31 deg"}}, "kept"),
        (Veto("octane", most=91.0), {"parts": {"fuel": Part("pump", "fuel", {}, {"octane": 95.0})}}, "broken"),
        (Veto("octane", most=91.0), {"parts": {"fuel": Part("p", "fuel", {}, {}, (Fact("octane", 90.0),))}}, "kept"),
        (Veto("compression_ratio", least=9.5), {}, "broken"),
        (Veto("compression_ratio", most=9.5), {}, "kept"),
        (Veto("octane", most=91.0), {}, "unknown"),
        (
            Veto("mean_piston_speed", most=18.0, unit="m/s"),
            {"facts": (Fact("mean piston speed", 19.0, "m/s"),)},
            "broken",
        ),
    ],
)
def test_sheets_are_asked(veto: Veto, fields: dict[str, Any], outcome: str) -> None:
    duty = Duty("haul", "bands", bands=DUTY.bands, vetoes=(veto,))
    result = judged([curve("Anvil A log", 1)], [curve("Anvil A header", 2)], duty, sheet("first", **fields))
    one = next(one for one in result.scores if one.build == "first")
    assert outcome == ("broken" if one.struck else "unknown" if one.not_known else "kept")


def test_nobody_left_is_said() -> None:
    duty = Duty("haul", "bands", bands=DUTY.bands, vetoes=(Veto("octane", most=91.0),))
    result = judged([curve("Anvil A log", 1)], [curve("Anvil A header", 2)], duty)
    assert result.ties == ()
    assert result.sentence.startswith("Nobody is ranked on this duty: not passed for want of a measurement")
