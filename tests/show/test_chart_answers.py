"""Pictures of purpose, tune, running in and past work as data: what is drawn is what the results say."""

from __future__ import annotations

import csv
import itertools
import json
import math
from dataclasses import replace
from io import StringIO
from typing import Any

import altair as alt
import pytest

from fairpull.show import chart_past, chart_purpose, chart_purpose_rows, chart_running_in, chart_tune, chart_tune_rows
from fairpull.show.chart_theme import DARK, LIGHT, NARROW, WIDE
from fairpull.show.facts.past_page import effects_table
from fairpull.show.facts.purpose_page import scores_table
from fairpull.show.facts.tune_page import loops_table, sentences
from fairpull.show.pictures import render
from fairpull.terms.purpose import Duty
from tests.show import answers

Spec = dict[str, Any]


def every(theme: Any = LIGHT, size: Any = WIDE, system: str = "us") -> list[Spec]:
    """Every picture of every kind of result."""
    drawn = [draw(answers.duty_view(duty), theme, size, system) for duty in answers.DUTIES for draw in DUTY_CHARTS]
    for span in (None, (20.0, 34.0)):
        drawn += [
            draw(answers.tune_view(span), theme, size, system) for draw in (chart_tune.loops, chart_tune.settings)
        ]
    drawn += [chart_running_in.trend(answers.running_in_view(pulls), theme, size, system) for pulls in (0, 1, 5)]
    drawn += [chart_past.forest(answers.past_work(several), theme, size, system) for several in (True, False)]
    return drawn


DUTY_CHARTS = (chart_purpose.ranking, chart_purpose.curves)


def layers(part: Any) -> list[Spec]:
    """Every layer of a chart."""
    if isinstance(part, list):
        return [one for each in part for one in layers(each)]
    if not isinstance(part, dict):
        return []
    own = [part] if "mark" in part else []
    return own + [one for key in ("vconcat", "hconcat", "layer") for one in layers(part.get(key, []))]


def texts(spec: Spec) -> set[str]:
    """All words that rows carry."""
    return {
        value for rows in spec["datasets"].values() for row in rows for value in row.values() if isinstance(value, str)
    }


@pytest.mark.parametrize(("theme", "size", "turn"), [(LIGHT, WIDE, 0), (DARK, NARROW, 1)])
def test_every_picture_fits_the_grammar_and_holds_no_address_and_no_nan(theme: Any, size: Any, turn: int) -> None:
    for spec in every(theme, size)[turn::2]:  # each once: the schema is slow
        alt.Chart.from_dict({**spec, "$schema": "https://vega.github.io/schema/vega-lite/v6.json"}, validate=True)
        said = json.dumps(spec, allow_nan=False)
        assert "http" not in said
        assert {name for one in layers(spec) for name in [one.get("data", {}).get("name")] if name} <= set(
            spec["datasets"]
        )


def test_a_picture_of_each_kind_can_be_drawn() -> None:
    """The renderer is stricter than the grammar."""
    few = [
        chart_purpose.ranking(answers.duty_view(), DARK, NARROW),
        chart_purpose.curves(answers.duty_view(answers.LINE), LIGHT, WIDE),
        chart_tune.loops(answers.tune_view(), LIGHT, WIDE),
        chart_tune.settings(answers.tune_view(), LIGHT, NARROW),
        chart_running_in.trend(answers.running_in_view(0), LIGHT, WIDE),
        chart_past.forest(answers.past_work(), LIGHT, WIDE),
    ]
    for spec in few:
        assert render(spec, "svg").startswith(b"<svg")


def test_the_ranking_says_ties_and_the_words_of_the_table() -> None:
    view = answers.duty_view()
    lines = chart_purpose_rows.ranking_lines(view.scores, "us")
    assert [line.name for line in lines if line.heading] == ["rank 1, a tie of 2", "no rank"]
    row = scores_table(view.scores, "us").rows[0]
    first = next(line for line in lines if not line.heading)
    assert first.said == f"{row[2]} hp ({row[3]} to {row[4]})"
    assert first.label == "1=  header"
    short = next(line for line in lines if line.name == "short")
    assert short.value is None
    assert "not tested" in short.said
    drawn = texts(chart_purpose.ranking(view, LIGHT, WIDE))
    assert {first.said, "rank 1, a tie of 2", "1=  <log>"} <= drawn


