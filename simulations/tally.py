"""What one simulated day shows, and the totals over many: coverage, false alarms, width, power."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any
from zlib import crc32

import numpy as np

from fairpull.compare import Glance
from fairpull.terms.comparison import DIFFERS, NO_DIFFERENCE, Comparison, Question
from fairpull.terms.errors import FairpullError
from simulations.cases import Case
from simulations.days import Day, Plan, Truth, make_day, until
from simulations.errors import World, draw_scatter

Glances = Callable[..., tuple[Glance, ...]]
Compare = Callable[..., Comparison]


@dataclass(frozen=True, slots=True)
class Room:
    """The calls under test: the verdict at a glance, and the whole comparison for its promise of pulls."""

    glance: Glances
    compare: Compare


MOST_PULLS = 40  # a side; a promise of more is counted, and run with this many
TOUCH = 1e-12  # a band that ends exactly on the truth covers it


@dataclass(frozen=True, slots=True)
class Seen:
    """What one judgement showed.

    covered: the truth lies inside the simultaneous band at every rpm of the comparison.
    differs: verdict DIFFERS. missed: verdict NO_DIFFERENCE although the truth reaches the smallest
        difference worth
    having somewhere. wrong_sign: a gain said where the truth is no gain, or the reverse. mean_covered: the
    interval of the band average holds the true band average. half_width: mean half width of the band,
    fraction. pointwise: share of rpm where the pointwise band holds the truth. inconsistent: verdict and
    band contradict each other.
    """

    covered: bool
    differs: bool
    missed: bool
    wrong_sign: bool
    mean_covered: bool
    half_width: float
    pointwise: float
    inconsistent: bool


@dataclass(slots=True)
class Totals:
    """Sums over days; every count is of days. ``looks`` counts calls of compare."""

    days: int = 0
    refused: int = 0
    judged: int = 0
    looks: int = 0
    covered: int = 0
    differs: int = 0
    missed: int = 0
    no_difference: int = 0
    wrong_sign: int = 0
    mean_covered: int = 0
    inconsistent: int = 0
    half_width: float = 0.0
    pointwise: float = 0.0
    pulls_needed: float = 0.0
    over_most: int = 0
    no_promise: int = 0
    seconds: float = 0.0

    def add(self, other: Totals) -> None:
        """Add another block of days to this one."""
        for name, value in asdict(other).items():
            setattr(self, name, getattr(self, name) + value)


def examine(difference: Glance, truth: Truth, smallest: float, shrink: float = 1.0) -> Seen:
    """Hold one judgement against the truth.

    Args:
        difference: what compare said.
        truth: what was true.
        smallest: smallest difference worth having that was declared, fraction.
        shrink: 1 judges what compare said; anything else judges a band that is that much narrower about its
            centre, to prove that a broken band would be caught.

    Returns:
        The row for one day.
    """
    true = truth.ratio(difference.rpm)
    centre = difference.ratio
    low = centre - shrink * (centre - difference.ratio_low)
    high = centre + shrink * (difference.ratio_high - centre)
    excludes = bool(np.any((low > 0.0) | (high < 0.0)))
    says_differs = difference.kind == DIFFERS if shrink == 1.0 else excludes
    says_nothing = difference.kind == NO_DIFFERENCE
    if shrink != 1.0:
        says_nothing = not excludes and bool(np.all((low > -smallest) & (high < smallest)))
    matters = bool(np.any(np.abs(true) >= smallest))
    mean = float(np.mean(true))
    return Seen(
        covered=bool(np.all((low <= true + TOUCH) & (high >= true - TOUCH))),
        differs=says_differs,
        missed=says_nothing and matters,
        wrong_sign=bool(np.any(((low > 0.0) & (true <= 0.0)) | ((high < 0.0) & (true >= 0.0)))),
        mean_covered=bool(difference.mean_ratio.low <= mean <= difference.mean_ratio.high),
        half_width=float(np.mean(high - low)) / 2.0,
        pointwise=float(np.mean((difference.point_low <= true) & (difference.point_high >= true))),
        inconsistent=says_differs != excludes,
    )


def _asked(day: Day, smallest: float, look: int | None, planned: int | None) -> dict[str, Any]:
    """What a tester would say besides the pulls."""
    clocked = all(curve.started_at is not None for curve in (*day.reference, *day.other))
    return {
        "question": Question(smallest=smallest),
        "order": None if clocked else list(day.order),
        "look": look,
        "planned_looks": planned,
    }


def judge(room: Room, day: Day, smallest: float, look: int | None = None, planned: int | None = None) -> Glance | None:
    """Call the room under test as a tester would; None when it refuses."""
    try:
        [seen] = room.glance([("A", day.reference), ("B", day.other)], **_asked(day, smallest, look, planned))
    except FairpullError:
        return None
    return seen


def promise(room: Room, day: Day, smallest: float) -> int | None:
    """Pulls a side that a day's comparison says would be enough."""
    comparison = room.compare([("A", day.reference), ("B", day.other)], **_asked(day, smallest, None, None))
    return comparison.differences[0].verdict.pulls_needed


def dice(seed: int, case: Case, number: int) -> np.random.Generator:
    """The day's own source of randomness: the same whatever else is run, and in whatever order."""
    return np.random.default_rng([seed, crc32(case.name.encode()), number])


def _count(totals: Totals, rows: list[Seen], last: Glance) -> None:
    """Book one judged day of one look or more: an error at any look counts, the width is that of the last."""
    totals.judged += 1
    totals.looks += len(rows)
    totals.covered += all(row.covered for row in rows)
    totals.differs += any(row.differs for row in rows)
    totals.missed += any(row.missed for row in rows)
    totals.wrong_sign += any(row.wrong_sign for row in rows)
    totals.mean_covered += rows[-1].mean_covered
    totals.inconsistent += any(row.inconsistent for row in rows)
    totals.no_difference += last.kind == NO_DIFFERENCE
    totals.half_width += rows[-1].half_width
    totals.pointwise += rows[-1].pointwise


