"""The brake's torque calibration from dead weights: line, limits, hysteresis, return to zero, and its application."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from fairpull.pulls.line import Line, fit_line
from fairpull.pulls.linearity import check_linearity
from fairpull.pulls.weights import STANDARD_GRAVITY, weight_torque
from fairpull.terms.arrays import FloatArray, Number
from fairpull.terms.calibration import Calibration, LimitCheck
from fairpull.terms.errors import Fault, ValueRefused
from fairpull.terms.findings import Finding, Severity

HYSTERESIS_LIMIT = 0.002  # fraction of full scale, common practice
RETURN_TO_ZERO_LIMIT = 0.001  # fraction of full scale, common practice
LEAST_WEIGHTS = 6  # 40 CFR 1065.310
LEAST_REFERENCES = 10  # 40 CFR 1065.307


def calibrate(reference: FloatArray, indicated: FloatArray, *, full_scale: float | None = None) -> Calibration:
    """Draw the calibration line through reference and indicated torque and hold it against the limits.

    Args:
        reference: known torque, in the order the loads were hung, shape (n,) [N m].
        indicated: what the brake showed, shape (n,) [N m].
        full_scale: torque the limits refer to [N m]; None: the largest reference.

    Returns:
        The calibration, with checks, findings and choices.

    Raises:
        ValueRefused: too few points, one load only, or missing values.

    Source:
        40cfr1065, 1065.307 and 1065.310; hysteresis and return to zero: practice.
    """
    x = np.asarray(reference, dtype=np.float64)
    y = np.asarray(indicated, dtype=np.float64)
    line = fit_line(x, y)
    scale = float(np.max(np.abs(x))) if full_scale is None else full_scale
    if scale <= 0:
        raise ValueRefused(Fault("full-scale", "full_scale", f"{scale:g} N m", "give a torque above 0 N m"))
    down_up = hysteresis(x, y)
    zero = return_to_zero(x, y)
    checks = (*check_linearity(line, float(x.min()), scale), *_practice_checks(down_up, zero, scale))
    choices = {
        "calibration line": "least squares, floating intercept, indicated = a1 * reference + a0 (1065.602)",
        "full scale": f"{scale:.6g} N m, " + ("largest reference" if full_scale is None else "given"),
    }
    return Calibration(
        slope=line.slope,
        intercept=line.intercept,
        slope_se=line.slope_se,
        intercept_se=line.intercept_se,
        correlation=line.correlation,
        see=line.see,
        r2=line.r2,
        full_scale=scale,
        reference=x,
        indicated=y,
        hysteresis=down_up,
        return_to_zero=zero,
        checks=checks,
        passed=all(check.passed for check in checks),
        findings=(*_failed(checks), *_coverage(x, line)),
        choices=choices,
    )


def calibrate_weights(
    mass: FloatArray,
    arm: Number,
    indicated: FloatArray,
    *,
    gravity: float = STANDARD_GRAVITY,
    full_scale: float | None = None,
) -> Calibration:
    """As ``calibrate``, from masses on an arm.

    Args:
        mass: masses in the order they were hung, shape (n,) [kg]; negative on the other side of the brake.
        arm: arm length, scalar or shape (n,) [m].
        indicated: what the brake showed, shape (n,) [N m].
        gravity: local gravity [m/s2], see ``local_gravity``.
        full_scale: torque the limits refer to [N m]; None: the largest reference.

    Returns:
        The calibration.
    """
    reference = np.broadcast_to(np.asarray(weight_torque(mass, arm, gravity)), np.shape(mass)).astype(np.float64)
    result = calibrate(reference, indicated, full_scale=full_scale)
    known = "standard gravity assumed" if gravity == STANDARD_GRAVITY else "local gravity given"
    choices = {**result.choices, "gravity": f"{gravity:.6f} m/s2, {known}"}
    return _with(result, choices)


def calibrate_rows(
    rows: Sequence[Mapping[str, float]], *, gravity: float = STANDARD_GRAVITY, full_scale: float | None = None
) -> Calibration:
    """As ``calibrate``, from the parsed rows of a table.

    Args:
        rows: each with "indicated" [N m] and either "reference" [N m] or "mass" [kg] and "arm" [m].
        gravity: local gravity [m/s2].
        full_scale: torque the limits refer to [N m]; None: the largest reference.

    Returns:
        The calibration.

    Raises:
        ValueRefused: rows without the needed columns, all of them named.
    """
    faults = [fault for number, row in enumerate(rows, 1) for fault in _row_faults(number, row)]
    if faults:
        raise ValueRefused(faults)
    reference = [
        row["reference"] if "reference" in row else float(weight_torque(row["mass"], row["arm"], gravity))
        for row in rows
    ]
    result = calibrate(np.array(reference), np.array([row["indicated"] for row in rows]), full_scale=full_scale)
    if any("reference" not in row for row in rows):
        return _with(result, {**result.choices, "gravity": f"{gravity:.6f} m/s2"})
    return result


def _row_faults(number: int, row: Mapping[str, float]) -> list[Fault]:
    where = f"row {number}"
    faults = []
    if "indicated" not in row:
        faults.append(Fault("calibration-column", where, "no indicated torque", "give a column 'indicated'"))
    if "reference" not in row and not {"mass", "arm"} <= set(row):
        faults.append(Fault("calibration-column", where, "no load", "give 'reference', or 'mass' and 'arm'"))
    faults += [
        Fault("calibration-value", f"{where}, {name}", "no number", "give a number or leave the row out")
        for name in ("indicated", "reference", "mass", "arm")
        if name in row and not np.isfinite(row[name])
    ]
    return faults


def _with(calibration: Calibration, choices: Mapping[str, str]) -> Calibration:
    return replace(calibration, choices=choices)


def hysteresis(reference: FloatArray, indicated: FloatArray) -> float | None:
    """Largest difference of reading between loads going down and loads going up.

    Args:
        reference: known torque in running order, shape (n,) [N m].
        indicated: readings, shape (n,) [N m].

    Returns:
        The largest absolute difference over the loads hung both ways (zero load left out: that is the return to
        zero) [N m]; None when no load was hung both ways.

    Source:
        practice (trade: weights going up and down).
    """
    turn = int(np.argmax(np.abs(reference)))
    up = {round(float(x), 6): float(y) for x, y in zip(reference[:turn], indicated[:turn], strict=True)}
    down = zip(reference[turn + 1 :], indicated[turn + 1 :], strict=True)
    pairs = [(round(float(x), 6), float(y)) for x, y in down]
    differences = [abs(y - up[x]) for x, y in pairs if x in up and x != 0.0]
    return max(differences) if differences else None


def return_to_zero(reference: FloatArray, indicated: FloatArray) -> float | None:
    """Last unloaded reading less the first.

    Args:
        reference: known torque in running order, shape (n,) [N m].
        indicated: readings, shape (n,) [N m].

    Returns:
        The shift of the zero [N m]; None when the zero was not read before and after a load.

    Source:
        practice.
    """
    zeros = np.flatnonzero(np.abs(reference) < 1e-9)
    if zeros.size < 2 or zeros[-1] - zeros[0] < 2:
        return None
    return float(indicated[zeros[-1]] - indicated[zeros[0]])


def true_torque(indicated: Number, calibration: Calibration) -> Number:
    """Torque behind an indicated torque.

    Args:
        indicated: scalar or shape (n,) [N m].
        calibration: the brake's line.

    Returns:
        ``(indicated - a0) / a1`` like ``indicated`` [N m].

    Valid range:
        Within the calibrated loads; beyond them a straight line is assumed.

    Source:
        40cfr1065, 1065.307 (line as in Table 1), inverted.
    """
    torque = (np.asarray(indicated, dtype=np.float64) - calibration.intercept) / calibration.slope
    return float(torque) if np.ndim(indicated) == 0 else torque


def _practice_checks(down_up: float | None, zero: float | None, scale: float) -> list[LimitCheck]:
    checks = []
    if down_up is not None:
        limit = HYSTERESIS_LIMIT * scale
        checks.append(LimitCheck("hysteresis", down_up, 0.0, limit, "N m", down_up <= limit, "practice"))
    if zero is not None:
        limit = RETURN_TO_ZERO_LIMIT * scale
        checks.append(LimitCheck("return to zero", zero, -limit, limit, "N m", abs(zero) <= limit, "practice"))
    return checks


def _failed(checks: tuple[LimitCheck, ...]) -> list[Finding]:
    return [
        Finding(
            "calibration-outside-limit",
            Severity.WARNING,
            f"calibration, {check.name}",
            f"{check.name} is {check.value:.4g} {check.unit}, limits {check.low:.4g} to {check.high:.4g}"
            f" ({check.source}).",
            "Look for friction, a stiff hose or a bent arm; hang the weights again before believing absolute torque.",
        )
        for check in checks
        if not check.passed
    ]


def _coverage(reference: FloatArray, line: Line) -> list[Finding]:
    loads = np.unique(np.round(reference[np.abs(reference) > 1e-9], 6))
    findings = []
    if loads.size < LEAST_WEIGHTS:
        text = f"{loads.size} different loads; 40 CFR 1065.310 asks for at least {LEAST_WEIGHTS}."
        remedy = "Hang more weights, about equally spaced: two loads hide the line's shape."
        findings.append(Finding("calibration-few-weights", Severity.WARNING, "calibration", text, remedy))
    if line.n < LEAST_REFERENCES:
        text = f"{line.n} points; a linearity verification by 40 CFR 1065.307 has at least {LEAST_REFERENCES}."
        remedy = "Take readings going up and going down."
        findings.append(Finding("calibration-few-points", Severity.NOTE, "calibration", text, remedy))
    steps = np.diff(np.concatenate(([0.0], loads))) if loads.size else np.zeros(0)
    if loads.size >= 2 and loads.min() >= 0 and steps.max() > 2.0 * steps.mean():
        text = f"the loads leave a gap of {steps.max():.4g} N m where the mean step is {steps.mean():.4g} N m."
        remedy = "Space the weights about equally over the range."
        findings.append(Finding("calibration-uneven", Severity.NOTE, "calibration", text, remedy))
    return findings
