"""The promises of a verdict, held against seeded days that share no code with what makes it.

A short run of what ``python -m simulations.coverage`` does at length. Limits are binomial: a compare that
keeps its promise exactly fails one of these tests less than once in a thousand seeds, and the seed is fixed.
"""

from __future__ import annotations

from dataclasses import replace
from math import comb, exp

import numpy as np
import pytest

from fairpull.compare import compare, glance
from simulations import days, errors
from simulations.cases import Case, every_case
from simulations.days import Plan, Truth
from simulations.errors import World
from simulations.tally import Room, Totals, falls_short, run_days

SEED = 7
DAYS = 40
UNLUCKY = 0.001  # chance that a kept promise fails a test

NOTHING_CHANGED = (
    Case("test-2-200", "scatter", Plan(2, 2), World(length=200.0)),
    Case("test-3-1500", "scatter", Plan(3, 3), World(length=1500.0)),
    Case("test-5-500", "scatter", Plan(5, 5), World()),
    Case("test-2+4", "scatter", Plan(2, 4), World(scatter=0.01, length=1000.0)),
    Case("test-aaabbba", "order", Plan(4, 3, "A-A-A-B-B-B-A"), World(drift="linear")),
    Case("test-heavy", "families", Plan(3, 3), World(family="heavy tails", outliers=True)),
    Case("test-single", "single", Plan(1, 1), World(scatter=None, length=None)),
)


def most_misses(days_run: int, promised: float) -> int:
    """The most misses in so many days that a true miss rate as promised would show but for bad luck."""
    below = 0.0
    for misses in range(days_run + 1):
        below += comb(days_run, misses) * promised**misses * (1.0 - promised) ** (days_run - misses)
        if below > 1.0 - UNLUCKY:
            return misses
    return days_run


def run(case: Case, count: int, shrink: float = 1.0) -> Totals:
    totals = run_days(Room(glance, compare), case, SEED, range(count), shrink)
    assert totals.refused == 0
    assert totals.inconsistent == 0
    assert totals.judged == count
    return totals


def broken_promises(totals: Totals) -> list[str]:
    """What a case without a true change breaks: coverage of 93 %, or 5 % false alarms."""
    n = totals.judged
    broken = []
    if n - totals.covered > most_misses(n, 0.07):
        broken.append(f"{n - totals.covered} of {n} bands miss the truth")
    if totals.differs > most_misses(n, 0.05):
        broken.append(f"{totals.differs} false alarms in {n} days")
    return broken


@pytest.fixture(scope="module")
def unchanged() -> dict[str, Totals]:
    """Days on which nothing was changed, by case."""
    return {case.name: run(case, DAYS) for case in NOTHING_CHANGED}


def test_binomial_limit_against_a_table() -> None:
    # binomial(100, 0.05): P(X <= 12) = 0.9985, P(X <= 13) = 0.9995
    assert most_misses(100, 0.05) == 13


@pytest.mark.parametrize("name", [case.name for case in NOTHING_CHANGED])
def test_band_covers_and_raises_no_false_alarm(unchanged: dict[str, Totals], name: str) -> None:
    assert broken_promises(unchanged[name]) == []


def test_all_days_together_cover_and_raise_no_false_alarm(unchanged: dict[str, Totals]) -> None:
    """Seven times the days see a far smaller fault than any case alone."""
    together = Totals()
    for totals in unchanged.values():
        together.add(totals)
    assert together.judged == DAYS * len(NOTHING_CHANGED)
    assert broken_promises(together) == []


def test_a_band_half_as_wide_is_caught(unchanged: dict[str, Totals]) -> None:
    """The proof that the tests above can fail: the same days, judged by a band shrunk about its centre."""
    case = next(case for case in NOTHING_CHANGED if case.name == "test-5-500")
    whole, half = unchanged[case.name], run(case, DAYS, shrink=0.5)
    assert broken_promises(whole) == []
    assert half.half_width == pytest.approx(whole.half_width / 2.0, rel=1e-9)
    assert len(broken_promises(half)) == 2


def test_band_covers_a_shaped_change() -> None:
    totals = run(Case("test-hump", "changes", Plan(3, 3), World(), Truth("hump", 0.02)), DAYS)
    assert totals.judged - totals.covered <= most_misses(DAYS, 0.07)


def test_no_false_alarm_with_a_look_after_every_pull() -> None:
    totals = run(Case("test-looks", "looks", Plan(3, 3), World(), mode="looks"), 8)
    assert totals.looks == 8 * 5
    assert totals.differs <= most_misses(8, 0.05)


def test_a_change_of_two_per_cent_is_found() -> None:
    """The other side of honesty: a band too wide to be of use fails here."""
    totals = run(Case("test-big", "changes", Plan(5, 5), World(), Truth("uniform", 0.02)), 15)
    assert totals.differs >= 13


def test_a_change_worth_having_is_not_called_no_difference() -> None:
    case = Case("test-edge", "changes", Plan(5, 5), World(0.0025), Truth("uniform", 0.01))
    assert run(case, 20).missed <= most_misses(20, 0.05)


