"""A pull laid on an rpm grid: local regression for sweeps, straight lines between holds for steps."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fairpull.pulls.noise import fit_errors
from fairpull.pulls.smooth import Weights, dense, fit, local_weights
from fairpull.pulls.weather import conditions_of
from fairpull.terms.arrays import BoolArray, FloatArray
from fairpull.terms.errors import Fault, NotComparable, ValueRefused
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.pull import Curve, Pull

BANDWIDTH = 100.0  # rpm, half-width of the kernel
SAMPLES_EACH_SIDE = 5  # the kernel is widened until it holds about twice as many samples
TOLERANCE = 10.0  # rpm: a node this far beyond the outermost sample still counts as tested
_NOT_LAID = ("rpm", "torque", "torque_se")


def curve(
    pull: Pull,
    grid_rpm: FloatArray | Sequence[float] | None = None,
    step: float = 100.0,
    bandwidth: float | None = None,
    *,
    degree: int = 1,
    tolerance: float = TOLERANCE,
) -> Curve:
    """Lay a pull on an rpm grid.

    Sweeps: local polynomial regression with a tricube kernel against measured speed. Steps: straight lines between
    neighbouring holds. Nothing is said beyond the tested range.

    Args:
        pull: the pull.
        grid_rpm: nodes, shape (g,) [rpm], rising; None: all multiples of ``step`` in the tested range.
        step: spacing of the default grid [rpm].
        bandwidth: half-width of the kernel [rpm]; None: 100 rpm, wider where samples are sparse.
        degree: 1 for a local line, 2 for a local quadratic.
        tolerance: a node this far beyond the outermost sample still counts as tested [rpm].

    Returns:
        The curve with its standard error, every other channel on the same grid, and the mean air.

    Raises:
        ValueRefused: grid, step, bandwidth or degree make no sense.
        NotComparable: nothing usable up to ``valid_to``.
    """
    _check(step, bandwidth, degree, grid_rpm)
    rpm, good = pull.channels["rpm"], _usable(pull, tolerance)
    tested = (float(rpm[good].min()), float(rpm[good].max()))
    nodes = _grid(tested, step, tolerance) if grid_rpm is None else np.asarray(grid_rpm, dtype=np.float64)
    lay = _lay_steps if pull.kind == "steps" else _lay_sweep
    values, errors, channels, choices = lay(pull, good, nodes, bandwidth, degree, tolerance)
    air, weather = conditions_of(pull)
    return Curve(
        name=pull.name,
        rpm=nodes,
        torque=values,
        torque_se=errors,
        channels=channels,
        tested=tested,
        started_at=pull.started_at,
        air=air,
        findings=(*pull.findings, *weather, *_holes(nodes, values, tested, tolerance, pull.name)),
        choices={**pull.choices, **choices, **_said(pull, tested, step, grid_rpm is None, tolerance)},
    )


def _usable(pull: Pull, tolerance: float) -> BoolArray:
    """Samples that count: speed and torque present, up to the speed to which the pull is valid."""
    rpm, torque = pull.channels["rpm"], pull.channels["torque"]
    good = np.isfinite(rpm) & np.isfinite(torque)
    if pull.valid_to is not None:
        good &= rpm <= pull.valid_to + (tolerance if pull.kind == "steps" else 0.0)
    if np.count_nonzero(good) < (2 if pull.kind == "steps" else 5):
        until = "" if pull.valid_to is None else f" up to {pull.valid_to:.0f} rpm"
        seen = f"{np.count_nonzero(good)} samples with speed and torque{until}"
        raise NotComparable(Fault("curve-empty", pull.name, seen, "give a longer pull or a higher valid-to speed"))
    return good


def _check(step: float, bandwidth: float | None, degree: int, grid: FloatArray | Sequence[float] | None) -> None:
    faults = []
    if not step > 0:
        faults.append(Fault("curve-step", "step", f"{step:g} rpm", "give a spacing above 0 rpm"))
    if bandwidth is not None and not bandwidth > 0:
        faults.append(Fault("curve-bandwidth", "bandwidth", f"{bandwidth:g} rpm", "give a half-width above 0 rpm"))
    if degree not in (1, 2):
        faults.append(Fault("curve-degree", "degree", str(degree), "1 (local line) or 2 (local quadratic)"))
    if grid is not None:
        nodes = np.asarray(grid, dtype=np.float64)
        if nodes.ndim != 1 or not nodes.size or not np.isfinite(nodes).all() or (np.diff(nodes) <= 0).any():
            faults.append(Fault("curve-grid", "grid_rpm", "speeds that do not rise", "give rising speeds in rpm"))
    if faults:
        raise ValueRefused(faults)


def _grid(tested: tuple[float, float], step: float, tolerance: float) -> FloatArray:
    low = np.ceil((tested[0] - tolerance) / step)
    high = np.floor((tested[1] + tolerance) / step)
    if high < low:
        seen = f"no multiple of {step:g} rpm between {tested[0]:.0f} and {tested[1]:.0f} rpm"
        raise NotComparable(Fault("curve-no-node", "step", seen, "give a smaller step or a grid"))
    return step * np.arange(low, high + 1)


_Laid = tuple[FloatArray, FloatArray, dict[str, FloatArray], dict[str, str]]


def _lay_sweep(
    pull: Pull, good: BoolArray, nodes: FloatArray, bandwidth: float | None, degree: int, tolerance: float
) -> _Laid:
    rpm, torque = pull.channels["rpm"][good], pull.channels["torque"][good]
    width, widened = _bandwidth(rpm, bandwidth)
    weights = local_weights(rpm, nodes, width, degree, tolerance)
    values = fit(weights, torque)
    residual = torque - _smooth_curve(rpm, torque, width, degree)
    errors = np.full(nodes.size, np.nan)
    if weights.usable.any():
        errors[weights.usable] = fit_errors(dense(weights)[weights.usable], residual)
    names = [name for name in pull.channels if name not in _NOT_LAID]
    channels = _others(pull, names, good, weights, rpm, nodes, width, degree, tolerance)
    choices = {
        "curve": f"local {'line' if degree == 1 else 'quadratic'} against speed, tricube kernel (cleveland-1979)",
        "bandwidth": f"half-width {width:.0f} rpm" + (", widened: samples are sparse" if widened else ""),
        "torque standard error": "residual spectrum through each node's weights, carried on below the smoother's pass"
        " band (opsomer-2001, whittle-1953): allows for correlated samples, not for a shift of the whole pull",
    }
    return values, errors, channels, choices


def _bandwidth(rpm: FloatArray, asked: float | None) -> tuple[float, bool]:
    if asked is not None:
        return asked, False
    needed = SAMPLES_EACH_SIDE * float(rpm.max() - rpm.min()) / rpm.size
    return (needed, True) if needed > BANDWIDTH else (BANDWIDTH, False)


def _smooth_curve(rpm: FloatArray, torque: FloatArray, width: float, degree: int) -> FloatArray:
    """The same regression at every sample, by way of nodes a quarter of a bandwidth apart."""
    low, high = float(rpm.min()), float(rpm.max())
    nodes = np.linspace(low, high, max(2, 1 + int(np.ceil((high - low) / (0.25 * width)))))
    values = fit(local_weights(rpm, nodes, width, degree, np.inf), torque)
    held = np.isfinite(values)
    if not held.any():
        return np.full(rpm.size, torque.mean())
    return np.interp(rpm, nodes[held], values[held])


def _others(
    pull: Pull,
    names: list[str],
    good: BoolArray,
    weights: Weights,
    rpm: FloatArray,
    nodes: FloatArray,
    width: float,
    degree: int,
    tolerance: float,
) -> dict[str, FloatArray]:
    """Every other channel through the same weights; a channel with holes gets weights of its own."""
    if not names:
        return {}
    table = np.stack([pull.channels[name] for name in names])
    if not good.all():
        table = table[:, good]
    laid = fit(weights, table)
    channels = {name: laid[row] for row, name in enumerate(names)}
    for row in np.flatnonzero(np.isnan(table).any(axis=1)).tolist():
        present = ~np.isnan(table[row])
        if np.count_nonzero(present) < 2:
            channels[names[row]] = np.full(nodes.size, np.nan)
        else:
            own = local_weights(rpm[present], nodes, width, degree, tolerance)
            channels[names[row]] = np.where(weights.usable, fit(own, table[row][present]), np.nan)
    return channels


def _lay_steps(
    pull: Pull, good: BoolArray, nodes: FloatArray, bandwidth: float | None, degree: int, tolerance: float
) -> _Laid:
    rpm = pull.channels["rpm"][good]
    right = np.clip(np.searchsorted(rpm, nodes), 1, rpm.size - 1)
    left = right - 1
    share = np.clip((nodes - rpm[left]) / (rpm[right] - rpm[left]), 0.0, 1.0)
    tested = (nodes >= rpm[0] - tolerance) & (nodes <= rpm[-1] + tolerance)

    def between(values: FloatArray) -> FloatArray:
        return np.where(tested, (1.0 - share) * values[left] + share * values[right], np.nan)

    error = pull.channels.get("torque_se", np.full(pull.channels["rpm"].size, np.nan))[good]
    variance = np.square((1.0 - share) * error[left]) + np.square(share * error[right])
    channels = {name: between(pull.channels[name][good]) for name in pull.channels if name not in _NOT_LAID}
    choices = {
        "curve": "straight lines between neighbouring held speeds",
        "bandwidth": "none: held speeds",
        "torque standard error": "of the two neighbouring holds, carried through the straight line",
    }
    return between(pull.channels["torque"][good]), np.where(tested, np.sqrt(variance), np.nan), channels, choices


def _holes(
    nodes: FloatArray, values: FloatArray, tested: tuple[float, float], tolerance: float, name: str
) -> list[Finding]:
    inside = (nodes >= tested[0] - tolerance) & (nodes <= tested[1] + tolerance)
    holes = nodes[inside & np.isnan(values)]
    if not holes.size:
        return []
    shown = ", ".join(f"{rpm:.0f}" for rpm in holes[:8]) + (" ..." if holes.size > 8 else "")
    text = f"no usable samples around {shown} rpm inside the pull: untested there."
    return [Finding("curve-hole", Severity.WARNING, name, text, "Repeat the pull, or compare outside the hole.")]


def _said(pull: Pull, tested: tuple[float, float], step: float, default: bool, tolerance: float) -> dict[str, str]:
    said = {
        "grid": f"multiples of {step:g} rpm" if default else "given",
        "tested range": f"{tested[0]:.0f} to {tested[1]:.0f} rpm, a node up to {tolerance:g} rpm beyond it included",
    }
    if pull.valid_to is not None:
        said["valid to"] = f"{pull.valid_to:.0f} rpm, by option"
    return said
