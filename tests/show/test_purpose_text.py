"""Scores and past work on a terminal: 80 columns, ties on one rank, nothing passed that is not known."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path

import pytest

from fairpull.show.facts.past_page import effects_table, past_sentence
from fairpull.show.facts.purpose_page import OWN, own_findings, scores_table
from fairpull.show.past_text import past_text
from fairpull.show.purpose_text import purpose_text
from fairpull.terms.comparison import Estimate
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.pull import Air
from fairpull.terms.purpose import Band, Duty, LoadPoint, Score, ScoreDifference, Scores, Veto
from fairpull.terms.tuning import Effect, PastWork

NAN = float("nan")
DUTY = Duty(
    "hut carrier",
    "bands",
    "haul stores up the hut road",
    bands=(Band(1600.0, 2200.0, 1.0),),
    air=Air(77600.0, 278.15, 400.0),
    vetoes=(Veto("exhaust_temperature", most=1033.15, unit="K", text="the manifold glows"), Veto("octane", most=91.0)),
)


def watts(value: float, half: float = 300.0, how: str = "weighted mean") -> Estimate:
    return Estimate(value, value - half, value + half, "W", how)


def scores(duty: Duty = DUTY) -> Scores:
    band = "1,600 to 2,200 rpm"
    made = (
        Score("big cam", watts(85500.0), {band: watts(55000.0)}),
        Score("header", watts(85400.0), {band: watts(57000.0)}),
        Score("log", watts(82800.0), {band: watts(56000.0)}),
        Score("no thermometer", watts(90000.0), {band: watts(60000.0)}, not_known=("octane: nothing measured",)),
        Score("glowing", watts(95000.0), struck=("exhaust temperature 790 °C, at most 760 °C allowed",)),
        Score("short", Estimate(NAN, NAN, NAN, "W"), untested=("band 1,600 to 2,200 rpm: 1,600 to 1,800 rpm",)),
    )
    pair = ScoreDifference("big cam", "header", watts(100.0), Estimate(0.001, -0.002, 0.004, "1"), tie=True)
    found = (Finding("duty-untested", Severity.WARNING, "short", "Not all of the duty was tested.", "Test it."),)
    said = {"standard": "sae-j1349"}
    ties = (("big cam", "header"), ("log",))
    return Scores(duty, made, ties, "A tie: big cam and header.", said, found, (pair,))


def past() -> PastWork:
    effects = (Effect("May", 0.036, 0.002, "what the verdict said"), Effect("June", 0.041, 0.003))
    mean, ahead = Estimate(0.038, 0.02, 0.056, "1", "mean, so made"), Estimate(0.038, 0.01, 0.066, "1", "next, so made")
    return PastWork("header", "1", effects, mean, ahead, 0.004, 0.6, "Next time expect of header +3.8 %.")


@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize("width", [80, 60])
def test_no_line_is_longer_than_the_terminal(system: str, width: int) -> None:
    for text in (purpose_text(scores(), system, width=width), past_text(past(), system, width=width)):
        assert max(len(line) for line in text.splitlines()) <= width


def test_the_first_words_say_who_is_ahead() -> None:
    assert purpose_text(scores()).startswith("A tie: big cam and header.\n")
    assert past_text(past()).startswith("Next time expect of header +3.8 %, 95 % of cases +1.0 to +6.6 % (mean of 2")


def test_boost_is_told_per_psi_or_per_kpa() -> None:
    """4.0 % a psi is 0.58 % a kPa; the sentence says it in the table's unit, to the digits that the interval earns."""
    per = 1.0 / 6894.757293168361
    effects = (
        Effect("one", 0.05 * per, 0.004 * per, low=0.042 * per, high=0.059 * per),
        Effect("two", 0.03 * per, per),
    )
    mean, ahead = Estimate(0.04 * per, 0.031 * per, 0.049 * per, "1/Pa"), Estimate(0.04 * per, 0.0, 0.08 * per, "1/Pa")
    made = PastWork("boost", "1/Pa", effects, mean, ahead, 0.004 * per, 0.6, "in pascals")
    us, metric = (" ".join(past_text(made, system).split()) for system in ("us", "metric"))
    assert us.startswith(
        "Next time expect of the gain per unit of boost +4 % per psi, 95 % of cases 0 to +8 % per psi (mean of 2 "
        "comparisons +3.1 to +4.9 % per psi)."
    )
    assert "+0.6 % per kPa, 95 % of cases 0.0 to +1.2 % per kPa" in metric
    alone = replace(made, effects=effects[:1], expected=None)
    assert past_sentence(alone, "us").startswith("One comparison only of the gain per unit of boost: +4.0 % per psi (")
    assert effects_table(alone, "us").rows[0][1:4] == ("+5.0", "+4.2", "+5.9")
    nothing = PastWork("boost", "1/Pa", (), None, None, 0.0, 0.0, "No past comparison of boost.")
    assert past_sentence(nothing) == "No past comparison of boost."


def test_ties_share_a_rank_and_the_unranked_have_none() -> None:
    ranks = {row[1]: row[0] for row in scores_table(scores(), "us").rows}
    assert ranks == {"big cam": "1=", "header": "1=", "log": "3", "no thermometer": "-", "glowing": "-", "short": "-"}


