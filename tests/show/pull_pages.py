"""Pull pages for tests: a sweep with findings, one without a clock, held steps, one channel, hostile names."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from fairpull import pulls
from fairpull.terms.arrays import FloatArray
from fairpull.terms.bench import COUNTS, KeptPull, Mark
from fairpull.terms.findings import Severity
from fairpull.terms.health import SIGN_KINDS, HealthReport, Sign, Unseen
from fairpull.terms.pull import Air, Curve, Pull
from fairpull.terms.pull_page import Earlier, Making, PullPage
from fairpull.terms.recording import Origin

FACTOR = 1.02
ORIGIN = Origin("logs/one.csv", "ab" * 32, "delimited", "a comma between words")
FLOAT = Sign(
    *("valve-float", Severity.FAULT, 4400.0, 4700.0, -0.03, "1"),
    *("Torque dips 3.0 % below its own line.", "Check spring loads.", 4350.0),
)
KNOCK = Sign("knock", Severity.WARNING, 2500.0, 2700.0, 3.0, "1", "Knock level 5 at 2,600 rpm.", "Listen to it.")
SOAK = Sign("heat-soak", Severity.WARNING, 1700.0, 5000.0, -0.02, "1", "Torque is 2 % down.", "Let it cool.")
SIGNS = (FLOAT, KNOCK, SOAK)


def channels(rows: int = 400, **more: FloatArray | float) -> dict[str, FloatArray]:
    """A sweep from 1,700 to 5,000 rpm: torque 300 N m at 3,000 rpm, and what else is named."""
    rpm = np.linspace(1700.0, 5000.0, rows)
    made: dict[str, FloatArray] = {
        "time": 7.0 + np.linspace(0.0, 13.2, rows),
        "rpm": rpm,
        "torque": 300.0 * (1.0 - 9e-8 * (rpm - 3000.0) ** 2),
    }
    return made | {name: np.asarray(values, dtype=np.float64) + 0.0 * rpm for name, values in more.items()}


def trace(kind: str = "sweep", given: Mapping[str, FloatArray] | None = None, valid_to: float | None = None) -> Pull:
    """A pull with these channels."""
    made = dict(given) if given is not None else channels()
    return Pull("one", ORIGIN, kind, made, sweep_rate=250.0 if kind == "sweep" else 0.0, valid_to=valid_to)


def summary(counted: Curve, factor: float) -> dict[str, float]:
    """Peaks as taking in writes them."""
    made = {"factor": factor}
    watts = counted.torque * counted.rpm * np.pi / 30.0
    for name, values in (("torque", counted.torque), ("power", watts)):
        top = int(np.nanargmax(values))
        made |= {
            f"peak_{name}": float(values[top] * factor),
            f"observed_peak_{name}": float(values[top]),
            f"peak_{name}_rpm": float(counted.rpm[top]),
        }
    return made


def line_of(pull: Pull, counted: Curve, factor: float, signs: tuple[Sign, ...], standard: str) -> KeptPull:
    """The catalogue's line of a pull."""
    rpm = pull.channels["rpm"]
    looked = tuple(kind for kind in SIGN_KINDS if kind != "belt-slip")
    unseen = (Unseen("belt-slip", ("blower_rpm",), "needs blower_rpm"),)
    return KeptPull(
        number=7,
        name=pull.name,
        build="plain",
        build_version=1,
        session="tuesday",
        state=COUNTS,
        reason="",
        valid_to=pull.valid_to,
        started_at=1_900_000_000.0,
        kind=pull.kind,
        sweep_rate=pull.sweep_rate,
        tested=(float(np.nanmin(rpm)), float(np.nanmax(rpm))),
        summary=summary(counted, factor),
        original="ab" * 32,
        original_name="one.csv",
        piece=0,
        trace="cd" * 32,
        origin=ORIGIN,
        taken_at=1_900_000_100.0,
        version="0.1.0",
        health=HealthReport(pull.name, signs, unseen, looked, ("before",)),
        choices={"correction": f"{standard}, factor {factor:.4f}"},
        reading={"clean": {"inertia": 0.2}},
    )


def page(
    pull: Pull | None = None,
    /,
    *,
    signs: tuple[Sign, ...] = SIGNS,
    earlier: int = 0,
    standard: str = "sae-j1349",
    **line: Any,
) -> PullPage:
    """A page of a pull, its curve as the task makes it; more words change its line of the catalogue."""
    pull = pull or trace()
    counted = pulls.curve(pull, step=50.0)
    factor = FACTOR if standard != "none" else 1.0
    making = Making(
        *(standard, "A standard", "99 kPa / p_dry", "99 kPa dry", ("sae-j1349",)),
        *(Air(99000.0, 293.15, 1000.0), "natural induction, spark ignition", factor),
    )
    ran = [replace(trace(), name=f"before-{n}") for n in range(earlier)]
    whole = None if pull.valid_to is None else pulls.curve(replace(pull, valid_to=None), step=50.0)
    return PullPage(
        line=replace(line_of(pull, counted, factor, signs, standard), **line),
        marks=(Mark(pull.name, COUNTS, "", None, "", 1_900_000_100.0),),
        notes=(),
        papers=(),
        making=making,
        against="log",
        trace=pull,
        counted=counted,
        whole=whole,
        earlier=tuple(Earlier(pulls.curve(one, step=50.0), FACTOR, one) for one in ran),
    )
