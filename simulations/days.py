"""A day on the brake: two builds, an order of pulls, a clock, a true difference, and what each pull gave."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from fairpull.terms.arrays import FloatArray
from fairpull.terms.pull import Curve
from simulations import errors
from simulations.errors import World

GRID = np.arange(1800.0, 5400.0 + 25.0, 50.0)  # [rpm]
PEAK = 420.0  # [N m]
BETWEEN_PULLS = (12.0 * 60.0, 20.0 * 60.0)  # [s]
BETWEEN_BUILDS = (30.0 * 60.0, 60.0 * 60.0)  # [s]
NINE_IN_THE_MORNING = 1_700_038_800.0  # [s since 1970]

ORDERS = ("A-B", "A-B-A", "alternating", "A-A-A-B-B-B-A")
SHAPES = ("none", "uniform", "tilt", "hump")


@dataclass(frozen=True, slots=True)
class Plan:
    """What was run: pulls of the reference and of the other build, their order, whether a clock was kept."""

    pulls_a: int
    pulls_b: int
    order: str = "alternating"
    clock: bool = True


@dataclass(frozen=True, slots=True)
class Truth:
    """What the other build really does against the reference: one of SHAPES, and its size as a fraction."""

    shape: str = "none"
    size: float = 0.0

    def ratio(self, rpm: FloatArray) -> FloatArray:
        """True other / reference - 1 at each rpm, shape of ``rpm``."""
        if self.shape == "none":
            return np.zeros_like(rpm)
        if self.shape == "uniform":
            return np.full_like(rpm, self.size)
        if self.shape == "tilt":  # loses at the bottom what it gains at the top
            return self.size * np.clip((rpm - 3600.0) / 1800.0, -1.0, 1.0)
        if self.shape == "hump":
            hump: FloatArray = self.size * np.exp(-0.5 * ((rpm - 3900.0) / 400.0) ** 2)
            return hump
        raise ValueError(f"shape {self.shape!r} is none of {SHAPES}")


@dataclass(frozen=True, slots=True)
class Day:
    """What the tester carries home: curves of both builds in running order, and that order by name."""

    reference: tuple[Curve, ...]
    other: tuple[Curve, ...]
    order: tuple[str, ...]


def reference_torque(rpm: FloatArray) -> FloatArray:
    """True torque of the reference build [N m], shape of ``rpm``: a broad hill with a ripple of its own."""
    hill = 1.0 - 0.30 * ((rpm - 3700.0) / 2600.0) ** 2
    torque: FloatArray = PEAK * hill * (1.0 + 0.012 * np.sin(rpm / 330.0))
    return torque


def sequence(plan: Plan) -> str:
    """Running order as a string of the letters A and B.

    A-B runs all of one build first; A-B-A splits the reference's pulls around the other's; alternating
    spreads the rarer build evenly among the other; A-A-A-B-B-B-A keeps one last pull of the reference for
    the end.

    Raises:
        ValueError: on an unknown order, or when the reference has too few pulls to stand on both sides.
    """
    a, b = plan.pulls_a, plan.pulls_b
    if plan.order == "A-B":
        return "A" * a + "B" * b
    if plan.order == "alternating":
        places = [((i + 0.5) / a, "A") for i in range(a)] + [((j + 0.5) / b, "B") for j in range(b)]
        return "".join(letter for _, letter in sorted(places))
    if plan.order not in ORDERS or a < 2:
        raise ValueError(f"order {plan.order!r} with {a} pulls of the reference; orders are {ORDERS}")
    last = a // 2 if plan.order == "A-B-A" else 1
    return "A" * (a - last) + "B" * b + "A" * last


def clock_of(rng: np.random.Generator, letters: str) -> FloatArray:
    """Start of every pull, shape (n,) [s since 1970]: BETWEEN_PULLS apart, or BETWEEN_BUILDS."""
    gaps = [rng.uniform(*(BETWEEN_PULLS if one == two else BETWEEN_BUILDS)) for one, two in pairwise(letters)]
    starts: FloatArray = NINE_IN_THE_MORNING + np.concatenate([[0.0], np.cumsum(gaps)])
    return starts


def _blocks(letters: str) -> FloatArray:
    """Running number of the stretch without a change, one per pull."""
    changed = [0.0] + [float(one != two) for one, two in pairwise(letters)]
    return np.cumsum(np.array(changed))


def _tested(rng: np.random.Generator, world: World, count: int) -> FloatArray:
    """Lowest and highest tested rpm of every pull, shape (count, 2)."""
    ends = np.tile([GRID[0], GRID[-1]], (count, 1))
    if world.ragged:
        ends[:, 0] += rng.uniform(0.0, 150.0, count)
        ends[:, 1] -= rng.uniform(0.0, 200.0, count)
    return ends


def observed(rng: np.random.Generator, letters: str, clock: FloatArray, world: World, truth: Truth) -> FloatArray:
    """Observed torque of every pull of the day, shape (n, g) [N m]."""
    count = len(letters)
    mean = reference_torque(GRID)
    builds = np.log(np.stack([mean, mean * (1.0 + truth.ratio(GRID))]))
    which = np.array([0 if letter == "A" else 1 for letter in letters])
    log_torque = builds[which] + errors.pull_errors(rng, GRID, world, count)
    shift = errors.drift(rng, clock, world.drift)
    if world.outliers:
        shift = shift + errors.outliers(rng, count)
    torque = np.exp(log_torque + shift[:, None])
    torque = torque + errors.torque_zero(rng, _blocks(letters), world)[:, None]
    noisy: FloatArray = torque + errors.reading_noise(rng, torque, world.noise)
    return noisy


def make_day(rng: np.random.Generator, plan: Plan, world: World, truth: Truth) -> Day:
    """Run one day.

    Args:
        rng: source of all randomness.
        plan: what is run.
        world: how the brake errs.
        truth: the real difference.

    Returns:
        The day's curves as `pulls` would hand them over.
    """
    letters = sequence(plan)
    clock = clock_of(rng, letters)
    torque = observed(rng, letters, clock, world, truth)
    ends = _tested(rng, world, len(letters))
    curves: dict[str, list[Curve]] = {"A": [], "B": []}
    names = []
    for k, letter in enumerate(letters):
        name = f"pull {k + 1:02d} of {letter}"
        inside = (ends[k, 0] <= GRID) & (ends[k, 1] >= GRID)
        values = np.where(inside, torque[k], np.nan)
        curves[letter].append(
            Curve(
                name=name,
                rpm=GRID,
                torque=values,
                torque_se=world.noise * np.abs(values),
                channels={},
                tested=(float(ends[k, 0]), float(ends[k, 1])),
                started_at=float(clock[k]) if plan.clock else None,
            )
        )
        names.append(name)
    return Day(tuple(curves["A"]), tuple(curves["B"]), tuple(names))


def until(day: Day, count: int) -> Day:
    """The day as it stood after its first ``count`` pulls."""
    names = day.order[:count]
    kept = set(names)
    return Day(
        tuple(curve for curve in day.reference if curve.name in kept),
        tuple(curve for curve in day.other if curve.name in kept),
        names,
    )