def test_same_seed_same_days() -> None:
    case = Case("test-seed", "scatter", Plan(2, 2), World(drift="step", outliers=True))
    together = run_days(Room(glance, compare), case, SEED, range(4))
    apart = run_days(Room(glance, compare), case, SEED, (0, 1))
    apart.add(run_days(Room(glance, compare), case, SEED, (2, 3)))
    assert apart.half_width == pytest.approx(together.half_width, rel=1e-12)  # summed in another order
    assert (apart.days, apart.covered, apart.differs) == (together.days, together.covered, together.differs)
    other = run_days(Room(glance, compare), case, SEED + 1, range(4))
    assert other.half_width != pytest.approx(together.half_width, rel=1e-6)


# --- the generators keep what they say


@pytest.mark.parametrize("length", [200.0, 500.0, 1000.0, 1500.0])
def test_smooth_error_has_its_scatter_and_length(length: float) -> None:
    drawn = errors.smooth_errors(np.random.default_rng(1), days.GRID, length, 20_000)
    assert np.std(drawn) == pytest.approx(1.0, abs=0.02)
    lag = int(length / 50.0)
    assert np.mean(drawn[:, 5] * drawn[:, 5 + lag]) == pytest.approx(exp(-0.5), abs=0.03)


@pytest.mark.parametrize("family", errors.FAMILIES)
def test_every_family_has_the_same_scatter(family: str) -> None:
    rng = np.random.default_rng(2)
    world = World(scatter=0.005, family=family)
    drawn = np.concatenate([errors.pull_errors(rng, days.GRID, world, 5) for _ in range(2000)])
    # Student t with 3 degrees of freedom has no fourth moment: its sample variance settles slowly
    assert np.std(drawn) == pytest.approx(0.005, rel=0.10 if family == "heavy tails" else 0.02)


def test_drifts_start_at_nothing_and_have_their_size() -> None:
    rng = np.random.default_rng(3)
    clock = np.linspace(0.0, errors.WORKING_DAY, 9)
    for kind in ("linear", "step"):
        ends = np.array([errors.drift(rng, clock, kind) for _ in range(300)])
        assert np.all(ends[:, 0] == 0.0)
        assert np.min(np.abs(ends[:, -1])) >= errors.DRIFT_SIZE[0]
        assert np.max(np.abs(ends[:, -1])) <= errors.DRIFT_SIZE[1]
        assert abs(np.mean(np.sign(ends[:, -1]))) < 0.2
    assert not np.any(errors.drift(rng, clock, "none"))
    with pytest.raises(ValueError, match="sideways"):
        errors.drift(rng, clock, "sideways")


def test_one_outlier_in_ten_days() -> None:
    rng = np.random.default_rng(4)
    found = np.array([errors.outliers(rng, 6) for _ in range(3000)])
    assert np.mean(np.any(found != 0.0, axis=1)) == pytest.approx(0.1, abs=0.02)
    assert np.max(np.sum(found != 0.0, axis=1)) == 1


@pytest.mark.parametrize(
    ("plan", "letters"),
    [
        (Plan(3, 3, "A-B"), "AAABBB"),
        (Plan(3, 3, "A-B-A"), "AABBBA"),
        (Plan(2, 1, "A-B-A"), "ABA"),
        (Plan(3, 3), "ABABAB"),
        (Plan(2, 4), "BABBAB"),
        (Plan(4, 3, "A-A-A-B-B-B-A"), "AAABBBA"),
    ],
)
def test_orders(plan: Plan, letters: str) -> None:
    assert days.sequence(plan) == letters


def test_an_order_that_cannot_be_run_is_refused() -> None:
    with pytest.raises(ValueError, match="A-B-A"):
        days.sequence(Plan(1, 1, "A-B-A"))


def test_without_noise_a_day_gives_its_truth() -> None:
    truth = Truth("tilt", 0.02)
    day = days.make_day(np.random.default_rng(5), Plan(2, 2), World(scatter=0.0), truth)
    seen = day.other[0].torque / day.reference[0].torque - 1.0
    # what is left is the reading noise of two curves, 0.1 % each
    assert np.std(seen - truth.ratio(days.GRID)) == pytest.approx(np.sqrt(2.0) * 0.001, rel=0.35)


def test_every_case_has_its_own_name_and_a_broken_total_is_named() -> None:
    cases = every_case()
    assert len({case.name for case in cases}) == len(cases)
    case = next(case for case in cases if case.name == "scatter-3-0.5-500")
    kept = Totals(days=2000, judged=2000, covered=1900, differs=100)
    assert falls_short(case, kept) == ()
    assert falls_short(case, replace(kept, covered=1800)) == ("coverage 3.0 points short",)
    assert falls_short(case, replace(kept, differs=200)) == ("false alarms 3.5 points over",)
    assert falls_short(case, Totals(days=1, refused=1)) == ("no day was judged",)
