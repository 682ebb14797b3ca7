"""Finding the rotating inertia from two sweeps at different rates, or from a coast-down."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fairpull.pulls.curve import curve
from fairpull.pulls.speed import RPM_TO_RAD, rate_of_change
from fairpull.terms.arrays import FloatArray
from fairpull.terms.errors import Fault, NotComparable
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.pull import Pull

LEAST_RATIO = 1.5  # of the two sweep rates
PULL_SCATTER = 0.004  # torque of one pull against another on a good brake, fraction; common practice 0.3 to 0.5 %
LEAST_NODES = 5
LEAST_DECAY = 200.0  # rpm

FrictionTable = tuple[FloatArray, FloatArray]


@dataclass(frozen=True, slots=True)
class Inertia:
    """An estimated moment of inertia at the crankshaft.

    Attributes:
        value: moment of inertia [kg m2].
        se: its standard error [kg m2].
        how: how it was made, in words.
        findings: what a tester should know.
    """

    value: float
    se: float
    how: str
    findings: tuple[Finding, ...] = ()


def inertia_from_sweep_rates(slow: Pull, fast: Pull, *, scatter: float = PULL_SCATTER, step: float = 50.0) -> Inertia:
    """Find the inertia from two sweeps of one build at different rates, both without inertia correction.

    At each speed the faster sweep shows less torque by ``I`` times the difference of the accelerations; the inertia
    is the least-squares slope through the origin over all speeds both pulls tested. Its error joins what the
    residuals tell (with their correlation along the speed) and what one pull differs from another as a whole.

    Args:
        slow: the slower sweep.
        fast: the faster sweep.
        scatter: standard deviation of a pull's torque level [fraction].
        step: spacing of the speeds used [rpm].

    Returns:
        The inertia.

    Raises:
        NotComparable: step tests, opposite directions, rates too alike, no common range, or already corrected.

    Source:
        Newton's second law for rotation; practice (trade: two sweeps at different rates).
    """
    _refuse_pair(slow, fast)
    grid = _common_grid(slow, fast, step)
    torque_slow, torque_fast = curve(slow, grid).torque, curve(fast, grid).torque
    rate = _rate_on(fast, grid) - _rate_on(slow, grid)
    lost = torque_slow - torque_fast
    good = np.isfinite(lost) & np.isfinite(rate)
    x, y = rate[good] * RPM_TO_RAD, lost[good]
    if x.size < LEAST_NODES:
        seen = f"{x.size} speeds with both pulls"
        raise NotComparable(Fault("inertia-range", f"{slow.name}, {fast.name}", seen, "sweep over a common range"))
    value = float(x @ y / (x @ x))
    noise = _slope_error(x, y - value * x)
    level = float(np.mean(torque_slow[good])) * scatter * 2.0**0.5 * abs(float(x.mean())) / float(np.mean(x * x))
    se = float(np.hypot(noise, level))
    how = (
        f"slope of lost torque on difference of dw/dt at {x.size} speeds, {slow.sweep_rate:.0f} against"
        f" {fast.sweep_rate:.0f} rpm/s; standard error with {scatter:.1%} of torque from pull to pull"
    )
    return Inertia(value, se, how, _doubt(value, se))


def _refuse_pair(slow: Pull, fast: Pull) -> None:
    where = f"{slow.name}, {fast.name}"
    faults = []
    if slow.kind != "sweep" or fast.kind != "sweep":
        faults.append(Fault("inertia-steps", where, "a step test", "give two sweeps"))
    elif slow.sweep_rate * fast.sweep_rate <= 0:
        seen = f"rates {slow.sweep_rate:.0f} and {fast.sweep_rate:.0f} rpm/s"
        faults.append(Fault("inertia-rates", where, seen, "give two sweeps in the same direction"))
    elif abs(fast.sweep_rate) < LEAST_RATIO * abs(slow.sweep_rate):
        seen = f"rates {slow.sweep_rate:.0f} and {fast.sweep_rate:.0f} rpm/s are too alike (or swapped)"
        remedy = f"give a fast sweep at least {LEAST_RATIO:g} times the slow one, e.g. 100 and 600 rpm/s"
        faults.append(Fault("inertia-rates-alike", where, seen, remedy))
    corrected = [p.name for p in (slow, fast) if p.choices.get("inertia", "none").startswith("torque +=")]
    if corrected:
        seen = f"already corrected for inertia: {', '.join(corrected)}"
        faults.append(Fault("inertia-corrected", where, seen, "find the pulls without the option inertia"))
    if faults:
        raise NotComparable(faults)


def _common_grid(slow: Pull, fast: Pull, step: float) -> FloatArray:
    low = max(float(np.nanmin(p.channels["rpm"])) for p in (slow, fast))
    high = min(float(np.nanmax(p.channels["rpm"])) for p in (slow, fast))
    if high - low < LEAST_NODES * step:
        seen = f"common range {low:.0f} to {high:.0f} rpm"
        raise NotComparable(Fault("inertia-range", f"{slow.name}, {fast.name}", seen, "sweep over a common range"))
    return step * np.arange(np.ceil(low / step), np.floor(high / step) + 1)


def _rate_on(pull: Pull, grid: FloatArray) -> FloatArray:
    """Rate of change of speed on the grid [rpm/s]: the pull's curve of it."""
    time, rpm = pull.channels["time"], pull.channels["rpm"]
    good = np.isfinite(rpm)
    rate = np.full(rpm.size, np.nan)
    rate[good] = rate_of_change(time[good], rpm[good], 0.25)
    return curve(_bare(pull, rate), grid).torque


