"""Charts as data: what is drawn is what the Comparison says."""

from __future__ import annotations

import itertools
import json
import re
from dataclasses import replace
from typing import Any

import altair as alt
import numpy as np
import pytest

from fairpull.show import chart_frame, chart_rows, charts, scale
from fairpull.show.chart_canvas import canvas
from fairpull.show.chart_difference import crossover_rows, said_rows, span_rows
from fairpull.show.chart_theme import DARK, DASHES, DECLARED_DASH, LIGHT, NARROW, WIDE, Size, Theme, config, repaint
from fairpull.terms.comparison import Comparison, Span
from tests.show import days
from tests.show.pages import DAYS, spec


def layers(part: Any) -> list[dict[str, Any]]:
    """Every layer of a chart, panels in order."""
    if isinstance(part, dict):
        if "mark" in part:
            return [part]
        return [one for key in ("vconcat", "layer") for each in part.get(key, []) for one in layers(each)]
    return []


def rows_with(spec: dict[str, Any], *names: str) -> list[list[dict[str, Any]]]:
    """The sheets whose rows have exactly these fields."""
    return [rows for rows in spec["datasets"].values() if rows and set(rows[0]) == set(names)]


@pytest.mark.parametrize(("name", "system"), [*((name, "us") for name in DAYS), ("header", "metric")])
def test_the_overlay_draws_the_means_and_their_bands(name: str, system: str) -> None:
    day: Comparison = DAYS[name]()
    (means,) = rows_with(spec(name, "torque", system), "x", "build", "value", "low", "high")
    unit = "N m" if day.quantity == "torque" else "Pa"
    wanted = np.concatenate([scale.arrays(group.torque, unit, system, day.quantity) for group in day.groups])
    np.testing.assert_array_equal([row["value"] for row in means], wanted)
    lows = np.concatenate([scale.arrays(group.torque_low, unit, system, day.quantity) for group in day.groups])
    np.testing.assert_array_equal([row["low"] for row in means], lows)


def test_the_difference_is_drawn_in_per_cent_with_its_simultaneous_band() -> None:
    day = days.three_builds()
    drawn = rows_with(
        spec("three"), "x", "value", "low", "high", "point_low", "point_high", "amount", "amount_low", "amount_high"
    )
    assert len(drawn) == 2
    for rows, difference in zip(drawn, day.differences, strict=True):
        np.testing.assert_array_equal([row["x"] for row in rows], difference.rpm)
        np.testing.assert_allclose([row["value"] for row in rows], 100.0 * difference.ratio, rtol=1e-15)
        np.testing.assert_allclose([row["high"] for row in rows], 100.0 * difference.ratio_high, rtol=1e-15)


def test_all_panels_stand_on_one_axis() -> None:
    drawn = spec("three")
    domains = {
        tuple(layer["encoding"]["x"]["scale"]["domain"])
        for layer in layers(drawn)
        if "scale" in layer["encoding"].get("x", {})
    }
    assert domains == {(1500.0, 5000.0)}
    assert drawn["resolve"]["scale"]["x"] == "shared"


def test_power_is_torque_times_angular_speed() -> None:
    day = days.header_day()
    (means,) = rows_with(spec("header", "power", "metric"), "x", "build", "value", "low", "high")
    group = day.groups[0]
    wanted = group.torque * group.rpm * np.pi / 30.0 / 1000.0
    np.testing.assert_allclose([row["value"] for row in means if row["build"] == "log"], wanted, rtol=1e-12)


def test_single_pulls_are_corrected_and_untested_rpm_is_left_out() -> None:
    day = days.header_day()
    rows = chart_rows.pull_rows(day, chart_rows.main(day), "metric")
    group = day.groups[1]
    curve = group.curves[2]
    known = np.isfinite(curve.torque)
    mine = [row for row in rows if row["pull"] == curve.name]
    np.testing.assert_allclose([row["value"] for row in mine], curve.torque[known] * group.factors[2], rtol=1e-15)
    assert min(row["x"] for row in mine) == group.tested[0]


def test_a_pull_that_ran_further_than_its_build_was_tested_is_cut_there() -> None:
    day = days.header_day()
    narrow = replace(day.groups[1], tested=(1800.0, 4200.0))
    rows = chart_rows.pull_rows(replace(day, groups=(day.groups[0], narrow)), chart_rows.main(day), "us")
    mine = [row["x"] for row in rows if row["build"] == "header"]
    assert (min(mine), max(mine)) == (1800.0, 4200.0)


