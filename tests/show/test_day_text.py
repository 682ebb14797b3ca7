"""A day out of the book, and a log that has just come in."""

from __future__ import annotations

from dataclasses import replace

from fairpull.show.arrival_text import arrival_text
from fairpull.show.day_text import day_text
from fairpull.terms.purpose import Duty, Scores
from tests.show import bench_days

SCORES = Scores(Duty("haul", "bands"), (), (), "A tie: a and b cannot be told apart on this duty.")


def test_only_pulls_that_have_something_to_say_are_told() -> None:
    plain = replace(bench_days.lines()[0], health=bench_days.health("02-baseline"))
    text = day_text([plain, bench_days.lines()[2]], [])
    told = text.split("What the pulls showed")[1]
    assert "02-baseline" not in told
    assert "09-header-third: set aside: fuel-starvation" in told


def test_a_pull_set_aside_without_a_look_is_told_too() -> None:
    line = replace(bench_days.lines()[2], health=None, reason="fan belt came off")
    assert "09-header-third: set aside: fan belt came off" in day_text([line], [])


def test_verdicts_have_their_ledger_and_fair_sentences() -> None:
    text = " ".join(day_text((), [bench_days.fair()]).split())
    assert "Under test: exhaust; nothing else differs." in text
    assert "For each unit of fuel energy header makes 2.0 % more work." in text


def test_the_purpose_comes_last_where_there_is_one() -> None:
    assert "Purpose" not in day_text((), [])
    text = day_text((), [], SCORES)
    assert text.index("Purpose: haul") > text.index("Verdicts")
    assert "A tie: a and b" in text


def test_units_follow_the_system() -> None:
    assert "kW" in day_text(bench_days.lines(), [], None, "metric")
    assert "hp" in day_text(bench_days.lines(), [], None, "us")


def test_an_arrival_says_findings_before_the_verdict() -> None:
    text = arrival_text("x.csv", bench_days.lines()[1:2], bench_days.fair(), look=2)
    assert text.splitlines()[0] == "x.csv"
    assert text.index("valve float") < text.index("header differs from log")
    assert "Look 2 at this build" in text


def test_an_arrival_without_a_look_or_a_comparison() -> None:
    assert "Look" not in arrival_text("x.csv", (), bench_days.fair())
    refused = arrival_text("x.csv", (), None, why_not="x.csv: nothing of the kind")
    assert refused.splitlines() == ["x.csv", "x.csv: nothing of the kind"]


def test_an_arrival_in_metric_units() -> None:
    assert "118.3 kW" in arrival_text("x.csv", bench_days.lines()[:1], None, system="metric")