def _finished_day(room: Room, case: Case, rng: np.random.Generator, shrink: float, totals: Totals) -> None:
    day = make_day(rng, case.plan, case.world, case.truth)
    difference = judge(room, day, case.smallest)
    if difference is None:
        totals.refused += 1
        return
    _count(totals, [examine(difference, case.truth, case.smallest, shrink)], difference)


def _looked_at_day(room: Room, case: Case, rng: np.random.Generator, shrink: float, totals: Totals) -> None:
    day = make_day(rng, case.plan, case.world, case.truth)
    letters = [name[-1] for name in day.order]
    first = max(letters.index("A"), letters.index("B")) + 1  # pulls until both builds have one
    planned = len(letters) - first + 1
    rows: list[Seen] = []
    for look in range(1, planned + 1):
        difference = judge(room, until(day, first + look - 1), case.smallest, look, planned)
        if difference is None:
            totals.refused += 1
            return
        rows.append(examine(difference, case.truth, case.smallest, shrink))
    assert difference is not None
    _count(totals, rows, difference)


def _promised_day(room: Room, case: Case, rng: np.random.Generator, shrink: float, totals: Totals) -> None:
    """Pilot day, then a fresh day on the same brake with as many pulls as were promised to be enough."""
    world = case.world
    if world.scatter is None or world.length is None:
        world = settled(rng, world)
    needed = promise(room, make_day(rng, case.plan, world, case.truth), case.smallest)
    if needed is None:
        totals.no_promise += 1
        return
    totals.pulls_needed += needed
    totals.over_most += needed > MOST_PULLS
    side = min(needed, MOST_PULLS)
    day = make_day(rng, Plan(side, side), world, case.truth)
    difference = judge(room, day, case.smallest)
    if difference is None:
        totals.refused += 1
        return
    _count(totals, [examine(difference, case.truth, case.smallest, shrink)], difference)


def settled(rng: np.random.Generator, world: World) -> World:
    """The same world with scatter and correlation length drawn once, so that two days share them."""
    scatter, length = draw_scatter(rng, world)
    return replace(world, scatter=scatter, length=length)


_MODES: Mapping[str, Callable[[Room, Case, np.random.Generator, float, Totals], None]] = {
    "day": _finished_day,
    "looks": _looked_at_day,
    "power": _promised_day,
}


def run_days(room: Room, case: Case, seed: int, numbers: Iterable[int], shrink: float = 1.0) -> Totals:
    """Run numbered days of a case.

    Args:
        room: the calls under test.
        case: what is run.
        seed: of the whole run.
        numbers: which days; day k is the same in every run with this seed.
        shrink: see `examine`.

    Returns:
        Totals over those days.
    """
    totals = Totals()
    for number in numbers:
        totals.days += 1
        _MODES[case.mode](room, case, dice(seed, case, number), shrink, totals)
    return totals


def share(count: float, of: int) -> float:
    """A count as a fraction; NaN of nothing."""
    return count / of if of else math.nan


def standard_error(p: float, n: int) -> float:
    """Binomial standard error of a share p seen in n days."""
    return math.sqrt(p * (1.0 - p) / n) if n else math.nan


COVERAGE_PROMISED = 0.93
FALSE_ALARMS_PROMISED = 0.05
POWER_PROMISED = 0.80


MANY = 1000  # days from which a coverage is held to its promise without grace


def _promises(case: Case, totals: Totals) -> list[tuple[str, float]]:
    """Every promise that this case tests, with how far it was missed (fraction; nothing or less when kept).

    One pull a side is promised on average over the prior only. Under 1,000 days the coverage has three
    standard errors of grace too, or every short run would cry wolf.
    """
    n = totals.judged
    covered, differs, missed = (share(count, n) for count in (totals.covered, totals.differs, totals.missed))
    ceiling = FALSE_ALARMS_PROMISED + 3.0 * standard_error(FALSE_ALARMS_PROMISED, n)
    promises = [("wrong 'no difference' {} points over", missed - ceiling)]
    if case.mode == "power":
        floor = POWER_PROMISED - 3.0 * standard_error(POWER_PROMISED, n)
        return [*promises, ("power {} points short", floor - differs)]
    if case.table == "single" and case.world.scatter is not None:
        return promises
    grace = 3.0 * standard_error(COVERAGE_PROMISED, n) if n < MANY else 0.0
    promises.append(("coverage {} points short", COVERAGE_PROMISED - grace - covered))
    if case.truth.shape == "none":
        promises.append(("false alarms {} points over", differs - ceiling))
    return promises


def falls_short(case: Case, totals: Totals) -> tuple[str, ...]:
    """Where a case misses what was promised.

    Coverage of the simultaneous band at least 93 % with two or more pulls a side; false alarms at most 5 %
    plus three standard errors; "no difference that matters" said wrongly at most as often as a false alarm
    may be; promised power at least 80 % less three standard errors; no day refused; no verdict that
    contradicts its band.

    Returns:
        One phrase for every miss, empty when there is none.
    """
    if not totals.judged:
        return ("no day was judged",)
    missing = [text.format(f"{100.0 * by:.1f}") for text, by in _promises(case, totals) if by > 0.0]
    if totals.refused:
        missing.append(f"{totals.refused} days refused")
    if totals.inconsistent:
        missing.append(f"{totals.inconsistent} verdicts against their band")
    return tuple(missing)
