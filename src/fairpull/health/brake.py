"""A torque reading that moved without the engine: is it off, and by a constant or by a share?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fairpull.health.shapes import FAR_APART, Level, together
from fairpull.health.view import View
from fairpull.terms.arrays import BoolArray, FloatArray

FAR = 1.6  # expected scatters that torque has to leave its references by; that it leaves the air says more
UNFED = 0.5  # the air follows less than this share of what torque does, or goes the other way
EVEN = 4.4  # twice the log of odds of nine to one; below it both readings are said
COMMONER = 2.8  # twice the log of four to one, by which a moved zero is the commoner trouble: it names the fault
LIKE = 2.0  # odds that nobody would bet on
RESTRICTED = 2.0  # twice the log odds in favour of a loss with the square of speed
WAVE_LENGTH = 0.14  # share of the range over which a sound pull wanders from its neighbours
FREE = 20.0  # a pull's difference to another holds about so many independent values, whatever the number of nodes
PRIOR_FREE = 5.0  # the documented scatter is known to about a third of itself


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
    if found.feed.value * np.sign(moved.value) > UNFED * abs(moved.value):
        return None
    fits = offset_or_scale(view)
    if fits is None or fits.for_flow > RESTRICTED:  # what grows with flow is a restriction, not a brake
        return None
    feeds = " and ".join(f"{name} ({100.0 * one.value:+.1f} %)" for name, one in found.feeds.items())
    return BrakeReading(moved, f"{feeds} did not follow", fits)


def beside(worth: float) -> str:
    """How the other reading fits, in words.

    Args:
        worth: twice the log odds in favour of this reading.

    Returns:
        A clause.

    Source: own definition.
    """
    odds = float(np.exp(0.5 * abs(worth)))
    if odds < LIKE:
        return "about as well"
    return f"{'worse' if worth > 0 else 'better'}, at odds of {odds:.0f} to one"


@dataclass(frozen=True, slots=True)
class OffsetOrScale:
    """A torque difference read two ways.

    Attributes:
        offset: the constant that fits it best [N m], observed.
        scale: the share of torque that fits it best.
        for_offset: twice the log odds of a constant over a share; negative: a share is likelier.
        for_flow: twice the log odds of a loss with the square of speed over the likelier of both.
        offset_rest, scale_rest: root mean square of what each leaves [N m].
    """

    offset: float
    scale: float
    for_offset: float
    for_flow: float
    offset_rest: float
    scale_rest: float

    @property
    def zero_likelier(self) -> bool:
        """Whether the zero is the fault and the span the doubt, with how common each is counted in."""
        return self.for_offset + COMMONER >= 0.0


def offset_or_scale(view: View) -> OffsetOrScale | None:
    """Is the torque off by a constant or by a share?

    Both are fitted to the log ratio to the references along rpm by generalised least squares: sound pulls differ from
    each other by tilt and waves, and these must not pass for a constant. How far this build's pulls differ is not
    known beforehand; the odds are taken over all scatters, weighed by the documented one, by the references' spread
    among themselves and by what the fit leaves.

    Args:
        view: the pull.

    Returns:
        Both fits; None without references or over fewer than five nodes.

    Source: own definition (generalised least squares; variance with an inverse-gamma prior integrated out, textbook).
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
    known = _known_scatter(view, held, inverse)
    scatter = 1.0 + 1.0 / against.n

    def left(shape: FloatArray) -> tuple[float, float]:
        size, worth = _gls(shape, ratio, inverse)
        return size, known.total + FREE * worth / scatter / ratio.size

    share, share_left = left(np.ones(ratio.size))
    constant, constant_left = left(expected.mean() / expected)
    _, flow_left = left((view.rpm[held] / view.rpm[-1]) ** 2)
    weight = known.free + FREE
    offset, scale = constant * float(expected.mean()), float(np.expm1(share))
    away = own[held] - expected
    return OffsetOrScale(
        offset,
        scale,
        weight * float(np.log(share_left / constant_left)),
        weight * float(np.log(min(share_left, constant_left) / flow_left)),
        float(np.sqrt(np.mean((away - offset) ** 2))),
        float(np.sqrt(np.mean((away - scale * expected) ** 2))),
    )


@dataclass(frozen=True, slots=True)
class _Known:
    """What is known of the scatter before the pull: sum of squares over the documented variance, and its freedom."""

    total: float
    free: float


def _known_scatter(view: View, held: BoolArray, inverse: FloatArray) -> _Known:
    """The documented scatter as ``PRIOR_FREE`` degrees of freedom, and the references about their mean."""
    curves = [laid[held] for one in view.references if (laid := one.corrected("torque")) is not None]
    curves = [laid for laid in curves if np.isfinite(laid).all() and (laid > 0).all()]
    if len(curves) < 2:
        return _Known(PRIOR_FREE, PRIOR_FREE)
    table = np.log(np.array(curves))
    seen = sum(_gls(np.ones(row.size), row, inverse)[1] for row in table - table.mean(axis=0))
    return _Known(PRIOR_FREE + FREE * seen / table.shape[1], PRIOR_FREE + FREE * (len(curves) - 1))


def _covariance(rpm: FloatArray, scatter: float) -> FloatArray:
    place = (rpm - rpm[0]) / max(float(np.ptp(rpm)), 1.0)
    waves = np.exp(-0.5 * ((place[:, None] - place[None, :]) / WAVE_LENGTH) ** 2)
    tilt = 4.0 * np.outer(place - 0.5, place - 0.5)
    shares = (0.55, 1.05, 0.5)  # waves, tilt, white: of the pull-to-pull scatter of torque
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