def _bare(pull: Pull, values: FloatArray) -> Pull:
    return Pull(
        name=pull.name,
        origin=pull.origin,
        kind=pull.kind,
        channels={"rpm": pull.channels["rpm"], "torque": values},
        sweep_rate=pull.sweep_rate,
        valid_to=pull.valid_to,
    )


def _slope_error(x: FloatArray, residual: FloatArray) -> float:
    """Standard error of a slope through the origin with correlated residuals.

    Source: newey-west-1987 (Bartlett weights, lag 4 (n/100)^(2/9), at least 1).
    """
    n = x.size
    score = x * residual
    total = float(score @ score)
    lags = max(1, int(4.0 * (n / 100.0) ** (2.0 / 9.0)))
    for lag in range(1, min(lags, n - 1) + 1):
        total += 2.0 * (1.0 - lag / (lags + 1.0)) * float(score[lag:] @ score[:-lag])
    return float(np.sqrt(max(total, 0.0) * n / max(n - 1, 1)) / (x @ x))


def inertia_from_coast_down(
    time: FloatArray,
    rpm: FloatArray,
    brake_torque: float | FloatArray,
    friction_torque: float | FrictionTable,
    *,
    torque_uncertainty: float = 0.02,
) -> Inertia:
    """Find the inertia from a coast-down under known brake and friction torque.

    The speed lost is the angular impulse over the inertia; the line of speed on impulse needs no derivative of the
    measured speed. The torque's own uncertainty passes straight into the inertia and is joined to the line's error.

    Args:
        time: shape (n,) [s], rising.
        rpm: shape (n,) [rpm], falling.
        brake_torque: torque of the brake against the rotation, constant or shape (n,) [N m].
        friction_torque: torque of friction and pumping against the rotation: a constant [N m], or a table
            (speeds [rpm] rising, torques [N m]), used between its ends only.
        torque_uncertainty: standard uncertainty of the sum of both torques [fraction].

    Returns:
        The inertia.

    Raises:
        NotComparable: the speed does not fall enough, the torque does not slow the engine, or the table of friction
            does not cover the speeds.

    Source:
        Newton's second law for rotation, integrated once; practice.
    """
    good = np.isfinite(time) & np.isfinite(rpm)
    t, n = np.asarray(time, dtype=np.float64)[good], np.asarray(rpm, dtype=np.float64)[good]
    brake = np.broadcast_to(np.asarray(brake_torque, dtype=np.float64), np.shape(time))[good]
    fall = float(n[0] - n[-1]) if n.size > 1 else 0.0
    if n.size < 10 or fall < LEAST_DECAY:
        seen = f"speed falls by {fall:.0f} rpm over {n.size} samples"
        raise NotComparable(Fault("coast-short", "coast-down", seen, f"give a fall of {LEAST_DECAY:.0f} rpm or more"))
    impulse = _impulse(t, brake + _friction(n, friction_torque))
    x = impulse - impulse.mean()
    y = (n - n.mean()) * RPM_TO_RAD
    slope = float(x @ y / (x @ x))
    value = -1.0 / slope
    line = _slope_error(x, y - slope * x) / slope**2
    se = float(np.hypot(line, value * torque_uncertainty))
    how = (
        f"speed on angular impulse over {n.size} samples, {n[0]:.0f} to {n[-1]:.0f} rpm; torque taken as known to"
        f" {torque_uncertainty:.1%}"
    )
    return Inertia(value, se, how, _doubt(value, se))


def _impulse(time: FloatArray, against: FloatArray) -> FloatArray:
    """Angular impulse against the rotation since the first sample [N m s]."""
    impulse = np.concatenate(([0.0], np.cumsum(0.5 * (against[1:] + against[:-1]) * np.diff(time))))
    if not impulse[-1] > 0:
        seen = f"brake and friction together {np.mean(against):.4g} N m do not slow the engine"
        raise NotComparable(Fault("coast-sign", "coast-down", seen, "give torques against the rotation as positive"))
    return impulse


def _friction(rpm: FloatArray, friction: float | FrictionTable) -> FloatArray:
    if not isinstance(friction, tuple):
        return np.full(rpm.size, float(friction))
    speeds, torques = (np.asarray(part, dtype=np.float64) for part in friction)
    if rpm.min() < speeds[0] - 25.0 or rpm.max() > speeds[-1] + 25.0:
        seen = (
            f"friction table {speeds[0]:.0f} to {speeds[-1]:.0f} rpm, coast-down {rpm.min():.0f} to {rpm.max():.0f} rpm"
        )
        raise NotComparable(Fault("coast-friction", "friction table", seen, "give friction over all speeds"))
    return np.interp(rpm, speeds, torques)


def _doubt(value: float, se: float) -> tuple[Finding, ...]:
    if value > 2.0 * se:
        return ()
    text = f"the inertia is {value:.3g} kg m2 with a standard error of {se:.3g}: not told from zero."
    remedy = "Use rates further apart, or a coast-down; do not correct with this value."
    return (Finding("inertia-weak", Severity.WARNING, "inertia", text, remedy),)
