"""The narrowest honest band: drawn by somebody who knew the scatter, its correlation, and the drift."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from simulations import errors
from simulations.cases import Case
from simulations.days import GRID

DRAWS = 20_000


@lru_cache(maxsize=64)
def _multiple(length: float, noise: float) -> float:
    """How many standard deviations the widest excursion along rpm has in 95 of 100 draws.

    Args:
        length: correlation length of the pull error [rpm].
        noise: reading noise against scatter.
    """
    rng = np.random.default_rng(95)
    drawn = errors.smooth_errors(rng, GRID, length, DRAWS)
    drawn += errors.reading_noise(rng, np.ones_like(drawn), noise)
    return float(np.quantile(np.max(np.abs(drawn), axis=1), 0.95))


def half_width(case: Case) -> float | None:
    """Half width of the all-knowing 95 % simultaneous band, fraction; None where it is not one number.

    Known noise, drift and zeros taken off: only the pull errors and the reading noise remain. It is no
    number for days that draw their own noise, that are looked at on the way, or whose errors are not
    Gaussian and alike along rpm.
    """
    world = case.world
    if world.scatter is None or world.length is None or world.family != "gaussian" or case.mode != "day":
        return None
    multiple = _multiple(world.length, world.noise / world.scatter)
    return float(multiple * world.scatter * np.sqrt(1.0 / case.plan.pulls_a + 1.0 / case.plan.pulls_b))