def test_a_build_without_a_score_has_no_dot() -> None:
    spec = chart_purpose.ranking(answers.duty_view(), LIGHT, WIDE)
    dots = [row for rows in spec["datasets"].values() for row in rows if "at" in row]
    assert [row["build"] for row in dots] == ["header", "<log>"]
    assert [row["at"] for row in dots] == pytest.approx([107.28, 106.21], abs=0.01)  # 80 and 79.2 kW in hp


def test_the_demand_stands_where_the_margin_is() -> None:
    assert chart_purpose_rows.demand(answers.duty_view(answers.LINE).scores, "us") == pytest.approx(10.0)
    assert chart_purpose_rows.demand(answers.duty_view(answers.BANDS).scores, "us") is None
    assert "demand" in texts(chart_purpose.ranking(answers.duty_view(answers.CYCLE), LIGHT, WIDE))


def test_bands_carry_their_weights_and_curves_their_intervals() -> None:
    view = answers.duty_view()
    asked = chart_purpose_rows.asked_rows(view, "metric")
    assert [(one["x"], one["x2"], one["said"]) for one in asked.bands] == [
        (1600.0, 2200.0, "25 %"),
        (2200.0, 3000.0, "75 %"),
    ]
    rows = chart_purpose_rows.curve_rows(view, "metric")
    at = next(row for row in rows if row["build"] == "header" and row["x"] == 3000.0)
    assert at["value"] == pytest.approx(200.0 * 100.0 * math.pi / 1000.0)
    assert at["low"] < at["value"] < at["high"]
    assert max(row["x"] for row in rows if row["build"] == "short") == 2500.0


@pytest.mark.parametrize(
    ("duty", "said"), [(answers.TIME, "55 %"), (answers.LINE, "needed, tinted: 10 % over"), (answers.CYCLE, "2")]
)
def test_what_each_kind_of_duty_asks_for_is_drawn(duty: Duty, said: str) -> None:
    assert said in texts(chart_purpose.curves(answers.duty_view(duty), LIGHT, WIDE))


def test_a_shift_is_told_in_engine_speed() -> None:
    view = answers.duty_view(answers.GEARS)
    assert chart_purpose_rows.rpm_title(view.scores.duty) == "engine rpm"
    assert max(row["x"] for row in chart_purpose_rows.curve_rows(view, "us")) == pytest.approx(1.5 * 3200.0)
    (band,) = chart_purpose_rows.asked_rows(view, "us").bands
    assert (band["x"], band["x2"]) == (pytest.approx(3000.0 / 1.7), 3000.0)


def test_names_stand_apart_and_near_their_curves() -> None:
    placed = chart_purpose_rows.apart([10.0, 10.0, 50.0], 4.0, (0.0, 100.0))
    assert placed == [8.0, 12.0, 50.0]
    edge = chart_purpose_rows.apart([99.0, 99.5, 100.0], 5.0, (0.0, 100.0))
    assert max(edge) == 100.0
    assert min(b - a for a, b in itertools.pairwise(edge)) == pytest.approx(5.0)
    assert chart_purpose_rows.apart([], 4.0, (0.0, 1.0)) == []


def test_the_reader_reads_nothing_where_nothing_was_tested() -> None:
    view = answers.duty_view()
    fields, rows = chart_purpose_rows.reading(view, "us")
    assert [name for name, _ in fields] == ["at", "b0", "b1", "b2"]
    beyond = next(row for row in rows if row["x"] > 2600.0)
    assert beyond["b2"] == "-"
    assert beyond["b0"] != "-"


