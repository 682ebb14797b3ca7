"""What a picture of a duty is drawn from: mean curves with their intervals, and the load line by small steps."""

from __future__ import annotations

import numpy as np

from fairpull.compare.purpose.lines import line_range, needed_power
from fairpull.compare.purpose.shaft import ShaftCurve
from fairpull.compare.summaries import power_of
from fairpull.terms.arrays import FloatArray
from fairpull.terms.duty_view import OutputCurve
from fairpull.terms.purpose import Duty

ENDS = (2.5, 97.5)  # per cent
POINTS = 81


def output_curve(curve: ShaftCurve) -> OutputCurve:
    """A build's mean at its output shaft with its pointwise interval.

    Args:
        curve: with its draws.

    Returns:
        The curve.

    Source: definition, percentiles of the draws.
    """
    low, high = np.percentile(curve.draws, ENDS, axis=0)
    rpm = curve.rpm
    return OutputCurve(
        curve.name,
        curve.gear,
        rpm,
        curve.torque,
        low,
        high,
        power_of(curve.torque, rpm),
        power_of(low, rpm),
        power_of(high, rpm),
    )


def load_of(duty: Duty) -> tuple[FloatArray, FloatArray]:
    """The load line by small steps.

    Args:
        duty: any.

    Returns:
        Speeds [rpm] and power without margin [W], shape (m,); empty where the duty has no load line.

    Source: own definition.
    """
    if duty.kind != "load line":
        return np.zeros(0), np.zeros(0)
    low, high = line_range(duty)
    corners = [point.rpm for point in duty.points if low <= point.rpm <= high]
    rpm = np.unique([*np.linspace(low, high, POINTS), *corners])
    return rpm, needed_power(duty, rpm)
