"""Count what the detectors said against what was planted."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from fairpull.terms.findings import Severity
from fairpull.terms.health import HealthReport, Sign
from simulations.health.cases import Case
from simulations.health.fault_table import BY_KIND
from simulations.health.injected import Planted

Look = Callable[[Case], HealthReport]
FLAGS = (Severity.WARNING, Severity.FAULT)
THIRDS = ("small", "middle", "large")


@dataclass(slots=True)
class Found:
    """One kind's tally. thirds: size third -> [faults, found]. sets: channel set -> [faults, found]."""

    kind: str
    faults: int = 0
    right: int = 0
    right_as_note: int = 0
    other_only: int = 0
    unseen: int = 0
    overlap: float = 0.0
    thirds: dict[str, list[int]] = field(default_factory=lambda: {name: [0, 0] for name in THIRDS})
    sets: dict[str, list[int]] = field(default_factory=dict)
    said: Counter[str] = field(default_factory=Counter)
    missed: list[str] = field(default_factory=list)


@dataclass(slots=True)
class Alarms:
    """The tally of healthy pulls. sets, machines: name -> [pulls, flagged]."""

    pulls: int = 0
    flagged: int = 0
    sets: dict[str, list[int]] = field(default_factory=dict)
    machines: dict[str, list[int]] = field(default_factory=dict)
    said: Counter[str] = field(default_factory=Counter)
    texts: list[str] = field(default_factory=list)


def overlap(sign: Sign, planted: Planted) -> float:
    """Length in common over length covered by either; 0 when they do not touch."""
    common = min(sign.high, planted.high) - max(sign.low, planted.low)
    either = max(sign.high, planted.high) - min(sign.low, planted.low)
    if common < 0.0:
        return 0.0
    return common / either if either > 0.0 else 1.0


def touches(sign: Sign, planted: Planted) -> bool:
    """Do the two ranges share a speed?"""
    return sign.low <= planted.high and sign.high >= planted.low


def third(planted: Planted) -> str:
    """Which third of its kind's sizes a fault is in."""
    low, high = BY_KIND[planted.kind].sizes
    place = (abs(planted.size) - low) / (high - low)
    return THIRDS[min(max(int(3.0 * place), 0), 2)]


def _bump(table: dict[str, list[int]], name: str, hit: bool) -> None:
    row = table.setdefault(name, [0, 0])
    row[0] += 1
    row[1] += hit


def describe(case: Case) -> str:
    """One line about a case, for whoever looks into a miss or an alarm."""
    rows = case.pull.channels["rpm"].size
    text = f"{case.machine} {case.channels} {case.pull.kind} {rows} rows {case.pull.sweep_rate:.0f} rpm/s"
    text += f" {len(case.references)} references"
    if case.planted is not None:
        text += f"; {case.planted.size:.4g} {case.planted.unit} at {case.planted.low:.0f}-{case.planted.high:.0f} rpm"
    return text


def count_fault(tally: Found, case: Case, report: HealthReport, number: int) -> None:
    """Add one fault and what was said of it."""
    planted = case.planted
    assert planted is not None
    signs = [sign for sign in report.signs if sign.severity in FLAGS]
    mine = [sign for sign in signs if sign.kind == planted.kind and touches(sign, planted)]
    tally.faults += 1
    tally.right += bool(mine)
    tally.overlap += max((overlap(sign, planted) for sign in mine), default=0.0)
    _bump(tally.thirds, third(planted), bool(mine))
    _bump(tally.sets, case.channels, bool(mine))
    tally.said.update({sign.kind for sign in signs})
    if mine:
        return
    note = any(sign.kind == planted.kind and touches(sign, planted) for sign in report.signs)
    tally.right_as_note += note
    tally.other_only += bool(signs)
    tally.unseen += planted.kind in {one.kind for one in report.unseen}
    said = ", ".join(f"{sign.kind} {sign.low:.0f}-{sign.high:.0f}" for sign in report.signs) or "nothing"
    tally.missed.append(f"#{number} {describe(case)}: {said}")


def count_healthy(tally: Alarms, case: Case, report: HealthReport, number: int) -> None:
    """Add one healthy pull and what was said of it."""
    signs = [sign for sign in report.signs if sign.severity in FLAGS]
    tally.pulls += 1
    tally.flagged += bool(signs)
    _bump(tally.sets, case.channels, bool(signs))
    _bump(tally.machines, case.machine, bool(signs))
    tally.said.update({sign.kind for sign in signs})
    tally.texts += [f"#{number} {describe(case)}: {sign.kind}: {sign.evidence}" for sign in signs]


def run_faults(kind: str, cases: Iterable[tuple[int, Case]], look: Look) -> Found:
    """Look at faults of one kind."""
    tally = Found(kind)
    for number, case in cases:
        count_fault(tally, case, look(case), number)
    return tally


def run_healthy(cases: Iterable[tuple[int, Case]], look: Look) -> Alarms:
    """Look at healthy pulls."""
    tally = Alarms()
    for number, case in cases:
        count_healthy(tally, case, look(case), number)
    return tally
