"""Shapes that several detectors look for: levels against the references, dips along rpm, roughness, shifts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fairpull.health.view import View
from fairpull.terms.arrays import FloatArray

FAR_APART = 2.6  # expected scatters that torque has to leave the air by; sound pulls: 0.8 of one scatter
NEAR = 150.0  # rpm, half-width of the stretch whose hash is looked at
ROUNDED = 1e-4  # of a channel; less scatter than this is the last digit's
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


def hash_about(view: View, channel: str, at: float) -> float | None:
    """How much rougher the samples about one speed are than those away from it.

    Args:
        view: the pull.
        channel: its name.
        at: speed [rpm].

    Returns:
        Excess of the root mean square within ``NEAR`` of the speed over the robust scatter farther off, in standard
        errors; None for held steps, too few samples, or a channel whose rounding hides its scatter.

    Source: own definition; error of a standard deviation from n samples, 1 / sqrt(2 n) of itself, textbook.
    """
    rest, rpm, laid = view.rest(channel), view.raw("rpm"), view.raw(channel)
    if rest is None or rpm is None or laid is None or view.pull.kind == "steps":
        return None
    held = np.isfinite(rest)
    near, off = held & (np.abs(rpm - at) <= NEAR), held & (np.abs(rpm - at) > 2.0 * NEAR)
    if np.count_nonzero(near) < 4 or np.count_nonzero(off) < 10:
        return None
    usual = 1.4826 * float(np.median(np.abs(rest[off])))
    if usual <= ROUNDED * float(np.nanmedian(np.abs(laid))):
        return None
    rough = float(np.sqrt(np.mean(rest[near] ** 2)))
    return float(np.sqrt(2.0 * np.count_nonzero(near)) * (rough / usual - 1.0))


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
    """Median of what is there; NaN where nothing is.

    Args:
        values: any shape, any unit.

    Returns:
        The median, unit of the values.

    Source: definition.
    """
    held = values[np.isfinite(values)]
    return float(np.median(held)) if held.size else float("nan")


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

    Source: own definition (least squares of a first-order shift).
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
