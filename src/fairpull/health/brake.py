"""A torque reading that moved without the engine: is it off, and by a constant or by a share?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fairpull.health.shapes import FAR_APART, Level, together
from fairpull.health.view import View
from fairpull.terms.arrays import FloatArray

FAR = 2.2  # expected scatters that torque has to leave its references by
UNFED = 0.5  # the air follows less than this share of what torque does
ZERO_UNLESS = -3.0  # chi-square in favour of a share that rules a constant out; a moved zero is the commoner trouble
SPAN_UNLESS = 3.0  # chi-square in favour of a constant that rules a share out; between the two both are said
RESTRICTED = 2.0  # chi-square in favour of a loss with the square of speed
WAVE_LENGTH = 0.1  # share of the range over which a sound pull wanders from its neighbours


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

    Source: own definition (generalised least squares); tilt and waves are shares of ``HealthLimits.scatter_torque``.
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
