"""Two clocks put onto one: lag and clock drift of one speed trace against another.

The same shaft was seen by two instruments, so its speed is the one signal that both hold in the same unit.
The lag is first looked for coarsely, over every possible shift, by the mean square speed misfit in the
overlap (worked out by cross-correlation); each good candidate is then refined by robust least squares.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fairpull.terms.arrays import BoolArray, FloatArray

LARGEST_DRIFT = 0.02  # clocks further apart than 2 % are not clocks of one pull
LONGEST_GAP = 5.0  # median steps that interpolation may bridge
_COARSE_DRIFT = 0.005  # range of clock rates that the coarse search tries
_COARSE_POINTS = 60_000  # bounds the cost of the coarse search for hour-long logs
_CANDIDATES = 6
_ROUNDS = 30
_KEPT_SHARE = 0.98  # share of samples that the misfit is taken over
_HUBER = 1.345  # 95 % efficiency with normal errors


@dataclass(frozen=True, slots=True)
class Trace:
    """A speed trace: ``time`` [s], strictly increasing, and ``rpm``, both of shape (n,), no NaN."""

    time: FloatArray
    rpm: FloatArray

    @property
    def step(self) -> float:
        """Median sample step [s]."""
        return float(np.median(np.diff(self.time)))

    @property
    def length(self) -> float:
        """From first to last sample [s]."""
        return float(self.time[-1] - self.time[0])


@dataclass(frozen=True, slots=True)
class Alignment:
    """How the other clock maps to the reference clock: ``reference = time * (1 + drift) + lag + ...``.

    Attributes:
        lag: what to add to the other's elapsed time so that it becomes the reference's elapsed time [s]; both
            counted from their own first sample.
        drift: reference seconds per other second, minus 1.
        lag_se, drift_se: standard errors from the least squares [s], [1].
        misfit: rms speed difference in the overlap [rpm], the worst 2 % of samples (dropouts) left out.
        overlap: length that both saw [s].
        span: speed range within the overlap [rpm].
        gain: least-squares ratio of the other's speed to the reference's in the overlap.
    """

    lag: float
    drift: float
    lag_se: float
    drift_se: float
    misfit: float
    overlap: float
    span: float
    gain: float

    def to_reference(self, elapsed: FloatArray) -> FloatArray:
        """Other clock's elapsed time [s], shape (n,), as the reference's elapsed time [s]."""
        return elapsed * (1.0 + self.drift) + self.lag


def clean_trace(time: FloatArray, rpm: FloatArray) -> Trace:
    """Drop rows without a speed and rows where the clock does not advance.

    Args:
        time: clock [s], shape (n,).
        rpm: speed, shape (n,).

    Returns:
        Elapsed time from the first kept row, with its speed.
    """
    keep = np.isfinite(time) & np.isfinite(rpm)
    time, rpm = time[keep], rpm[keep]
    if time.size == 0:
        return Trace(time, rpm)
    latest = np.maximum.accumulate(time)
    advances: BoolArray = np.concatenate(([True], time[1:] > latest[:-1]))
    return Trace(time[advances] - time[0], rpm[advances])


def onto_clock(clock: FloatArray, time: FloatArray, values: FloatArray) -> FloatArray:
    """Values on another clock by linear interpolation; NaN outside and across gaps over 5 median steps.

    Args:
        clock: where values are wanted [s], shape (n,).
        time: where they are known [s], shape (m,).
        values: shape (m,); NaN entries are passed over.

    Returns:
        shape (n,).
    """
    keep = np.isfinite(time) & np.isfinite(values)
    time, values = time[keep], values[keep]
    result = np.full(clock.shape, np.nan)
    if time.size < 2:
        return result
    order = np.argsort(time, kind="stable")
    time, values = time[order], values[order]
    longest = LONGEST_GAP * float(np.median(np.diff(time)))
    after = np.clip(np.searchsorted(time, clock), 1, time.size - 1)
    bridged = (time[after] - time[after - 1] <= longest) | (clock == time[after])
    inside = (clock >= time[0]) & (clock <= time[-1]) & bridged
    result[inside] = np.interp(clock[inside], time, values)
    return result


def align(reference: Trace, other: Trace, *, least_overlap: float) -> tuple[Alignment, ...]:
    """Find where the other trace lies on the reference's clock.

    Args:
        reference: speed on the clock to be kept.
        other: the same shaft's speed on the other clock.
        least_overlap: shortest overlap that counts [s].

    Returns:
        Alignments, best misfit first, at distinctly different lags (1 s or more apart); empty when no shift
        gives the overlap asked for.

    Valid range: clock rates within 2 % of each other; speeds in the same unit, one shaft.
    Source: practice (cross-correlation, then iteratively re-weighted least squares).
    """
    found: list[Alignment] = []
    for lag, drift in _coarse(reference, other, least_overlap):
        fit = _refine(reference, other, lag, drift)
        if fit is None or fit.overlap < least_overlap:
            # Refinement ran off, as it does with speeds that do not belong together: the coarse place stands.
            fit = _measure(reference, other, lag, drift, np.full((2, 2), np.inf), 0.0)
        if fit is not None:
            found.append(fit)
    found.sort(key=lambda fit: fit.misfit)
    apart: list[Alignment] = []
    for fit in found:
        if all(abs(fit.lag - kept.lag) >= 1.0 for kept in apart):
            apart.append(fit)
    return tuple(apart)


def _coarse(reference: Trace, other: Trace, least_overlap: float) -> list[tuple[float, float]]:
    """Candidate (lag [s], drift) pairs, best first."""
    longest = max(reference.length, other.length)
    step = max(reference.step, other.step, 0.01, longest / _COARSE_POINTS)
    # Drift smears the fit by drift * length: a grid this fine keeps the smear under half a second.
    wings = int(np.ceil(_COARSE_DRIFT * min(reference.length, other.length) / 0.5))
    drifts = np.linspace(-_COARSE_DRIFT, _COARSE_DRIFT, 2 * wings + 1) if wings else np.zeros(1)
    rows: list[tuple[float, float, float]] = []
    for drift in drifts:
        rows += _coarse_at(reference, other, float(drift), step, least_overlap)
    rows.sort()
    kept: list[tuple[float, float]] = []
    for _, lag, drift in rows:
        if all(abs(lag - before) >= 1.0 for before, _ in kept):
            kept.append((lag, drift))
        if len(kept) == _CANDIDATES:
            break
    return kept


def _coarse_at(
    reference: Trace, other: Trace, drift: float, step: float, least_overlap: float
) -> list[tuple[float, float, float]]:
    """Local minima of the relative misfit over every shift: (relative misfit, lag [s], drift)."""
    first = _even(reference.time, reference.rpm, step)
    second = _even(other.time * (1.0 + drift), other.rpm, step)
    relative = _relative_misfit(first, second, max(3, round(least_overlap / step)))
    if relative.size < 3:
        return []
    padded = np.concatenate(([np.inf], relative, [np.inf]))
    lowest = (padded[1:-1] <= padded[:-2]) & (padded[1:-1] <= padded[2:]) & np.isfinite(relative)
    where = np.flatnonzero(lowest)
    where = where[np.argsort(relative[where])][: 4 * _CANDIDATES]
    shifts = where - (second.size - 1)
    return [(float(relative[index]), float(shift) * step, drift) for index, shift in zip(where, shifts, strict=True)]


def _even(time: FloatArray, rpm: FloatArray, step: float) -> FloatArray:
    grid = np.arange(0.0, time[-1], step)
    return np.interp(grid, time, rpm)


def _relative_misfit(first: FloatArray, second: FloatArray, least: int) -> FloatArray:
    """Mean square difference over variance in the overlap, for every shift of ``second`` against ``first``.

    Args:
        first: reference values on an even grid, shape (n,).
        second: other values on the same grid step, shape (m,).
        least: smallest overlap that counts, samples.

    Returns:
        shape (n + m - 1,); entry k belongs to the shift k - (m - 1); inf where the overlap is too short or
        the speed does not move in it (two idling stretches always match).
    """
    middle = float(np.mean(first))
    a, b = first - middle, second - middle
    ones_a, ones_b = np.ones_like(a), np.ones_like(b)
    size = 1 << int(np.ceil(np.log2(a.size + b.size)))

    def slide(x: FloatArray, y: FloatArray) -> FloatArray:
        product = np.fft.rfft(x, size) * np.fft.rfft(y[::-1], size)
        return np.asarray(np.fft.irfft(product, size)[: a.size + b.size - 1], dtype=np.float64)

    count = np.rint(slide(ones_a, ones_b))
    sum_a, sum_b = slide(a, ones_b), slide(ones_a, b)
    squares = slide(a * a, ones_b) + slide(ones_a, b * b)
    with np.errstate(divide="ignore", invalid="ignore"):
        misfit = np.maximum(squares - 2.0 * slide(a, b), 0.0) / count
        variance = squares / (2.0 * count) - (sum_a**2 + sum_b**2) / (2.0 * count**2)
        relative = misfit / variance
    usable = (count >= least) & (variance > 50.0**2)
    return np.where(usable, relative, np.inf)


def _refine(reference: Trace, other: Trace, lag: float, drift: float) -> Alignment | None:
    """Gauss-Newton in lag and drift with Huber weights; None where it runs off or nothing overlaps."""
    slope = np.gradient(reference.rpm, reference.time)
    centre = 0.5 * other.length  # lag and drift are nearly independent when drift turns about the middle
    shift = lag + centre * drift
    covariance = np.full((2, 2), np.nan)
    for _ in range(_ROUNDS):
        at = other.time + shift + drift * (other.time - centre)
        inside = (at >= 0.0) & (at <= reference.time[-1])
        if np.count_nonzero(inside) < 5:
            return None
        at, lever = at[inside], (other.time - centre)[inside]
        residual = other.rpm[inside] - np.interp(at, reference.time, reference.rpm)
        gradient = np.interp(at, reference.time, slope)
        design = np.column_stack((gradient, gradient * lever))
        scale = max(1.4826 * float(np.median(np.abs(residual))), 1e-6)
        weight = np.minimum(1.0, _HUBER * scale / np.maximum(np.abs(residual), 1e-12))
        normal = design.T @ (design * weight[:, None])
        if np.linalg.cond(normal) > 1e14:
            return None
        move = np.linalg.solve(normal, design.T @ (weight * residual))
        covariance = np.linalg.inv(normal) * scale**2
        shift, drift = shift + float(move[0]), drift + float(move[1])
        if abs(drift) > 2.0 * LARGEST_DRIFT:
            return None
        if abs(move[0]) < 1e-7 and abs(move[1]) < 1e-9:
            break
    return _measure(reference, other, shift - centre * drift, drift, covariance, centre)


def _measure(
    reference: Trace, other: Trace, lag: float, drift: float, covariance: FloatArray, centre: float
) -> Alignment | None:
    at = other.time * (1.0 + drift) + lag
    inside = (at >= 0.0) & (at <= reference.time[-1])
    if np.count_nonzero(inside) < 5:
        return None
    seen = np.interp(at[inside], reference.time, reference.rpm)
    held = other.rpm[inside]
    squares = np.sort((held - seen) ** 2)
    turn = np.array([1.0, -centre])
    with np.errstate(invalid="ignore"):
        lag_se = float(np.sqrt(turn @ covariance @ turn))
    gain = float(seen @ held / max(float(seen @ seen), 1e-12))
    return Alignment(
        lag=lag,
        drift=drift,
        lag_se=lag_se,
        drift_se=float(np.sqrt(covariance[1, 1])),
        misfit=float(np.sqrt(np.mean(squares[: max(5, int(_KEPT_SHARE * squares.size))]))),
        overlap=float(at[inside][-1] - at[inside][0]),
        span=float(np.ptp(seen)),
        gain=gain,
    )