def test_words_keep_clear_of_lines_and_names() -> None:
    assert chart_frame.clear_of([], (0.0, 10.0)) == 5.0
    assert chart_frame.clear_of([5.0, 4.0], (0.0, 10.0)) == pytest.approx(7.0)
    assert chart_frame.clear_of([6.0, 8.0], (0.0, 10.0)) == pytest.approx(3.0)


def test_short_spans_are_seen_and_their_words_never_touch() -> None:
    day = days.header_day()
    spans = (Span(3400.0, 3400.0, 1), Span(3425.0, 3425.0, 1), Span(3900.0, 4600.0, 1))
    one = replace(day.differences[0], verdict=replace(day.differences[0].verdict, spans=spans))
    drawn = canvas(day, LIGHT, NARROW, "us")
    per = NARROW.width / (drawn.frame.axis[1] - drawn.frame.axis[0])
    assert all((row["x2"] - row["x"]) * per >= 2.99 for row in span_rows(drawn, one))
    said = said_rows(drawn, one)
    assert [row["said"] for row in said] == ["+ gain", "+ gain"]
    assert (said[1]["x"] - said[0]["x"]) * per > 5 * 0.62 * NARROW.font


def test_nothing_is_drawn_as_a_curve_outside_the_tested_range() -> None:
    day = days.header_day()
    for row in chart_rows.difference_rows(day, day.differences[0], "us"):
        assert 1700.0 <= row["x"] <= 4600.0


def test_untested_rpm_is_hatched_and_named() -> None:
    made = spec("header")
    said = {row["said"] for rows in made["datasets"].values() for row in rows if "said" in row}
    assert {"not tested", "not tested by both"} <= said
    hatched = [row for rows in rows_with(made, "x", "x2", "y", "y2") for row in rows]
    assert hatched
    assert all(row["x2"] <= 1700.0 + 1e-6 or row["x"] >= 4600.0 - 1e-6 for row in hatched)


def test_declared_curves_are_dotted_named_and_without_a_band() -> None:
    day = days.header_day()
    made = spec("header")
    (rows,) = rows_with(made, "x", "curve", "value")
    np.testing.assert_array_equal([row["x"] for row in rows], day.declared[0].rpm)
    drawn = [one for one in layers(made) if one["encoding"].get("detail", {}) == {"field": "curve", "type": "nominal"}]
    assert [one["mark"]["type"] for one in drawn] == ["line"]
    assert drawn[0]["mark"]["strokeDash"] == list(DECLARED_DASH)
    labels = {row["label"] for sheet in made["datasets"].values() for row in sheet if "label" in row}
    assert "declared: maker's rating" in labels


def test_many_declared_curves_share_one_label() -> None:
    made = spec("declared")
    labels = {row["label"] for sheet in made["datasets"].values() for row in sheet if "label" in row}
    assert labels == {"log", "header", "declared: 39 curves"}
    (rows,) = rows_with(made, "x", "curve", "value")
    assert len({row["curve"] for row in rows}) == 39


def test_gain_loss_crossover_and_band_are_where_the_verdict_says() -> None:
    day = days.header_day()
    drawn = canvas(day, LIGHT, WIDE, "us")
    assert [(row["x"], row["x2"], row["sign"]) for row in span_rows(drawn, day.differences[0])] == [
        (1700.0, 2150.0, -1),
        (2450.0, 4600.0, 1),
    ]
    (crossing,) = crossover_rows(drawn, day.differences[0])
    assert (crossing["x"], crossing["low"], crossing["high"]) == (2305.0, 2170.0, 2440.0)
    assert drawn.frame.band == (1800.0, 4600.0)
    made = spec("header")
    (worth,) = rows_with(made, "x", "x2", "low", "high")
    assert (worth[0]["low"], worth[0]["high"]) == (-1.0, 1.0)


def test_an_open_ended_peak_has_its_own_mark() -> None:
    (rows,) = rows_with(spec("header", "power"), "x", "build", "value", "reached", "said", "where")
    assert {row["build"]: row["reached"] for row in rows} == {"log": "yes", "header": "no"}