def test_a_loop_shows_its_points_knock_best_and_next() -> None:
    view = answers.tune_view()
    bare, full = view.result.loops
    rows = chart_tune_rows.point_rows(view, full, "metric")
    assert [row["x"] for row in rows] == pytest.approx([22.0, 26.0, 30.0, 34.0])
    assert [row["heard"] for row in rows] == ["no", "no", "no", "yes"]
    marks = chart_tune_rows.mark_rows(view, full, "metric")
    assert marks["best"]["x"] == pytest.approx(28.0)
    assert marks["best"]["said"] == loops_table(view.result).rows[1][2]
    assert marks["next"]["value"] == pytest.approx(300.0 - 0.05 * 9.0, abs=0.06)
    named = replace(view, knock_limit=10.0)
    assert {row["heard"] for row in chart_tune_rows.point_rows(named, full, "metric")} == {"no"}
    assert chart_tune_rows.mark_rows(view, bare, "metric") == {}
    assert {row["heard"] for row in chart_tune_rows.point_rows(view, bare, "metric")} == {"not logged"}


def test_what_may_not_be_run_is_hatched_and_only_where_it_was_named() -> None:
    assert "not to be run" in texts(chart_tune.loops(answers.tune_view(), LIGHT, WIDE))
    assert "not to be run" not in texts(chart_tune.loops(answers.tune_view(None), LIGHT, WIDE))
    assert "limits card" in texts(chart_tune.settings(answers.tune_view(), LIGHT, WIDE))


def test_every_setting_lies_inside_the_panel() -> None:
    low, high = chart_tune_rows.settings_range(answers.tune_view())
    assert low < 20.0
    assert high > 34.0


def test_what_the_loops_say_together() -> None:
    said = " ".join(sentences(answers.tune_view().result))
    assert "A top was found at 1 of 2 speeds" in said
    assert "worth running at 1 of 2" in said
    silent = replace(answers.tune_view().result, loops=(answers.bare_loop(),))
    assert "No loop has a top yet" in sentences(silent)[0]
    assert "Nobody logged knock" in " ".join(sentences(silent))


def test_running_in_joins_the_pulls_of_one_build_only() -> None:
    view = answers.running_in_view()
    rows = chart_running_in.point_rows(view, view.result.torque)
    assert [row["run"] for row in rows] == [0, 0, 0, 1, 1]
    assert [row["latest"] for row in rows] == ["no", "no", "yes", "yes", "yes"]
    spec = chart_running_in.trend(view, LIGHT, WIDE)
    assert len(spec["vconcat"]) == 2  # no oil temperature
    assert {"settled from here", "one", "two"} <= texts(spec)


def test_past_work_shows_each_comparison_the_mean_and_the_expectation() -> None:
    past = answers.past_work()
    lines = chart_past.lines(past, "us")
    assert [line.kind for line in lines] == ["one", "one", "mean", "next"]
    row = effects_table(past, "us").rows[0]
    assert lines[0].said == f"{row[1]} % ({row[2]} to {row[3]})"
    assert lines[0].value == pytest.approx(3.7)
    assert [line.kind for line in chart_past.lines(answers.past_work(several=False), "us")] == ["one"]


@pytest.mark.parametrize(
    ("text", "columns"),
    [
        (chart_purpose_rows.ranking_csv(answers.duty_view().scores, "us"), 6),
        (chart_purpose_rows.curves_csv(answers.duty_view(), "metric"), 5),
        (chart_tune_rows.loops_csv(answers.tune_view(), "us"), 8),
        (chart_tune_rows.map_csv(answers.tune_view()), 5),
        (chart_running_in.trend_csv(answers.running_in_view().result), 5),
        (chart_past.forest_csv(answers.past_work()), 5),
    ],
)
def test_tables_to_take_away_are_even_and_hold_no_formula(text: str, columns: int) -> None:
    rows = list(csv.reader(StringIO(text)))
    assert {len(row) for row in rows} == {columns}
    assert len(rows) > 2
    assert not any(cell.startswith("=") for row in rows for cell in row)
