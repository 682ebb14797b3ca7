"""Engine files: derived quantities by rpm, and unlike engines seen as a comparison of BMEP."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from fairpull.show import chart_csv, charts
from fairpull.show.comparison_text import comparison_text
from fairpull.show.facts import derived, views, words
from fairpull.show.jsonface import comparison_json_text
from tests.show import days, engine_days
from tests.show.pages import page

SPEED, RPM = "bmep-at-equal-mean-piston-speed", "bmep-at-equal-rpm"


def _cells(head: str, build: str, rpm: str, system: str = "us") -> str:
    table = derived.by_rpm(engine_days.engine_day(), system)
    at = [column.name for column in table.columns].index(head)
    return next(row[at] for row in table.rows if row[:2] == (rpm, build))


def test_derived_quantities_are_shown_in_the_persons_units() -> None:
    assert _cells("BSFC", "log", "3,000") == "0.450"  # 7.6e-8 kg/J x 3.6e6 / 0.45359 x 0.74570
    assert _cells("BSFC", "log", "3,000", "metric") == "274"
    assert _cells("VE", "header", "3,000") == "86.0"
    assert _cells("piston speed", "log", "3,000", "metric") == "10.0"
    assert _cells("piston speed", "log", "3,000") == "1,969"
    assert _cells("lambda", "log", "3,000") == "0.874"
    psi, specific = float(_cells("BMEP", "log", "3,000")), float(_cells("specific torque", "log", "3,000"))
    assert psi == pytest.approx(4.0 * np.pi * specific * 12.0, abs=0.2)  # lb-ft/in3 are 12 lb-in/in3


def test_what_was_not_measured_is_a_dash_and_an_untested_build_has_no_row() -> None:
    table = derived.by_rpm(engine_days.engine_day(), "us")
    first = table.rows[0]
    assert first[:2] == ("1,600", "log")
    assert first[-2] == "-"
    assert [row[1] for row in table.rows if row[0] == "1,600"] == ["log"]
    assert [row[1] for row in table.rows if row[0] == "mean"] == ["log", "header"]


def test_without_an_engine_file_nothing_is_derived() -> None:
    assert derived.by_rpm(days.header_day(), "us").rows == ()
    assert views.lenses(days.header_day()) == {}
    assert "engine file" not in comparison_text(days.header_day())


def test_a_view_is_a_comparison_of_bmep() -> None:
    day = engine_days.unlike_day()
    lens = views.lenses(day)[RPM]
    assert (lens.quantity, lens.axis) == ("bmep", "rpm")
    for group, seen, volume in zip(
        day.groups, lens.groups, (engine_days.LOG_VOLUME, engine_days.HEADER_VOLUME), strict=True
    ):
        np.testing.assert_allclose(seen.torque, 4.0 * np.pi * group.torque / volume, rtol=1e-12)
        assert seen.tested == group.tested
    assert not np.isfinite(lens.differences[0].mean_power.value)


def test_at_equal_piston_speed_each_build_stands_at_its_own_rpm() -> None:
    day = engine_days.unlike_day()
    lens = views.lenses(day)[SPEED]
    assert lens.axis == "mean piston speed"
    log, header = lens.groups
    assert log.tested == pytest.approx([engine_days.LOG_STROKE * one / 30.0 for one in day.groups[0].tested])
    assert header.tested == pytest.approx([engine_days.HEADER_STROKE * one / 30.0 for one in day.groups[1].tested])
    assert (header.rpm[0], header.rpm[-1]) == pytest.approx(header.tested)  # drawn to the very end of what was tested
    difference = lens.differences[0]
    both = np.interp(difference.rpm, header.rpm, header.torque) / np.interp(difference.rpm, log.rpm, log.torque) - 1.0
    np.testing.assert_allclose(both, difference.ratio, atol=2e-5)
    span = difference.verdict.spans[0]
    assert (span.low, span.high) == pytest.approx((1600.0 / 300.0, 3600.0 / 300.0))


def test_a_view_speaks_of_bmep_and_says_whose_rpm() -> None:
    text = " ".join(comparison_text(engine_days.unlike_day()).split())
    assert "more BMEP from 1600 to 3600 rpm" in text
    assert "header turns 1.250 times as fast at the same mean piston speed" in text
    assert "header, BMEP at equal rpm: +5" in text
    assert words.sentence(days.header_day().differences[0], "torque") in " ".join(
        comparison_text(days.header_day()).split()
    )


def test_without_a_stroke_there_is_no_view_at_piston_speed_to_draw() -> None:
    day = engine_days.unlike_day()
    bare = replace(day.groups[1], derived={"bmep": day.groups[1].derived["bmep"]})
    lame = replace(day, groups=(day.groups[0], bare))
    assert set(views.lenses(lame)) == {RPM}
    assert "BMEP at equal mean piston speed" in comparison_text(lame)  # its verdict still stands there


def test_torque_per_displacement_is_bmep_over_four_pi() -> None:
    day = engine_days.unlike_day()
    row = views.averages(day, day.views[0], "metric").rows[0]
    assert float(row[4]) == pytest.approx(float(row[1]) * 1e5 / (4.0 * np.pi) / 1e3, abs=0.5)


def test_each_view_has_a_chart_and_its_numbers() -> None:
    day = engine_days.unlike_day()
    assert charts.names(day) == ("torque", "power", "timeline", RPM, SPEED)
    head = chart_csv.chart_csv(SPEED, day, "metric").splitlines()[0]
    assert head.startswith('"mean piston speed, m/s",log [bar],log low [bar]')
    assert f'id="chart-{SPEED}"' in page("unlike day")
    assert page("unlike day").count("<figure") == 5


def test_json_holds_both() -> None:
    day = engine_days.unlike_day()
    read: dict[str, Any] = json.loads(comparison_json_text(day))
    log = read["groups"][0]["derived"]
    np.testing.assert_array_equal(log["bmep"]["values"], day.groups[0].derived["bmep"].values)
    assert log["lambda_flows_over_sensor"]["values"][0] is None
    assert log["volumetric_efficiency"]["how"].endswith("(the room)")
    assert [view["name"] for view in read["views"]] == [view.name for view in day.views]
    assert [one["group"] for one in read["views"][0]["mean_bmep"]] == ["log", "header"]
    np.testing.assert_array_equal(read["views"][1]["differences"][0]["axis"]["values"], day.views[1].differences[0].rpm)
    assert "power" not in read["views"][1]["differences"][0]


def test_the_making_names_formula_method_and_works() -> None:
    text = " ".join(comparison_text(engine_days.engine_day()).split())
    for face in (text, page("engine")):
        assert "factor = 1.18 (990 / dry pressure)" in face
        assert "Discrete sequential boundaries" in face
        assert "Internal Combustion Engine Fundamentals" in face
    making = text[text.index("How each number was made") :]
    assert "standard formula: factor" in making
    assert "standard formula" not in text[: text.index("How each number was made")]
