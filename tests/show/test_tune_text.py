"""Loops and running in as text."""

from __future__ import annotations

from dataclasses import replace

from fairpull.show.tune_text import loops_table, running_in_text, tune_text
from tests.show import bench_days


def test_cautions_come_first() -> None:
    for kind in ("spark", "mixture"):
        assert tune_text(bench_days.tune(kind)).startswith("Tuning at full load can kill")


def test_spark_is_shown_in_degrees_and_lambda_as_it_is() -> None:
    spark, mixture = (loops_table(bench_days.tune(kind), "us").rows[0] for kind in ("spark", "mixture"))
    assert spark[2:4] == ("28.0 (26.5 to 29.5)", "26.5 (25.0 to 28.0)")
    assert mixture[2] == "0.880 (0.860 to 0.900)"
    assert mixture[-1] == "-"  # knock limits no mixture


def test_a_top_beyond_the_points_is_at_least() -> None:
    assert loops_table(bench_days.tune("spark"), "us").rows[1][2] == "at least 28.0"


def test_knock_is_told_three_ways() -> None:
    assert [row[-1] for row in loops_table(bench_days.tune("spark"), "us").rows] == ["no", "limits", "not logged"]


def test_a_loop_of_one_setting_has_no_numbers() -> None:
    row = loops_table(bench_days.tune("spark"), "us").rows[2]
    assert row[1] == "1"
    assert set(row[2:6]) == {"-"}


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
