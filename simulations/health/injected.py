"""What a fault is, as data: kind, sizes, where it can be seen; and the truth of one that was injected."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from simulations.health.machines import Machine
from simulations.health.shop import Stage, Wish


@dataclass(frozen=True, slots=True)
class Planted:
    """The truth: where [rpm, as the speed pickup reads] and how large, in the fault's unit."""

    kind: str
    low: float
    high: float
    size: float
    unit: str


ANYTHING = Wish()
Inject = Callable[[Stage, float, np.random.Generator], tuple[float, float]]
Suits = Callable[[Machine], bool]


def any_machine(machine: Machine) -> bool:
    """Every machine suits."""
    return bool(machine.name)


def boosted(machine: Machine) -> bool:
    """Has a compressor."""
    return machine.boosted


def natural(machine: Machine) -> bool:
    """Has none."""
    return not machine.boosted


@dataclass(frozen=True, slots=True)
class Fault:
    """One kind of fault.

    Attributes:
        kind: one of the project's sign kinds.
        sizes: smallest and largest drawn, evenly, in ``unit``. both_signs: minus as often as plus.
        unit: of ``sizes``, as the table prints it.
        inject: changes a stage; returns the rpm range where it shows.
        sets: channel sets it is visible in.
        suits: machines it can happen to.
        wish: what else the shop must have.
        references: fewest and most healthy pulls of the same build beside it.
        shared: share of cases where the build's earlier pulls show it too (it belongs to the build).
        shop_references: fewest in the shop set, where only they show it; the earlier pulls are then healthy.
        slow_references: the references were swept at 100 to 200 rpm/s.
        about: what is done to the pull, in plain words.
        counted: the section's range and what was chosen, in plain words.
    """

    kind: str
    sizes: tuple[float, float]
    unit: str
    inject: Inject
    about: str
    counted: str
    both_signs: bool = False
    sets: tuple[str, ...] = ("full", "shop")
    suits: Suits = any_machine
    wish: Wish = ANYTHING
    references: tuple[int, int] = (0, 4)
    shared: float = 0.0
    shop_references: int = 0
    slow_references: bool = False
