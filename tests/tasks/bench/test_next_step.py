"""The one thing that matters next: every rule, and which goes before which."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from fairpull.book import open_book
from fairpull.tasks.bench.compare_builds import compare_builds
from fairpull.tasks.bench.next_step import BASELINE, RULES, State, next_step
from fairpull.terms.bench import COUNTS, SET_ASIDE, KeptPull
from fairpull.terms.comparison import CANNOT_TELL, DIFFERS, NO_DIFFERENCE, Verdict
from fairpull.terms.errors import Fault
from fairpull.terms.ledger import FairComparison
from fairpull.terms.looking import BenchDay, Came, Judged, Pair

TODAY, BEFORE = date(2031, 5, 6), date(2031, 5, 5)
PAIR = Pair("plain", "tube")
REFUSED = Came("bad.csv", 1.0, faults=(Fault("no-pull", "bad.csv", "no pull in it", "export it again"),))
TAKEN = Came("good.csv", 2.0, pulls=("tube-1",))


@pytest.fixture
def made(filled: Path) -> FairComparison:
    with open_book(filled, read_only=True) as kept:
        return compare_builds(kept, ("plain", "tube"))


@pytest.fixture
def line(filled: Path) -> KeptPull:
    with open_book(filled, read_only=True) as kept:
        return kept.pull("plain-0")


def judged(made: FairComparison, kind: str, needed: int | None = None, confounded: str = "") -> Judged:
    verdict = Verdict(kind, "said", (), needed, 0.01, confounded)
    first = replace(made.comparison.differences[0], verdict=verdict)
    return Judged(PAIR, replace(made, comparison=replace(made.comparison, differences=(first,))))


def day(line: KeptPull, *builds: str, today: bool = True, state: str = COUNTS) -> BenchDay:
    """A day with pulls of these builds, first in time first; the newest in ``state``."""
    pulls = [replace(line, name=f"{build}-{n}", build=build, state=COUNTS) for n, build in enumerate(builds)]
    if pulls:
        pulls[-1] = replace(pulls[-1], state=state, reason="" if state == COUNTS else "heat-soak: hot.")
    pair = PAIR if "tube" in builds else None
    return BenchDay(TODAY if today else BEFORE, TODAY, pulls=tuple(reversed(pulls)), total=len(pulls), pair=pair)


def state(line: KeptPull, judged_: Judged, *builds: str, today: bool = True, **more: object) -> State:
    values: dict[str, object] = {"reference_ever": 3, "counted": {"plain": 3, "tube": 3}, **more}
    return State(day(line, *builds, today=today), judged_, **values)  # type: ignore[arg-type]


ABA = ("plain", "tube", "plain")


def test_a_book_without_builds_asks_for_the_engine() -> None:
    step = next_step(State(BenchDay(None, TODAY), Judged(None), empty=True, builds=False))
    assert (step.rule, step.place) == ("no-build", ("new", "engine"))


def test_a_book_without_pulls_asks_for_a_log() -> None:
    step = next_step(State(BenchDay(None, TODAY), Judged(None), empty=True))
    assert (step.rule, step.place) == ("no-pull", ("take",))


def test_a_refused_file_of_the_watch_goes_first_until_another_came(line: KeptPull, made: FairComparison) -> None:
    verdict = judged(made, DIFFERS)
    step = next_step(state(line, verdict, *ABA, came=(REFUSED, TAKEN)))
    assert (step.rule, step.place) == ("refused", ("here", "came"))
    assert "bad.csv" in step.say
    assert "no pull in it" in step.reason
    assert next_step(state(line, verdict, *ABA, came=(TAKEN, REFUSED))).rule == "differs"


def test_a_newest_pull_that_is_set_aside_is_to_be_looked_at(line: KeptPull, made: FairComparison) -> None:
    aside = State(day(line, "plain", "tube", state=SET_ASIDE), judged(made, DIFFERS), reference_ever=1)
    step = next_step(aside)
    assert (step.rule, step.place) == ("set-aside", ("pull", "tube-1"))
    assert step.reason == "The newest pull does not count: heat-soak: hot."
    yesterday = State(day(line, *ABA, today=False, state=SET_ASIDE), judged(made, DIFFERS), reference_ever=1)
    assert next_step(yesterday).rule == "differs"


@pytest.mark.parametrize("done", range(1, BASELINE))
def test_a_baseline_asks_for_repeats(line: KeptPull, done: int) -> None:
    step = next_step(State(day(line, *["plain"] * done), Judged(None), is_reference=True))
    assert (step.rule, step.place) == ("baseline", ("build", "plain"))
    left = BASELINE - done
    assert step.say == f"{left} pull{'s' if left > 1 else ''} more of plain"


def test_a_repeated_baseline_asks_for_the_change(line: KeptPull) -> None:
    step = next_step(State(day(line, *["plain"] * BASELINE), Judged(None), is_reference=True))
    assert (step.rule, step.place) == ("change", ("sheets", "build"))


def test_a_build_judged_against_nothing_asks_for_its_reference(line: KeptPull) -> None:
    step = next_step(State(day(line, *["plain"] * BASELINE), Judged(None)))
    assert (step.rule, step.place) == ("no-reference", ("edit", "plain"))
    assert next_step(State(day(line, "plain", today=False), Judged(None))).rule == "no-reference"


def test_a_reference_not_pulled_today_is_asked_for(line: KeptPull, made: FairComparison) -> None:
    verdict = judged(made, DIFFERS)
    step = next_step(state(line, verdict, "tube", "tube"))
    assert (step.rule, step.place) == ("pull-reference", ("build", "plain"))
    assert "today" in step.reason
    assert next_step(state(line, verdict, "tube", today=False)).rule == "differs"


def test_a_reference_that_was_never_pulled_is_asked_for_on_any_day(line: KeptPull) -> None:
    none = Judged(PAIR, faults=(Fault("no-counted-pull", "plain", "no pull", "pull it"),))
    for today in (True, False):
        step = next_step(state(line, none, "tube", today=today, reference_ever=0))
        assert step.rule == "pull-reference"
        assert "no counted pull" in step.reason


def test_a_comparison_that_is_refused_is_said(line: KeptPull) -> None:
    none = Judged(PAIR, faults=(Fault("no-common-range", "tube", "no rpm in common", "pull further"),))
    step = next_step(state(line, none, *ABA))
    assert (step.rule, step.place, step.reason) == ("cannot-judge", ("build", "tube"), "no rpm in common.")


def test_cannot_tell_asks_for_the_pulls_that_are_missing(line: KeptPull, made: FairComparison) -> None:
    counted = {"plain": 2, "tube": 1}
    step = next_step(state(line, judged(made, CANNOT_TELL, 4), "plain", "tube", "plain", counted=counted))
    assert (step.rule, step.place) == ("more-pulls", ("build", "tube"))
    assert step.say == "3 pulls more of tube"
    assert "4 a side" in step.reason
    assert "Alternate with plain (A-B-A)" in step.reason


def test_cannot_tell_alternates_with_what_was_pulled_last(line: KeptPull, made: FairComparison) -> None:
    counted = {"plain": 3, "tube": 3}
    step = next_step(state(line, judged(made, CANNOT_TELL, 4), "plain", "tube", counted=counted))
    assert step.say == "1 pull more of plain"


def test_what_no_number_of_pulls_settles_is_said(line: KeptPull, made: FairComparison) -> None:
    step = next_step(state(line, judged(made, CANNOT_TELL, None, "each build ran on a day of its own"), *ABA))
    assert (step.rule, step.place) == ("confounded", ("compare", "plain", "tube"))
    assert step.reason == "Each build ran on a day of its own."


@pytest.mark.parametrize("kind", [DIFFERS, NO_DIFFERENCE])
def test_a_reference_not_returned_to_is_asked_for_again(line: KeptPull, made: FairComparison, kind: str) -> None:
    step = next_step(state(line, judged(made, kind), "plain", "tube", "tube"))
    assert (step.rule, step.place) == ("return", ("build", "plain"))
    assert next_step(state(line, judged(made, kind), *ABA)).rule != "return"
    assert next_step(state(line, judged(made, kind), "plain", "tube", today=False)).rule != "return"


@pytest.mark.parametrize(("kind", "rule"), [(DIFFERS, "differs"), (NO_DIFFERENCE, "no-difference")])
def test_a_settled_question_opens_its_comparison(line: KeptPull, made: FairComparison, kind: str, rule: str) -> None:
    step = next_step(state(line, judged(made, kind), *ABA))
    assert (step.rule, step.place) == (rule, ("compare", "plain", "tube"))


def test_a_verdict_that_takes_a_while_opens_its_comparison(line: KeptPull) -> None:
    assert next_step(state(line, Judged(PAIR, waiting=True), *ABA)).rule == "compare"


def test_a_day_without_pulls_asks_for_a_log() -> None:
    assert next_step(State(BenchDay(BEFORE, TODAY), Judged(None))).rule == "take-in"


def test_every_rule_is_tried_here() -> None:
    assert len(RULES) == 10
