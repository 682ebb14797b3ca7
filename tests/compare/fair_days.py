"""Builds and days for the tests of ledger and fairness: pulls with channels, circumstances, and their comparison."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from fairpull import pulls as cleaning
from fairpull.compare import compare
from fairpull.terms.arrays import FloatArray
from fairpull.terms.build import Build, Part
from fairpull.terms.comparison import Comparison
from fairpull.terms.engine import Engine, Fuel
from fairpull.terms.ledger import RunFacts
from fairpull.terms.pull import Pull
from fairpull.terms.recording import Conditions, Origin
from fairpull.terms.units import to_house

START = 1_700_000_000.0
ORIGIN = Origin("a.csv", "ab" * 32, "delimited", "named by the person")
PETROL = Fuel("regular", 14.6, 43.5e6, 745.0)
E85 = Fuel("e85", 9.8, 29.2e6, 781.0)
SPEEDS = np.arange(1800.0, 4801.0, 25.0)
CORRECTED = "torque += I dw/dt with I = 0.2 kg m2"


def engine(induction: str = "natural", *, fuel: Fuel | None = PETROL, inertia: float | None = 0.20) -> Engine:
    """An invented inline six."""
    return Engine("Anvil", 0.08776, 0.09906, 6, fuel=fuel, induction=induction, inertia=inertia)


def build(name: str, machine: Engine | None = None, **fields: object) -> Build:
    """A build of that engine."""
    return replace(Build(name, machine or engine(), "Anvil"), **fields)  # type: ignore[arg-type]


def compressor(**data: Any) -> Mapping[str, Part]:
    """A compressor on the sheet."""
    return {"compressor": Part("invented screw", "compressor", {}, data)}


def hump(rpm: FloatArray) -> FloatArray:
    """A torque curve [N m]."""
    curve: FloatArray = 305.0 - ((rpm - 3000.0) / 230.0) ** 2
    return curve


@dataclass(frozen=True, slots=True)
class Run:
    """How a build's pulls were run; every default is held equal between builds."""

    minutes: tuple[float, ...] = (0.0, 60.0)
    rpm: FloatArray = field(default_factory=lambda: SPEEDS)
    torque: FloatArray | None = None
    change: float = 0.0
    channels: Mapping[str, float | FloatArray] = field(default_factory=dict)
    air: Conditions = field(default_factory=lambda: Conditions(100_000.0, 295.0, vapour_pressure=1300.0))
    rate: float = 250.0
    kind: str = "sweep"
    inertia: str = CORRECTED
    stamped: bool = True


USUAL: Mapping[str, float] = {
    "throttle": 0.997,
    "oil_temperature": 368.0,
    "coolant_out": 352.0,
    "lambda": 0.87,
    "spark_advance": 0.53,
}


def pull(name: str, minute: float, run: Run) -> Pull:
    """One pull of a run."""
    base = hump(run.rpm) if run.torque is None else run.torque
    channels = {"rpm": run.rpm, "torque": base * (1.0 + run.change)}
    for key, value in {**USUAL, **run.channels}.items():
        channels[key] = np.full(len(run.rpm), value) if isinstance(value, float) else np.asarray(value)
    return Pull(
        name,
        ORIGIN,
        run.kind,
        channels,
        started_at=START + 60.0 * minute if run.stamped else None,
        sweep_rate=run.rate,
        given=run.air,
        choices={"inertia": run.inertia},
    )


def facts(made: Build | None, run: Run, *, factor: float = 1.0, **fields: Any) -> RunFacts:
    """Circumstances of a build."""
    name = made.name if made is not None else "nameless"
    members = tuple(pull(f"{name}{number}", minute, run) for number, minute in enumerate(run.minutes))
    found = RunFacts(made, members, np.full(len(members), factor), np.array(run.minutes))
    return replace(found, **fields)


def comparison(runs: Sequence[RunFacts], *, step: float = 100.0, standard: str = "sae-j1349") -> Comparison:
    """The plain comparison of several builds, reference first."""
    names = [one.build.name if one.build is not None else f"group {n}" for n, one in enumerate(runs)]
    groups = [
        (name, [cleaning.curve(each, step=step) for each in one.pulls]) for name, one in zip(names, runs, strict=True)
    ]
    factors = {each.name: float(factor) for one in runs for each, factor in zip(one.pulls, one.factors, strict=True)}
    return compare(groups, standard=standard, factors={standard: factors} if standard != "none" else None)


# Table of the trade's sheet: naturally aspirated, centrifugal, screw (hp), and boost of the two (psi).
TABLE_RPM = np.arange(2000.0, 6401.0, 400.0)
NATURAL_HP = (36, 46, 57, 68, 78, 89, 100, 109, 116, 119, 120, 117)
CENTRIFUGAL_HP = (38, 49, 61, 76, 90, 104, 120, 136, 148, 157, 163, 164)
SCREW_HP = (44, 57, 70, 84, 98, 111, 124, 135, 144, 148, 149, 145)
NATURAL_LBFT = (95, 101, 107, 111, 114, 117, 119, 119, 117, 112, 105, 96)
CENTRIFUGAL_LBFT = (99, 107, 115, 124, 131, 137, 143, 149, 149, 147, 143, 134)
SCREW_LBFT = (115, 124, 132, 138, 143, 146, 148, 148, 145, 139, 130, 119)
CENTRIFUGAL_PSI = (1.0, 1.4, 1.9, 2.5, 3.1, 3.8, 4.6, 5.5, 6.5, 7.5, 8.4, 9.4)
SCREW_PSI = (5.6, 6.2, 6.5, 6.6, 6.6, 6.6, 6.6, 6.5, 6.5, 6.3, 6.2, 6.0)
BAROMETER = float(to_house(14.3, "psi", "Pa"))


def from_table(name: str, lbft: Sequence[float], psi: Sequence[float] | None, minute: float) -> RunFacts:
    """A build whose single pull holds the table's speeds, as held steps."""
    rpm = TABLE_RPM
    channels: dict[str, float | FloatArray] = {}
    machine = engine()
    if psi is not None:
        machine = engine("belt")
        channels["boost"] = to_house(np.array(psi, dtype=np.float64), "psi", "Pa")
    torque = to_house(np.array(lbft, dtype=np.float64), "lb-ft", "N m")
    air = Conditions(BAROMETER, 293.0, vapour_pressure=1300.0)
    return facts(build(name, machine), Run((minute,), rpm, torque, channels=channels, air=air, kind="steps", rate=0.0))
