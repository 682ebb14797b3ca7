"""True torque of a pull along rpm: the build's curve, the pull's own error, what went wrong, and that day's air."""

from __future__ import annotations

import numpy as np

from fairpull.demo.curves import TORQUE
from fairpull.demo.events import Event
from fairpull.demo.scenario import Run
from fairpull.demo.smooth import line, spline, wander
from fairpull.demo.sweep import Sweep
from fairpull.demo.weather import Weather
from fairpull.terms.arrays import FloatArray
from fairpull.terms.units import to_house

SHAPE_SD = 0.0012  # a pull's own departure from its build, smooth along rpm
SHAPE_RPM = 450.0
GRID = np.arange(1000.0, 6801.0, 20.0)
LEVEL_OF_FIRST_PULL = 0.9995  # pull 01, which nobody averaged


def _band_points(run: Run) -> FloatArray:
    first, last, step = run.band
    return np.arange(first, last + 1.0, step)


def corrected_curve(run: Run, event: Event, weather: Weather, rng: np.random.Generator) -> FloatArray:
    """The pull's corrected torque with nothing wrong in it, on ``GRID``.

    The pull's error has two parts: a level, such that the band average is the day sheet's, and a shape drawn from the
    seed, smooth along rpm.

    Args:
        run: a line of the day sheet.
        event: what happened in the pull.
        weather: the air, for turning a torque-zero error into a corrected one.
        rng: the pull's own random source.

    Returns:
        Torque [N m], shape of ``GRID``; the event's own loss is not in it.
    """
    shape = 1.0 + event.shape * SHAPE_SD * wander(rng, GRID, SHAPE_RPM)
    curve = spline(TORQUE[run.build], GRID) * shape
    level = LEVEL_OF_FIRST_PULL
    if run.average is not None:
        wanted = run.average - event.zero * weather.factor
        level = wanted / float(np.interp(_band_points(run), GRID, curve * line(event.torque, GRID)).mean())
    return to_house(curve * level, "lb-ft", "N m")


def random_torque(run: Run, event: Event, sweep: Sweep, rng: np.random.Generator) -> FloatArray:
    """The fast random part of the torque: burning that differs from cycle to cycle, water that churns.

    Args:
        run: a line of the day sheet.
        event: what happened in the pull.
        sweep: the clock.
        rng: the pull's own random source.

    Returns:
        Fraction of the torque, shape (n,).
    """
    churn = 0.0013 * wander(rng, sweep.time, 0.07) + 0.0008 * wander(rng, sweep.time, 0.25)
    rough = np.where(sweep.rpm > 5000.0, event.roughness, 1.0) if run.engine == "anvil" else 1.0
    return rough * (churn + 0.003 * rng.standard_normal(len(sweep.time)))
