"""Shapes that several detectors look for: levels against the references, dips along rpm, offset or scale, roughness."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fairpull.health.view import View
from fairpull.terms.arrays import BoolArray, FloatArray

DIP_SPANS = (100.0, 150.0, 200.0, 250.0)  # rpm from a dip's middle to its shoulders
WAVE_LENGTH = 0.1  # share of the range over which a sound pull wanders from its neighbours
WINDOW = 300.0  # rpm, for scatter along the pull


@dataclass(frozen=True, slots=True)
class Level:
    """How far a channel lies from its references: natural log of the ratio, and what chance gives."""

    value: float
    scatter: float


def level(view: View, channel: str) -> Level | None:
    """Middle of the log ratio to the references along rpm, with its expected scatter.

    Args:
        view: the pull.
        channel: a channel above zero.

    Returns:
        The level; None without the channel or references.

    Source: own definition.
    """
    against = view.ratio(channel)
    if against is None or not (against.values[np.isfinite(against.values)] > 0).all():
        return None
    return Level(float(np.log(against.level)), against.scatter)


@dataclass(frozen=True, slots=True)
class Together:
    """Torque against what was fed to the engine.

    Attributes:
        torque: log ratio of corrected torque to the references.
        feed: the same of the air that burnt, weighed over its witnesses; None without any.
        feeds: the witnesses apart: "air flow", "fuel flow times lambda".
        apart_scatter: scatter to expect of torque over feed.
    """

    torque: Level
    feed: Level | None
    feeds: dict[str, Level]
    apart_scatter: float

    @property
    def apart(self) -> float:
        """Torque above what the feed explains."""
        return self.torque.value - (self.feed.value if self.feed is not None else 0.0)


def together(view: View) -> Together | None:
    """Torque and the air that burnt, against the references.

    Air is witnessed twice: by its own meter, and by fuel flow times lambda of the sensors. Breathing moves torque and
    air alike, so torque over air scatters less from pull to pull than either.

    Args:
        view: the pull.

    Returns:
        Their levels; None without references.

    Source: weighted mean, textbook; lambda's definition.
    """
    torque = level(view, "torque")
    if torque is None:
        return None
    feeds: dict[str, Level] = {}
    air, fuel, mixture = level(view, "air_mass_flow"), level(view, "fuel_mass_flow"), level(view, "lambda_sensor")
    if air is not None:
        feeds["air flow"] = air
    if fuel is not None and mixture is not None:
        feeds["fuel flow times lambda"] = Level(fuel.value + mixture.value, fuel.scatter)
    n = min(len(view.references), 4)
    apart = view.limits.scatter_torque * float(np.sqrt(1.0 + 1.0 / max(n, 1)))
    if not feeds:
        return Together(torque, None, {}, apart)
    weights = np.array([1.0 / one.scatter**2 for one in feeds.values()])
    values = np.array([one.value for one in feeds.values()])
    mean = float((weights * values).sum() / weights.sum())
    return Together(torque, Level(mean, min(one.scatter for one in feeds.values())), feeds, apart)


@dataclass(frozen=True, slots=True)
class OffsetOrScale:
    """A torque difference read two ways.

    Attributes:
        offset: the constant that fits it best [N m], observed.
        scale: the share of torque that fits it best.
        for_offset: how much worse the share fits, in chi-square; negative: the constant fits worse.
        for_flow: how much worse both fit than a loss with the square of speed, in chi-square.
        offset_rest, scale_rest: root mean square of what each leaves [N m].
    """

    offset: float
    scale: float
    for_offset: float
    for_flow: float
    offset_rest: float
    scale_rest: float


def offset_or_scale(view: View) -> OffsetOrScale | None:
    """Is the torque off by a constant or by a share?

    Both are fitted to the log ratio to the references along rpm by generalised least squares: sound pulls differ from
    each other by tilt and waves, and these must not pass for a constant.

    Args:
        view: the pull.

    Returns:
        Both fits; None without references or over fewer than five nodes.

    Source: generalised least squares, textbook; sizes of tilt and waves: shares of ``HealthLimits.scatter_torque``.
    """
    own, against = view.on_grid("torque"), view.ratio("torque")
    if own is None or against is None:
        return None
    held = np.isfinite(own) & np.isfinite(against.values) & (against.values > 0)
    if np.count_nonzero(held) < 5:
        return None
    ratio = np.log(against.values[held])
    expected = own[held] / against.values[held]
    inverse: FloatArray = np.asarray(np.linalg.inv(_covariance(view.rpm[held], view.limits.scatter_torque)))
    share, share_worth = _gls(np.ones(ratio.size), ratio, inverse)
    constant, constant_worth = _gls(expected.mean() / expected, ratio, inverse)
    offset, scale = constant * float(expected.mean()), float(np.expm1(share))
    away = own[held] - expected
    _, flow_worth = _gls((view.rpm[held] / view.rpm[-1]) ** 2, ratio, inverse)
    return OffsetOrScale(
        offset,
        scale,
        share_worth - constant_worth,
        min(share_worth, constant_worth) - flow_worth,
        float(np.sqrt(np.mean((away - offset) ** 2))),
        float(np.sqrt(np.mean((away - scale * expected) ** 2))),
    )


def _covariance(rpm: FloatArray, scatter: float) -> FloatArray:
    place = (rpm - rpm[0]) / max(float(np.ptp(rpm)), 1.0)
    waves = np.exp(-0.5 * ((place[:, None] - place[None, :]) / WAVE_LENGTH) ** 2)
    tilt = 4.0 * np.outer(place - 0.5, place - 0.5)
    shares = (0.75, 0.35, 0.4)  # waves, tilt, white: of the pull-to-pull scatter of torque
    return np.asarray(
        (shares[0] * scatter) ** 2 * waves
        + (shares[1] * scatter) ** 2 * tilt
        + (shares[2] * scatter) ** 2 * np.eye(rpm.size)
    )


def _gls(shape: FloatArray, values: FloatArray, inverse: FloatArray) -> tuple[float, float]:
    """Size of a shape and the chi-square that it leaves."""
    size = float(shape @ inverse @ values / (shape @ inverse @ shape))
    left = values - size * shape
    return size, float(left @ inverse @ left)


@dataclass(frozen=True, slots=True)
class Dip:
    """The deepest local dip of a curve.

    Attributes:
        at: its middle, index of the grid.
        shoulder: nodes from the middle to each shoulder.
        depth: how far the middle lies below the line between the shoulders, positive, unit of the curve.
        noise: robust scatter of the same measure over the part of the curve that is held as quiet.
    """

    at: int
    shoulder: int
    depth: float
    noise: float


def deepest_dip(rpm: FloatArray, curve: FloatArray, where: BoolArray, quiet: BoolArray) -> Dip | None:
    """The local dip that stands out most from the curve's own waviness.

    Args:
        rpm: grid, shape (g,), equal steps.
        curve: any unit, shape (g,); NaN where untested.
        where: nodes to search, shape (g,).
        quiet: nodes that tell how wavy the curve is by itself, shape (g,).

    Returns:
        The dip with the largest depth over noise; None where nothing dips.

    Source: own definition (second difference, median absolute deviation).
    """
    step = float(rpm[1] - rpm[0])
    best: Dip | None = None
    for span in DIP_SPANS:
        k = max(1, round(span / step))
        contrast = dip_depth(curve, k)
        still = contrast[quiet & np.isfinite(contrast)]
        if still.size < 4:
            continue
        noise = float(1.4826 * np.median(np.abs(still)))
        seen = np.where(where & np.isfinite(contrast), contrast, -np.inf)
        at = int(np.argmax(seen))
        if seen[at] > 0 and (best is None or seen[at] * (best.noise + 1e-4) > best.depth * (noise + 1e-4)):
            best = Dip(at, k, float(seen[at]), noise)
    return best


def dip_depth(curve: FloatArray, shoulder: int) -> FloatArray:
    """How far each node lies below the line between two nodes beside it.

    Args:
        curve: shape (g,), any unit.
        shoulder: nodes to each side.

    Returns:
        Depth, shape (g,), positive below; NaN within ``shoulder`` nodes of an end.

    Source: own definition (second difference).
    """
    out = np.full(curve.size, np.nan)
    if curve.size > 2 * shoulder:
        out[shoulder:-shoulder] = 0.5 * (curve[: -2 * shoulder] + curve[2 * shoulder :]) - curve[shoulder:-shoulder]
    return out


def scatter_along(view: View, channel: str) -> FloatArray | None:
    """Scatter of the samples about the smooth curve, relative to it, along rpm.

    Args:
        view: the pull.
        channel: above zero.

    Returns:
        Root mean square in a window around each node, fraction, shape (g,); NaN with fewer than five samples.

    Source: definition.
    """
    rest, rpm, laid = view.rest(channel), view.raw("rpm"), view.on_grid(channel)
    if rest is None or rpm is None or laid is None:
        return None
    out = np.full(view.rpm.size, np.nan)
    for i, node in enumerate(view.rpm):
        near = np.abs(rpm - node) <= 0.5 * WINDOW
        near &= np.isfinite(rest)
        if np.count_nonzero(near) >= 5 and np.isfinite(laid[i]) and laid[i] > 0:
            out[i] = np.sqrt(np.mean(rest[near] ** 2)) / laid[i]
    return out


def quietest(view: View, channel: str) -> FloatArray | None:
    """What scatter the references show along rpm: their mean square, root taken.

    Args:
        view: the pull.
        channel: above zero.

    Returns:
        Fraction, shape (g,); None without references that hold the channel.

    Source: definition.
    """
    tables = [found for one in view.references if (found := scatter_along(one, channel)) is not None]
    if not tables:
        return None
    table = np.array(tables) ** 2
    count = np.isfinite(table).sum(axis=0)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.sqrt(np.where(count > 0, np.nansum(table, axis=0) / count, np.nan)))


def skewness(values: FloatArray) -> float:
    """Third moment in robust standard deviations: below zero where values drop farther than they rise.

    Args:
        values: shape (n,), any unit.

    Returns:
        The skewness; 0 for fewer than ten values or no scatter.

    Source: definition, with 1.4826 times the median absolute deviation as the scale.
    """
    scale = 1.4826 * float(np.median(np.abs(values))) if values.size >= 10 else 0.0
    return float(np.mean((values / scale) ** 3)) if scale > 0 else 0.0


def middle(values: FloatArray) -> float:
    """Median of what is there; NaN where nothing is."""
    held = values[np.isfinite(values)]
    return float(np.median(held)) if held.size else float("nan")


def runs(flags: BoolArray) -> list[tuple[int, int]]:
    """Stretches of True: (first, last) index of each, both included."""
    edges = np.diff(np.concatenate(([0], flags.astype(np.int64), [0])))
    return list(zip(np.flatnonzero(edges == 1).tolist(), (np.flatnonzero(edges == -1) - 1).tolist(), strict=True))


@dataclass(frozen=True, slots=True)
class Shift:
    """How far a curve lies to the right of its references along speed [rpm], and the error of that."""

    rpm: float
    error: float


def shift_along_rpm(view: View, channel: str, others: Sequence[View]) -> Shift | None:
    """Where along speed a curve fits its references best, its level left free.

    Args:
        view: the pull.
        channel: above zero.
        others: views on the same grid.

    Returns:
        The shift; None where the channel is missing or too flat to tell.

    Source: least squares of a first-order shift, textbook.
    """
    own = view.corrected(channel)
    tables = [laid for one in others if (laid := one.corrected(channel)) is not None]
    if own is None or not tables:
        return None
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = np.log(np.mean(tables, axis=0))
        away = np.log(own) - mean
    slope = np.gradient(mean, view.rpm)
    held = np.isfinite(away) & np.isfinite(slope)
    if np.count_nonzero(held) < 8:
        return None
    table = np.column_stack([-slope[held], np.ones(np.count_nonzero(held))])
    found, *_ = np.linalg.lstsq(table, away[held], rcond=None)
    rest = away[held] - table @ found
    free = max(np.ptp(view.rpm[held]) / WINDOW, 2.0)  # neighbouring nodes of a smooth curve are alike
    x = table[:, 0] - table[:, 0].mean()
    scale = float((x * x).mean()) * free
    return None if scale <= 0 else Shift(float(found[0]), float(np.sqrt(np.mean(rest**2) / scale)))


FAR = 2.2  # expected scatters that torque has to leave its references by
FAR_APART = 2.6  # expected scatters that torque has to leave the air by; sound pulls: 0.8 of one scatter
UNFED = 0.5  # the air follows less than this share of what torque does
ZERO_UNLESS = -3.0  # chi-square in favour of a share that rules a constant out; a moved zero is the commoner trouble
SPAN_UNLESS = 3.0  # chi-square in favour of a constant that rules a share out; between the two both are said
RESTRICTED = 2.0  # chi-square in favour of a loss with the square of speed


@dataclass(frozen=True, slots=True)
class BrakeReading:
    """Torque that moved although nothing was fed to the engine for it; ``said`` is the clause of the sentence."""

    torque: Level
    said: str
    fits: OffsetOrScale


def brake_reading(view: View) -> BrakeReading | tuple[str, ...] | None:
    """Has the torque reading moved without the engine?

    Args:
        view: the pull.

    Returns:
        The reading; None where torque agrees with its references or the air explains it; the names of what is missing.

    Source: practice.
    """
    found = together(view)
    if found is None:
        return ("an earlier sound pull of the same build",)
    if found.feed is None:
        return ("air_mass_flow, or fuel_mass_flow and lambda",)
    moved = found.torque
    if abs(moved.value) < FAR * moved.scatter or abs(found.apart) < FAR_APART * found.apart_scatter:
        return None
    if abs(found.feed.value) > UNFED * abs(moved.value):
        return None
    fits = offset_or_scale(view)
    if fits is None or fits.for_flow > RESTRICTED:  # what grows with flow is a restriction, not a brake
        return None
    feeds = " and ".join(f"{name} ({100.0 * one.value:+.1f} %)" for name, one in found.feeds.items())
    return BrakeReading(moved, f"{feeds} did not follow", fits)
