"""The list of cases: which days are run, and which promise each of them tests."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from fnmatch import fnmatch

from simulations.days import Plan, Truth
from simulations.errors import World

TABLES = {
    "scatter": "Scatter and correlation length, alternating pulls, no drift, no change",
    "plain": "The whole curve moves and leans, and reading noise of other sizes, no change",
    "single": "One pull a side, no change",
    "order": "Order and drift, no change",
    "families": "Errors the model does not assume, outliers and torque zeros, no change",
    "changes": "True changes",
    "looks": "A look after every pull, no change",
    "power": "Promised power: pulls a side from a pilot day of 2 + 2, then a day with a true gain of 1 %",
}


@dataclass(frozen=True, slots=True)
class Case:
    """One kind of day, run many times.

    Attributes:
        name: unique, also the name of its result file.
        table: key of TABLES.
        plan, world, truth: what is run, how it errs, what is true.
        mode: "day" judges the finished day; "looks" after every pull once both builds have one; "power"
            takes the number of pulls a side from a pilot day and runs a fresh day with that many.
        smallest: smallest difference worth having that is declared, fraction of torque.
        beyond: True where the order cannot tell the drift from the change, or the errors are none the
            method assumes.
    """

    name: str
    table: str
    plan: Plan
    world: World = field(default_factory=World)
    truth: Truth = field(default_factory=Truth)
    mode: str = "day"
    smallest: float = 0.01
    beyond: bool = False


def _slug(text: str) -> str:
    return text.lower().replace(" ", "-")


def _scatter() -> Iterator[Case]:
    """Every scatter with every correlation length."""
    for n in (1, 2, 3, 5):
        for scatter in (0.0025, 0.005, 0.01):
            for length in (200.0, 500.0, 1000.0, 1500.0):
                yield Case(
                    f"scatter-{n}-{scatter * 100:g}-{length:g}",
                    "single" if n == 1 else "scatter",
                    Plan(n, n),
                    World(scatter=scatter, length=length),
                )
    for a, b in ((2, 4), (3, 5), (5, 2)):
        yield Case(f"scatter-{a}+{b}-0.5-500", "scatter", Plan(a, b))
    for scatter in (0.005, 0.01):
        for n in (2, 5):
            world = World(scatter=scatter, length=None)
            yield Case(f"scatter-{n}-{scatter * 100:g}-any", "scatter", Plan(n, n), world)


def _single() -> Iterator[Case]:
    """One pull a side with scatter from the prior."""
    for drift in ("none", "linear", "step"):
        world = World(scatter=None, length=None, drift=drift)
        yield Case(f"single-prior-{drift}", "single", Plan(1, 1, "A-B"), world, beyond=drift != "none")
    yield Case("single-prior-a-b-a", "single", Plan(2, 1, "A-B-A"), World(None, None, drift="linear"))


def _orders() -> Iterator[Case]:
    """Every order with every drift."""
    for drift in ("none", "linear", "step"):
        world = World(drift=drift)
        for n in (2, 3, 5):
            for order in ("A-B", "A-B-A", "alternating"):
                hard = drift == "step" or (drift == "linear" and order == "A-B")
                yield Case(f"order-{_slug(order)}-{n}-{drift}", "order", Plan(n, n, order), world, beyond=hard)
        yield Case(f"order-a-b-a-2+1-{drift}", "order", Plan(2, 1, "A-B-A"), world, beyond=drift == "step")
        plan = Plan(4, 3, "A-A-A-B-B-B-A")
        yield Case(f"order-aaabbba-{drift}", "order", plan, world, beyond=drift == "step")
        for a, b in ((2, 4), (3, 5)):
            plan = Plan(a, b, "A-B-A")
            yield Case(f"order-a-b-a-{a}+{b}-{drift}", "order", plan, world, beyond=drift == "step")
    for drift in ("linear", "step"):
        quiet = World(scatter=0.0025, length=1000.0, drift=drift)
        for order in ("A-B", "A-B-A", "alternating"):
            yield Case(
                f"order-{_slug(order)}-5-{drift}-quiet",
                "order",
                Plan(5, 5, order),
                quiet,
                beyond=drift == "step" or order == "A-B",
            )
    for order in ("A-B-A", "alternating"):
        plan = Plan(3, 3, order, clock=False)
        yield Case(f"order-{_slug(order)}-3-linear-no-clock", "order", plan, World(drift="linear"))


def _plain() -> Iterator[Case]:
    """The plainest error, the whole curve moving, and reading noise of other sizes: alternating pulls, no drift."""
    for n in (2, 3, 5):
        for scatter in (0.0025, 0.005, 0.01):
            for noise in (0.0005, 0.002):
                world = World(scatter=scatter, family="level and tilt", noise=noise)
                yield Case(f"plain-{n}-{scatter * 100:g}-{noise * 100:g}", "plain", Plan(n, n), world)
    for length in (500.0, 1500.0):
        for noise in (0.0005, 0.002):
            world = World(length=length, noise=noise)
            yield Case(f"plain-5-{length:g}rpm-{noise * 100:g}", "plain", Plan(5, 5), world)


def _families() -> Iterator[Case]:
    """Families the model does not assume, outliers, zeros, ragged ranges."""
    for n in (2, 3, 5):
        plan = Plan(n, n)
        for family in ("heavy tails", "ripple", "growing with rpm"):
            name = f"family-{_slug(family)}-{n}"
            yield Case(name, "families", plan, World(family=family), beyond=True)
        yield Case(f"family-outlier-{n}", "families", plan, World(outliers=True), beyond=True)
        yield Case(f"family-zero-pull-{n}", "families", plan, World(zero_pull=0.6))
        yield Case(f"family-ragged-{n}", "families", plan, World(ragged=True))
    for family in ("heavy tails", "ripple", "growing with rpm"):
        world = World(family=family, drift="linear", outliers=True)
        name = f"family-{_slug(family)}-all-at-once"
        yield Case(name, "families", Plan(4, 3, "A-A-A-B-B-B-A"), world, beyond=True)
    yield Case("family-outlier-3+5", "families", Plan(3, 5), World(outliers=True), beyond=True)
    for order in ("A-B", "A-B-A", "alternating"):
        world = World(zero_block=0.6)
        yield Case(f"family-zero-block-{_slug(order)}-3", "families", Plan(3, 3, order), world, beyond=True)


def _changes() -> Iterator[Case]:
    """True changes: coverage away from zero, detection, and false 'no difference that matters'."""
    truths = [
        Truth("uniform", 0.005),
        Truth("uniform", 0.01),
        Truth("uniform", 0.02),
        Truth("tilt", 0.015),
        Truth("hump", 0.012),
    ]
    for n in (2, 3, 5):
        for truth in truths:
            name = f"change-{truth.shape}-{truth.size * 100:g}-{n}"
            yield Case(name, "changes", Plan(n, n), truth=truth)
    quiet = World(scatter=0.0025, length=1000.0)
    for truth in truths:
        name = f"change-{truth.shape}-{truth.size * 100:g}-5-quiet"
        yield Case(name, "changes", Plan(5, 5), quiet, truth)
    yield Case("change-none-5-quiet", "changes", Plan(5, 5), quiet)
    yield Case("change-none-8-quiet", "changes", Plan(8, 8), quiet)
    yield Case("change-uniform-1-8-quiet", "changes", Plan(8, 8), quiet, Truth("uniform", 0.01))
    for order in ("A-B", "A-B-A"):
        world = World(drift="linear")
        truth = Truth("uniform", 0.02)
        name = f"change-uniform-2-{_slug(order)}-5-linear"
        yield Case(name, "changes", Plan(5, 5, order), world, truth, beyond=order == "A-B")


def _looks() -> Iterator[Case]:
    """A look after every pull."""
    for n in (2, 3, 5):
        yield Case(f"looks-alternating-{n}", "looks", Plan(n, n), mode="looks")
        yield Case(f"looks-a-b-a-{n}", "looks", Plan(n, n, "A-B-A"), World(drift="linear"), mode="looks")
    quiet = World(scatter=0.0025, length=1000.0)
    yield Case("looks-alternating-5-quiet", "looks", Plan(5, 5), quiet, mode="looks")
    yield Case("looks-aaabbba-linear", "looks", Plan(4, 3, "A-A-A-B-B-B-A"), World(drift="linear"), mode="looks")
    for world, name in ((World(family="heavy tails"), "heavy"), (World(outliers=True), "outlier")):
        yield Case(f"looks-{name}-3", "looks", Plan(3, 3), world, mode="looks", beyond=True)
    yield Case("looks-a-b-3-linear", "looks", Plan(3, 3, "A-B"), World(drift="linear"), mode="looks", beyond=True)


def _power() -> Iterator[Case]:
    """Does the promised number of pulls deliver 80 %?"""
    gain = Truth("uniform", 0.01)
    for scatter in (0.0025, 0.005, 0.01):
        for length in (200.0, 500.0, 1500.0):
            world = World(scatter=scatter, length=length)
            yield Case(f"power-{scatter * 100:g}-{length:g}", "power", Plan(2, 2), world, gain, "power")
    world = World(scatter=None, length=None)
    yield Case("power-prior", "power", Plan(2, 2), world, gain, "power")
    yield Case("power-0.5-500-linear", "power", Plan(2, 2), World(drift="linear"), gain, "power")
    yield Case("power-heavy", "power", Plan(2, 2), World(family="heavy tails"), gain, "power", beyond=True)


QUICK = (
    "scatter-1-0.5-500",
    "scatter-2-0.5-200",
    "scatter-2-0.5-1500",
    "scatter-3-0.5-500",
    "scatter-5-0.5-500",
    "scatter-2+4-0.5-500",
    "plain-5-0.5-0.05",
    "plain-5-0.5-0.2",
    "single-prior-none",
    "order-a-b-3-linear",
    "order-a-b-3-step",
    "order-a-b-a-3-linear",
    "order-aaabbba-step",
    "order-alternating-5-step",
    "family-heavy-tails-3",
    "family-ripple-3",
    "family-growing-with-rpm-3",
    "family-outlier-3",
    "family-zero-pull-3",
    "change-uniform-1-5",
    "change-hump-1.2-5",
    "looks-alternating-3",
    "power-0.5-500",
)


def every_case() -> tuple[Case, ...]:
    """All cases, in the order of the tables."""
    makers = (_scatter, _plain, _single, _orders, _families, _changes, _looks, _power)
    return tuple(case for make in makers for case in make())


def chosen(names: str) -> tuple[Case, ...]:
    """Cases by "full", "quick", or a comma-separated list of names and patterns such as ``order-*-step``.

    Raises:
        ValueError: when a pattern fits no case.
    """
    cases = every_case()
    if names == "full":
        return cases
    patterns = QUICK if names == "quick" else tuple(part.strip() for part in names.split(","))
    empty = [pattern for pattern in patterns if not any(fnmatch(case.name, pattern) for case in cases)]
    if empty:
        raise ValueError(f"no case is called {', '.join(empty)}; known: {', '.join(c.name for c in cases)}")
    return tuple(case for case in cases if any(fnmatch(case.name, pattern) for pattern in patterns))