def test_why_a_build_has_no_rank() -> None:
    text = " ".join(purpose_text(scores(), width=200).split())
    assert "not passed: octane: nothing measured" in text
    assert "struck out: exhaust temperature 790 °C, at most 760 °C allowed" in text
    assert "not tested: band 1,600 to 2,200 rpm: 1,600 to 1,800 rpm" in text
    assert "nan" not in text.lower()


def test_units_follow_the_system() -> None:
    us, metric = (" ".join(purpose_text(scores(), system).split()) for system in ("us", "metric"))
    assert "at most 1,400 °F (the manifold glows)" in us
    assert "at most 760 °C (the manifold glows)" in metric
    assert "22.92 inHg, 41 °F" in us
    assert "77.60 kPa, 5 °C" in metric
    assert "114.7" in us  # 85.5 kW
    assert "85.5" in metric
    assert "octane at most 91" in us


def test_own_findings_in_full_and_notes_about_reading_in_one_line() -> None:
    """Twelve notes of two codes become one line; a warning about reading and notes about the duty stay."""
    notes = [Finding("header-repeated", Severity.NOTE, f"p{n}", f"Header again in {n}.", "Leave it.") for n in range(9)]
    notes += [Finding("columns-unknown", Severity.NOTE, f"p{n}", f"Column {n}.", "Name it.") for n in range(3)]
    kept = (
        Finding("scores-not-paired", Severity.NOTE, "a, b", "No rpm in common.", "Test both."),
        Finding("no-weather", Severity.WARNING, "p1", "No weather.", "Give it."),
    )
    made = replace(scores(), findings=(*kept, *notes))
    own, line = own_findings(made.findings)
    assert own == kept
    assert line.startswith("Notes about reading the pulls: header-repeated (9), columns-unknown (3). ")
    text = " ".join(purpose_text(made).split())
    assert line in text
    assert "Header again in" not in text
    assert "No rpm in common." in text
    assert own_findings(kept) == (kept, "")


def test_every_code_of_the_scores_is_shown_in_full() -> None:
    source = Path(__file__).parents[2] / "src" / "fairpull" / "compare" / "purpose"
    text = "\n".join(path.read_text("utf-8") for path in source.glob("*.py"))
    codes = set(re.findall(r'Finding\(\s*"([a-z-]+)"', text))
    assert codes
    assert codes <= set(OWN)


def test_who_is_ahead_is_not_green_where_nobody_meets_the_demand() -> None:
    line = Duty("launch", "load line", points=(LoadPoint(3600.0, 80e3), LoadPoint(1800.0, 40e3)))
    short = Score("A", Estimate(-0.2, -0.21, -0.19, "1"))
    made = Scores(line, (short,), (("A",),), "No build meets the demand; closest is A.")
    enough = replace(made, scores=(replace(short, value=Estimate(0.2, 0.19, 0.21, "1")),))
    assert purpose_text(made, colour=True).split("m", 1)[0] != purpose_text(enough, colour=True).split("m", 1)[0]


def test_a_cycle_says_what_it_cannot_tell() -> None:
    cycle = Duty("cycle E3", "cycle", points=(LoadPoint(3600.0, 80e3),), source="40cfr1042")
    text = " ".join(purpose_text(scores(cycle)).split())
    assert "Nothing is said of fuel or emissions" in text
    assert "40 CFR part 1042, appendix II" in text
    assert "known from a reproduction" in text


def test_text_from_files_cannot_steer_the_terminal() -> None:
    hostile = replace(scores(), sentence="A tie\x1b[31m [bold]x[/bold]")
    assert "\x1b" not in purpose_text(hostile)
    assert "[bold]x[/bold]" in purpose_text(hostile)
    assert "\x1b[" in purpose_text(hostile, colour=True)
    assert "\x1b" not in past_text(replace(past(), kind="header\x1b[2J"))


def test_a_limit_in_a_unit_that_nobody_shows() -> None:
    loud = replace(DUTY, vetoes=(Veto("noise", most=96.0, unit="dB"), Veto("piston_speed", least=10.16, unit="m/s")))
    text = purpose_text(scores(loud))
    assert "noise at most 96 dB" in text
    assert "piston speed at least" in text


def test_nobody_scored() -> None:
    nobody = Scores(DUTY, (), (), "Nobody is ranked on this duty.")
    assert purpose_text(nobody).startswith("Nobody is ranked")


def test_past_work() -> None:
    text = past_text(past())
    assert "expected next time" in text
    assert "+3.8 % (+1.0 to +6.6)" in text
    assert "spread that is not noise  60 %" in text
    assert "+3.2" in text  # May's own interval: 3.6 less 1.96 times 0.2
    one = replace(past(), effects=past().effects[:1], expected=None)
    assert "expected next time" not in past_text(one)
    none = PastWork("cam", "1", (), None, None, 0.0, 0.0, "No past comparison of cam.")
    assert past_text(none).startswith("No past comparison of cam.\n")


def test_boost_is_told_per_unit_of_the_system() -> None:
    effects = (Effect("C", 0.042 / 6894.757, 0.002 / 6894.757),)
    mean = Estimate(0.042 / 6894.757, 0.038 / 6894.757, 0.046 / 6894.757, "1/Pa")
    boost = PastWork("boost", "1/Pa", effects, mean, None, 0.0, 0.0, "One comparison only of boost.")
    assert "+4.2 % per psi (+3.8 to +4.6)" in past_text(boost, "us")
    assert math.isclose(4.2 / 6.894757, 0.609, abs_tol=1e-3)
    assert "+0.61 % per kPa" in past_text(boost, "metric")
