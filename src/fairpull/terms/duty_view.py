"""Scores on a duty with what a picture of them needs: the curves that were scored, and the load that was asked for."""

from __future__ import annotations

from dataclasses import dataclass

from fairpull.terms.arrays import FloatArray
from fairpull.terms.purpose import Scores


@dataclass(frozen=True, slots=True)
class OutputCurve:
    """One build at its output shaft, in the air of the scores.

    Attributes:
        build: its name. gear: engine speed over output speed.
        rpm: of the output shaft [rpm], shape (g,), ascending.
        torque, torque_low, torque_high: mean with its pointwise 95 % interval [N m], shape (g,).
        power, power_low, power_high: likewise [W].
    """

    build: str
    gear: float
    rpm: FloatArray
    torque: FloatArray
    torque_low: FloatArray
    torque_high: FloatArray
    power: FloatArray
    power_low: FloatArray
    power_high: FloatArray


@dataclass(frozen=True, slots=True)
class DutyView:
    """Scores, and what they were made of.

    Attributes:
        scores: the result.
        curves: of every build, in the order of the scores.
        load_rpm, load_power: the load line by small steps, without its margin [rpm], [W], shape (m,); empty for duties
            without one.
    """

    scores: Scores
    curves: tuple[OutputCurve, ...]
    load_rpm: FloatArray
    load_power: FloatArray
