"""Seeded cases: a pull, the healthy pulls beside it, and the truth. Same seed, same bytes."""

from __future__ import annotations

import zlib
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from fairpull.terms.engine import Engine
from fairpull.terms.pull import Pull
from simulations.health import desk_faults as desk
from simulations.health.fault_table import BY_KIND
from simulations.health.injected import Fault, Planted
from simulations.health.machines import MACHINES, Machine
from simulations.health.shop import Made, Shop, Stage, Wish, make_pull, open_shop

HEALTHY = "healthy"
DRIFT = 0.0005  # of torque, from pull to pull
SLOW = (100.0, 200.0)  # rpm/s of references beside a sweep that was too fast


@dataclass(frozen=True, slots=True)
class Case:
    """One question to the detectors, with its answer.

    Attributes:
        pull, engine, factor, references, reference_factors: as the detectors take them.
        planted: the fault; None for a healthy pull.
        machine, channels: what it was drawn from.
    """

    pull: Pull
    engine: Engine
    factor: float
    references: tuple[Pull, ...]
    reference_factors: tuple[float, ...]
    planted: Planted | None
    machine: str
    channels: str


def generator(seed: int, kind: str, number: int) -> np.random.Generator:
    """The generator of one case."""
    return np.random.default_rng([seed, zlib.crc32(kind.encode()), number])


def _case(shop: Shop, made: Made, beside: list[Made], planted: Planted | None) -> Case:
    return Case(
        pull=made.pull,
        engine=shop.engine,
        factor=made.factor,
        references=tuple(one.pull for one in beside),
        reference_factors=tuple(one.factor for one in beside),
        planted=planted,
        machine=shop.machine.name,
        channels=shop.channels,
    )


def healthy_case(seed: int, number: int, machine: Machine | None = None, channels: str | None = None) -> Case:
    """A healthy pull with none to four healthy pulls beside it."""
    rng = generator(seed, HEALTHY, number)
    drawn = str(rng.choice(["full", "shop", "bare"], p=[0.4, 0.4, 0.2]))
    chosen = MACHINES[int(rng.integers(len(MACHINES)))]
    shop = open_shop(machine or chosen, Wish(channels=channels or drawn), rng)
    drift = float(rng.normal(0.0, DRIFT))
    count = int(rng.integers(0, 5))
    beside = [make_pull(shop, f"before-{n + 1}", rng, number=n, drift=drift) for n in range(count)]
    return _case(shop, make_pull(shop, "looked-at", rng, number=count, drift=drift), beside, None)


Hook = Callable[[Stage, np.random.Generator], None]


def _hook(fault: Fault, size: float, seed: int, found: list[Planted] | None) -> Hook:
    """The fault as a pull takes it; every pull with the same seed has it at the same place."""

    def apply(stage: Stage, _rng: np.random.Generator) -> None:
        low, high = fault.inject(stage, size, np.random.default_rng(seed))
        if found is not None:
            found.append(Planted(fault.kind, low, high, size if stage.size is None else stage.size, fault.unit))

    return apply


def _absolute(fault: Fault, size: float) -> tuple[Fault, float]:
    """The fault as it stands where no series says what is usual."""
    if fault.kind == "oil-out-of-window":
        return replace(fault, inject=desk.oil_absolute), size
    if fault.kind == "coolant-out-of-window":
        return replace(fault, inject=desk.coolant_absolute), size
    if fault.kind == "exhaust-restriction":  # up to 3 psi is tolerable where nothing says what is usual
        return fault, max(size, 3.0 + 0.8 * (size - fault.sizes[0]))
    return fault, size


def _beside(shop: Shop, fault: Fault, size: float, place: int, count: int, rng: np.random.Generator) -> list[Made]:
    """The build's earlier pulls: healthy, or with what belongs to the build."""
    shows = rng.random() < fault.shared
    earlier = shop
    if fault.kind == "valve-float" and not shows and rng.random() < 0.4:
        earlier = replace(shop, end=0.84 * shop.end)  # the older limit stopped before the springs gave up
    drift = float(rng.normal(0.0, DRIFT))
    made = []
    for n in range(count):
        hook = _hook(fault, size * float(rng.uniform(0.85, 1.15)), place, None) if shows else None
        rate = float(rng.uniform(*SLOW)) if fault.slow_references else None
        if rate is not None:  # the same load cell, asked for less
            hook = _hook(fault, size * rate / shop.rate, place, None)
        made.append(make_pull(earlier, f"before-{n + 1}", rng, number=n, drift=drift, fault=hook, rate=rate))
    return made


def faulty_case(kind: str, seed: int, number: int, twin: bool = False) -> Case:
    """A pull with one fault, drawn over the kind's sizes.

    Args:
        kind: of the fault.
        seed: of the run.
        number: of the case.
        twin: leave the fault out and everything else as it is, noise included.

    Returns:
        The case; a twin's ``planted`` is None.
    """
    fault = BY_KIND[kind]
    rng = generator(seed, kind, number)
    machines = [machine for machine in MACHINES if fault.suits(machine)]
    machine = machines[int(rng.integers(len(machines)))]
    most = min(fault.sizes[1], 1.15 / machine.cylinders) if kind == "low-cylinder" else fault.sizes[1]
    size = float(rng.uniform(fault.sizes[0], most))
    size = -size if fault.both_signs and rng.random() < 0.5 else size
    wish = replace(fault.wish, channels=str(rng.choice(fault.sets)))
    if kind == "peak-at-end":
        wish = replace(wish, early_end=size)
    shop = open_shop(machine, wish, rng)
    count = int(rng.integers(fault.references[0], fault.references[1] + 1))
    if shop.channels == "shop" and fault.shop_references:
        count = max(count, fault.shop_references)
        fault = replace(fault, shared=0.0)
    if count == 0:
        fault, size = _absolute(fault, size)
    place = int(rng.integers(2**31))
    beside = _beside(shop, fault, size, place, count, rng)
    found: list[Planted] = []
    hook = None if twin else _hook(fault, size, place, found)
    made = make_pull(shop, "looked-at", rng, number=count, fault=hook)
    return _case(shop, made, beside, found[0] if found else None)
