"""Loops and running in as text."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from fairpull.show.facts import words
from fairpull.show.facts.tune_page import loops_table, trend_rows, worth_table
from fairpull.show.tune_text import running_in_text, tune_text
from fairpull.terms.comparison import Estimate
from tests.show import bench_days


def test_cautions_come_first() -> None:
    for kind in ("spark", "mixture"):
        assert tune_text(bench_days.tune(kind)).startswith("Tuning at full load can kill")


def test_spark_is_shown_in_degrees_and_lambda_as_it_is() -> None:
    spark, mixture = (loops_table(bench_days.tune(kind)).rows[0] for kind in ("spark", "mixture"))
    assert spark[2:4] == ("28.0 (26.5 to 29.5)", "26.5 (25.0 to 28.0)")
    assert mixture[2] == "0.880 (0.860 to 0.900)"


def test_a_top_beyond_the_points_is_at_least() -> None:
    assert loops_table(bench_days.tune("spark")).rows[1][2] == "at least 28.0"


@pytest.mark.parametrize("kind", ["spark", "mixture"])
def test_knock_is_told_in_every_loop_and_not_logged_only_where_it_is_not(kind: str) -> None:
    made = bench_days.tune(kind)
    first = "no" if kind == "spark" else "not logged"
    assert [row[-1] for row in loops_table(made).rows] == [first, "limits", "not logged"]
    alone = made.loops[2]
    heard = replace(alone, points=replace(alone.points, knock=np.full(alone.points.setting.shape, 0.4)))
    assert loops_table(replace(made, loops=(heard,))).rows[0][-1] == "-"


def test_a_loop_of_one_setting_has_no_numbers() -> None:
    row = loops_table(bench_days.tune("spark")).rows[2]
    assert row[1] == "1"
    assert set(row[2:4]) == {"-"}
    assert [row[0] for row in worth_table(bench_days.tune("spark"), "us").rows] == ["2,400", "2,800"]


def test_what_the_top_is_worth_comes_with_its_intervals() -> None:
    """Torque, flatness and cost, each with the interval of the record; a loop without a top has no line."""
    made = bench_days.tune("spark")
    given = made.loops[0]
    assert given.best_torque is not None
    assert given.flat is not None
    assert given.cost_of_safe is not None
    _, torque, flat, cost = worth_table(made, "metric").rows[0]
    assert torque == words.with_interval(given.best_torque, "metric")
    assert torque.count(" to ") == flat.count(" to ") == cost.count(" to ") == 1
    low, high = (float(end) for end in flat.partition("(")[2].rstrip(")").split(" to "))
    assert (low, high) == pytest.approx((math.degrees(given.flat.low), math.degrees(given.flat.high)), abs=0.06)
    assert cost == words.with_interval(given.cost_of_safe, "metric")
    for system in ("us", "metric"):
        text = tune_text(made, system)
        assert "What the tops are worth" in text
        assert max(len(line) for line in text.splitlines()) <= 80


def test_torque_is_in_the_persons_units() -> None:
    assert "lb-ft" in tune_text(bench_days.tune("spark"), "us")
    assert "N m" in tune_text(bench_days.tune("spark"), "metric")


def test_every_loops_findings_and_checks_are_shown() -> None:
    text = tune_text(bench_days.tune("spark"))
    assert "loop-few-points" in text
    assert "no-setting-logged" in text
    assert text.count("[heywood, from memory]") == 2
    bare = replace(bench_days.tune("spark"), loops=bench_days.tune("spark").loops[2:])
    assert "Shape" not in tune_text(bare)


def test_running_in_says_first_whether_it_has_settled() -> None:
    assert running_in_text(bench_days.running_in(True)).startswith("Anvil has settled since p3.\n")
    still = running_in_text(bench_days.running_in(False), "metric")
    assert still.startswith("Anvil is still running in.\n")
    assert "Still to come: 1.2 % (0.4 to 2.1)." in still
    assert "Still to come" not in running_in_text(bench_days.running_in(True))
    assert max(len(line) for line in still.splitlines()) <= 80


def test_running_in_tells_its_trends_with_intervals_and_what_age_is() -> None:
    """A kelvin of trend is 1.8 degrees Fahrenheit."""
    oil = Estimate(1.0, 0.5, 1.5, "K")
    blow = Estimate(-0.02, -0.05, 0.01, "1")
    made = replace(bench_days.running_in(False), latest=4, oil_trend=oil, blow_by_trend=blow)
    us, metric = running_in_text(made, "us"), running_in_text(made, "metric")
    assert "Trends over the latest 4 pulls" in us
    rows = {line.split("  ")[0]: " ".join(line.split()) for line in us.splitlines()}
    assert rows["torque"] == "torque +0.20 % (+0.10 to +0.30)"
    assert rows["blow-by"] == "blow-by -2.0 % (-5.0 to +1.0)"
    assert rows["oil temperature"] == "oil temperature +1.8 °F (+0.9 to +2.7)"
    assert "+1.0 °C (+0.5 to +1.5)" in metric
    assert "Age: running number" in us
    aged = running_in_text(replace(made, age="h"))
    assert "Age: engine hours" in aged
    assert max(len(line) for line in us.splitlines()) <= 80
    assert trend_rows(replace(made, trend=None, blow_by_trend=None, oil_trend=None), "us") == ()
