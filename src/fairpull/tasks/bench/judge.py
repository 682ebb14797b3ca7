"""A pull is judged on its way into the book: its air, its summary figures, its health, whether it counts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from fairpull import air, engine, health, pulls
from fairpull.tasks.weather import weather_of
from fairpull.terms.bench import COUNTS, SET_ASIDE, Figure, NewPull
from fairpull.terms.errors import NotComparable
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.health import SIGN_KINDS, HealthReport, Sign, Unseen, sign_finding

if TYPE_CHECKING:
    from fairpull.terms.arrays import FloatArray
    from fairpull.terms.build import Build
    from fairpull.terms.engine import Engine
    from fairpull.terms.pull import Curve, Pull

STEP = 50.0  # rpm; finer than any verdict's grid, so that a peak is found where it is
MOST_HELD = 60  # speeds that anybody holds in one test
LEAST_APART = 15.0  # rpm between the speeds of a printed curve
MOST_MERGED = 1.1  # rows at each speed, beyond which speeds come again
MOST_JUMP = 0.2  # of the highest torque, from one speed to the next of a curve
NO_CLOCK = "its clock is missing"
DIPS = ("valve-float", "misfire")
RPM_TO_RAD = 2.0 * np.pi / 60.0


@dataclass(frozen=True, slots=True)
class Reference:
    """An earlier counted pull of the same build, with its correction factor."""

    pull: Pull
    factor: float


@dataclass(frozen=True, slots=True)
class Air:
    """The correction of one pull: factor, standard, and what is to be said of it."""

    factor: float
    standard: str
    findings: tuple[Finding, ...]


def correction_of(curve: Curve, machine: Engine | None, standard: str) -> Air:
    """The house's correction of one pull.

    Args:
        curve: of the pull.
        machine: its engine, None where unknown.
        standard: key the house prefers; "" for the default.

    Returns:
        The correction; factor 1 and standard "none" where the weather is not known.

    Raises:
        FairpullError: the preferred standard cannot be computed for this engine.
    """
    wanted = standard if curve.air is not None else ""
    weather = weather_of([curve], {} if machine is None else {curve.name: machine}, wanted)
    factor = weather.factors.get(weather.standard, {}).get(curve.name, 1.0)
    return Air(factor, weather.standard, weather.findings)


def judged(
    pull: Pull,
    build: Build,
    references: Sequence[Reference],
    *,
    standard: str = "",
    session: str = "",
    reading: Mapping[str, Any] | None = None,
) -> NewPull:
    """Judge a pull.

    Args:
        pull: as found and cleaned.
        build: what it ran with.
        references: earlier counted pulls of the same build.
        standard: correction standard of the house; "" for the default.
        session: name of its session's sheet.
        reading: how it was read, as data.

    Returns:
        The pull with its figures and its state: set aside where a sign of trouble is a fault, with that as the reason;
        counted up to a speed only where the trouble begins there.
    """
    curve = pulls.curve(pull, step=STEP)
    corrected = correction_of(curve, build.engine, standard)
    report = _looked_at(pull, build.engine, corrected.factor, references)
    state, reason, valid_to = verdict_on(report)
    cut = _clock_cut(pull)
    if cut is not None:
        state, reason = SET_ASIDE, f"{NO_CLOCK}: {cut.text}"
    said = {finding.code for finding in pull.findings}
    aired = [finding for finding in corrected.findings if finding.code != "no-weather" or finding.code not in said]
    signs = tuple(sign_finding(sign, pull.name) for sign in report.signs)
    limits = [limit for limit in (pull.valid_to, valid_to) if limit is not None]
    choices = {**pull.choices, "correction": f"{corrected.standard}, factor {corrected.factor:.4f}"}
    kept = replace(
        pull,
        valid_to=min(limits) if limits else None,
        findings=tuple(dict.fromkeys([*pull.findings, *aired, *signs, *([cut] if cut else [])])),
        choices=choices,
    )
    return NewPull(
        pull=kept,
        build=build.name,
        session=session,
        state=state,
        reason=reason,
        summary=summary_of(pulls.curve(kept, step=STEP), corrected.factor, kept),
        figures=figures_of(pull, build.engine),
        health=report,
        reading=reading or {},
    )


def _looked_at(pull: Pull, machine: Engine, factor: float, references: Sequence[Reference]) -> HealthReport:
    """What the detectors say, where they can: rows of a log without a clock are no sweep and no held speeds."""
    if _clock_cut(pull) is not None:
        said = "the rows have no clock, and idle or run-down stand among them"
        return HealthReport(pull.name, (), tuple(Unseen(kind, ("time",), said) for kind in SIGN_KINDS), ())
    report = health.look(
        pull,
        engine=machine,
        references=[one.pull for one in references],
        factor=factor,
        reference_factors=[one.factor for one in references],
    )
    if "time" in pull.channels or pull.kind != "sweep":
        return report
    return replace(report, signs=tuple(_unsure(sign) for sign in report.signs))


def _unsure(sign: Sign) -> Sign:
    """Without a clock nothing was discarded where the sweep begins or ends, so a dip of torque is no proof."""
    if sign.kind not in DIPS or sign.severity != Severity.FAULT:
        return sign
    confirm = f"{sign.confirm} The log has no clock: export it with its clock first."
    return replace(sign, severity=Severity.WARNING, counts_to=None, confirm=confirm)


def _clock_cut(pull: Pull) -> Finding | None:
    """A table that is the raw samples of a log whose clock was cut, with more than one rising sweep in it."""
    rpm = pull.channels["rpm"]
    if pull.kind != "steps" or "time" in pull.channels or rpm.size <= MOST_HELD:
        return None
    rows = pull.last_row - pull.first_row + 1
    gap = float(np.median(np.diff(np.sort(rpm[np.isfinite(rpm)]))))
    jumps = np.abs(np.diff(pull.channels["torque"])) > MOST_JUMP * float(np.nanmax(pull.channels["torque"]))
    if gap >= LEAST_APART and rows <= MOST_MERGED * rpm.size and np.mean(jumps) < 0.1:
        return None  # a curve that was printed at close steps, once
    text = f"{rows} rows at {rpm.size} speeds are samples of a log, not held speeds; pulls and run-down are mixed."
    remedy = (
        "Export the log again with its clock column, or name it: --column COLUMN=time; several curves: --by COLUMN."
    )
    return Finding("samples-without-clock", Severity.WARNING, pull.name, text, remedy)


def verdict_on(report: HealthReport) -> tuple[str, str, float | None]:
    """Whether a pull counts, why not, and up to which speed [rpm].

    Args:
        report: of the detectors.

    Returns:
        State, reason ("" where it counts), limit (None where it counts to its end).
    """
    faults = [sign for sign in report.signs if sign.severity == Severity.FAULT]
    whole = [sign for sign in faults if sign.counts_to is None]
    if whole:
        return SET_ASIDE, "; ".join(f"{sign.kind}: {sign.evidence}" for sign in whole), None
    limits = [sign.counts_to for sign in faults if sign.counts_to is not None]
    return COUNTS, "", min(limits) if limits else None


def summary_of(curve: Curve, factor: float, pull: Pull) -> dict[str, float]:
    """Summary figures of a pull, up to where it counts.

    Args:
        curve: of the pull, observed, on a fine grid, as far as the pull counts.
        factor: of correction.
        pull: with its channels.

    Returns:
        Name -> value in house units; those of an empty curve are left out.

    Source: definition.
    """
    inside = np.isfinite(curve.torque)
    summary = {"factor": factor, "sweep_rate": pull.sweep_rate}
    time = pull.channels.get("time")
    if time is not None and np.isfinite(time).sum() > 1:
        summary["duration"] = float(np.nanmax(time) - np.nanmin(time))
    if not inside.any():
        return summary
    rpm, torque = curve.rpm[inside], curve.torque[inside]
    power = torque * rpm * RPM_TO_RAD
    summary |= {"rpm_low": float(rpm[0]), "rpm_high": float(rpm[-1])}
    for name, values in (("torque", torque), ("power", power)):
        top = int(np.argmax(values))
        summary |= {
            f"observed_peak_{name}": float(values[top]),
            f"peak_{name}": float(values[top] * factor),
            f"peak_{name}_rpm": float(rpm[top]),
            f"mean_{name}": float(values.mean() * factor),
        }
    return summary


def figures_of(pull: Pull, machine: Engine | None) -> dict[str, Figure]:
    """Three numbers of every channel, and of what the channels yield with the engine.

    Args:
        pull: with its channels.
        machine: its engine; None where unknown.

    Returns:
        Channel or derived quantity -> figure, house units; empty channels are left out.

    Source: definition.
    """
    every = {**_derived(pull, machine), **pull.channels}
    return {name: figure for name, values in every.items() if name != "time" and (figure := _figure(values))}


def _derived(pull: Pull, machine: Engine | None) -> dict[str, FloatArray]:
    if machine is None:
        return {}
    try:
        room = pulls.air_of(pull)
    except NotComparable:
        room = None
    density = None
    if room is not None:
        density = float(air.density(room.pressure - room.vapour_pressure, room.temperature, 0.0))
    columns = engine.derive(machine, pull.channels, reference_density=density, reference_name="dry air").columns
    return {name: column.values for name, column in columns.items()}


def _figure(values: FloatArray) -> Figure | None:
    known = values[np.isfinite(values)]
    return Figure(float(known.min()), float(known.mean()), float(known.max())) if known.size else None
