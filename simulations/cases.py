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
            for length in (500.0,) if n == 1 else (200.0, 500.0, 1500.0):
                yield Case(
                    f"scatter-{n}-{scatter * 100:g}-{length:g}",
                    "single" if n == 1 else "scatter",
                    Plan(n, n),
                    World(scatter=scatter, length=length),
                )
    for a, b in ((2, 4), (3, 5), (5, 2)):
        yield Case(f"scatter-{a}+{b}-0.5-500", "scatter", Plan(a, b))
    for n in (2, 5):
        yield Case(f"scatter-{n}-1-any", "scatter", Plan(n, n), World(scatter=0.01, length=None))


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
            for order in ("A-B", "A-B-A", "alternating") if n == 3 else ("A-B", "A-B-A"):
                hard = drift == "step" or (drift == "linear" and order == "A-B")
                yield Case(f"order-{_slug(order)}-{n}-{drift}", "order", Plan(n, n, order), world, beyond=hard)
        yield Case(f"order-a-b-a-2+1-{drift}", "order", Plan(2, 1, "A-B-A"), world, beyond=drift == "step")
        plan = Plan(4, 3, "A-A-A-B-B-B-A")
        yield Case(f"order-aaabbba-{drift}", "order", plan, world, beyond=drift == "step")
        yield Case(f"order-a-b-a-3+5-{drift}", "order", Plan(3, 5, "A-B-A"), world, beyond=drift == "step")
    quiet = World(scatter=0.0025, length=1000.0, drift="step")
    for order in ("A-B", "A-B-A", "alternating"):
        yield Case(f"order-{_slug(order)}-5-step-quiet", "order", Plan(5, 5, order), quiet, beyond=True)
    plan = Plan(3, 3, "alternating", clock=False)
    yield Case("order-alternating-3-linear-no-clock", "order", plan, World(drift="linear"))


def _plain() -> Iterator[Case]:
    """The plainest error, the whole curve moving, and reading noise of another size: alternating pulls, no drift."""
    for n in (2, 3, 5):
        world = World(family="level and tilt", noise=0.0005)
        yield Case(f"plain-{n}-0.5-0.05", "plain", Plan(n, n), world)
    yield Case("plain-5-0.5-0.2", "plain", Plan(5, 5), World(family="level and tilt", noise=0.002))
    yield Case("plain-5-1500rpm-0.05", "plain", Plan(5, 5), World(length=1500.0, noise=0.0005))


def _families() -> Iterator[Case]:
    """Families the model does not assume, outliers, zeros, ragged ranges."""
    for n in (2, 3, 5):
        plan = Plan(n, n)
        for family in ("heavy tails", "ripple", "growing with rpm"):
            name = f"family-{_slug(family)}-{n}"
            yield Case(name, "families", plan, World(family=family), beyond=True)
        yield Case(f"family-outlier-{n}", "families", plan, World(outliers=True), beyond=True)
    yield Case("family-zero-pull-3", "families", Plan(3, 3), World(zero_pull=0.6))
    yield Case("family-ragged-3", "families", Plan(3, 3), World(ragged=True))
    world = World(family="heavy tails", drift="linear", outliers=True)
    yield Case("family-heavy-all-at-once", "families", Plan(4, 3, "A-A-A-B-B-B-A"), world, beyond=True)
    yield Case("family-zero-block-a-b-a-3", "families", Plan(3, 3, "A-B-A"), World(zero_block=0.6), beyond=True)


def _changes() -> Iterator[Case]:
    """True changes: coverage away from zero, detection, and false 'no difference that matters'."""
    truths = [Truth("uniform", 0.01), Truth("uniform", 0.02), Truth("tilt", 0.015), Truth("hump", 0.012)]
    for n in (3, 5):
        for truth in truths:
            yield Case(f"change-{truth.shape}-{truth.size * 100:g}-{n}", "changes", Plan(n, n), truth=truth)
    quiet = World(scatter=0.0025, length=1000.0)
    for truth in (Truth("uniform", 0.005), Truth("uniform", 0.01), Truth("hump", 0.012)):
        name = f"change-{truth.shape}-{truth.size * 100:g}-5-quiet"
        yield Case(name, "changes", Plan(5, 5), quiet, truth)
    yield Case("change-none-5-quiet", "changes", Plan(5, 5), quiet)
    world = World(drift="linear")
    yield Case("change-uniform-2-a-b-a-5-linear", "changes", Plan(5, 5, "A-B-A"), world, Truth("uniform", 0.02))


def _looks() -> Iterator[Case]:
    """A look after every pull."""
    for n in (2, 3, 5):
        yield Case(f"looks-alternating-{n}", "looks", Plan(n, n), mode="looks")
    yield Case("looks-a-b-a-3", "looks", Plan(3, 3, "A-B-A"), World(drift="linear"), mode="looks")
    yield Case("looks-heavy-3", "looks", Plan(3, 3), World(family="heavy tails"), mode="looks", beyond=True)
    yield Case("looks-a-b-3-linear", "looks", Plan(3, 3, "A-B"), World(drift="linear"), mode="looks", beyond=True)


def _power() -> Iterator[Case]:
    """Does the promised number of pulls deliver 80 %?"""
    gain = Truth("uniform", 0.01)
    for scatter, length in ((0.0025, 500.0), (0.005, 500.0), (0.005, 1500.0), (0.01, 500.0)):
        world = World(scatter=scatter, length=length)
        yield Case(f"power-{scatter * 100:g}-{length:g}", "power", Plan(2, 2), world, gain, "power")
    yield Case("power-0.5-500-linear", "power", Plan(2, 2), World(drift="linear"), gain, "power")


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
    "order-alternating-3-step",
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