def test_the_timeline_has_every_pull_in_order_with_the_drift_of_the_day() -> None:
    day = days.header_day()
    made = spec("header", "timeline", "metric")
    (rows,) = rows_with(made, "x", "build", "pull", "time", "value", "factor", "inlet", "drift")
    assert [row["pull"] for row in rows] == [row.pull for row in day.pulls]
    np.testing.assert_allclose([row["value"] for row in rows], [row.band_mean for row in day.pulls], rtol=1e-15)
    (levels,) = rows_with(made, "x", "build", "value")
    log = [row["value"] for row in levels if row["build"] == "log"]
    np.testing.assert_allclose(
        log, [day.groups[0].mean_torque.value * (1 + row.drift) for row in day.pulls], rtol=1e-15
    )


def test_the_pointer_reads_what_the_table_says() -> None:
    day = days.header_day()
    rows = {row["at"]: row for row in chart_rows.reading_rows(day, chart_rows.main(day), "us")}
    assert rows["3,000"]["b0"].startswith("225.2 (")
    assert rows["3,000"]["d1"].startswith("+3.8 % (")
    assert rows["1,600"]["b1"] == "not tested"
    assert rows["4,700"]["d1"] == "not tested by both"


@pytest.mark.parametrize(("theme", "size"), [(DARK, NARROW)])
@pytest.mark.parametrize("name", list(DAYS))
def test_every_day_can_be_drawn_in_every_theme_and_size(name: str, size: Size, theme: Theme) -> None:
    day: Comparison = DAYS[name]()
    for chart in charts.names(day):
        made = charts.chart(chart, day, theme, size)
        assert "http" not in json.dumps({key: part for key, part in made.items() if key != "datasets"})
        json.dumps(made, allow_nan=False)
        assert made["config"]["background"] == theme.page


def test_charts_keep_to_the_grammar_of_graphics() -> None:
    day = days.header_day()
    for chart in charts.names(day):
        made = spec("header", chart)
        made["datasets"] = {name: rows[:1] for name, rows in made["datasets"].items()}
        alt.Chart.from_dict(made, validate=True)


def test_bmep_against_piston_speed_has_no_power_chart() -> None:
    assert charts.names(days.unlike_engines()) == ("torque", "timeline")


def test_labels_never_touch_and_stay_inside() -> None:
    placed = chart_frame.spread([10.0, 10.1, 10.2, 0.0], (0.0, 20.0), 200.0, 16.0)
    ordered = sorted(placed)
    assert all(two - one >= 1.6 - 1e-9 for one, two in itertools.pairwise(ordered))
    assert max(placed) <= 20.0


def test_hatching_stays_in_its_region() -> None:
    rows = chart_frame.hatch((10.0, 12.0), (0.0, 20.0), (-5.0, 5.0), 400.0, 100.0)
    assert rows
    for row in rows:
        assert 10.0 - 1e-9 <= row["x"] < row["x2"] <= 12.0 + 1e-9
        assert -5.0 - 1e-9 <= row["y"] < row["y2"] <= 5.0 + 1e-9


def _luminance(tone: str) -> float:
    parts = [int(tone[at : at + 2], 16) / 255.0 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, two: str) -> float:
    """Contrast ratio of WCAG 2."""
    high, low = sorted((_luminance(one), _luminance(two)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("theme", [LIGHT, DARK])
def test_contrast_words_aa_and_curves_three_to_one(theme: Theme) -> None:
    assert contrast(theme.ink, theme.page) >= 7.0
    assert contrast(theme.quiet, theme.page) >= 4.5
    assert all(contrast(tone, theme.page) >= 3.0 for tone in theme.builds)


def test_curves_differ_without_colour() -> None:
    assert len(set(DASHES)) == len(DASHES)
    assert DECLARED_DASH not in DASHES
    assert config(LIGHT, WIDE)["font"] == config(DARK, WIDE)["font"]


def test_repainting_a_chart_is_drawing_it_in_the_other_theme() -> None:
    light, dark = spec("header"), charts.torque(days.header_day(), DARK, WIDE)
    for made in (light, dark):
        made.pop("datasets")
    views = re.compile("view_[0-9a-f]+")  # names that Altair numbers by itself
    wanted = views.sub("view", json.dumps(dark))
    assert views.sub("view", repaint(json.dumps(light), LIGHT, DARK)) == wanted
