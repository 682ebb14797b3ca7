"""The odd pull out: reported with its size, never removed."""

from __future__ import annotations

import numpy as np

from fairpull.compare.layout import Layout
from fairpull.compare.power import student_ratio
from fairpull.terms.arrays import BoolArray, FloatArray
from fairpull.terms.comparison import OddPull

LIMIT = 2.5758  # normal 99.5 % point: one good pull in a hundred is called odd
FEWEST = 3


def odd_pulls(
    layout: Layout, log_torque: FloatArray, inside: BoolArray, scatter: float, dof: float
) -> tuple[OddPull, ...]:
    """Pulls whose band average stands apart from the others of their build.

    Each is held against the mean of the others, in units of a scatter that leaves it out (externally studentised),
    with the prior scatter standing in for missing repeats.

    Args:
        layout: pulls.
        log_torque: log of corrected torque, shape (n, g).
        inside: nodes of interest, shape (g,).
        scatter, dof: typical scatter beforehand [fraction] and the degrees of freedom it is worth.

    Returns:
        The odd ones; builds with fewer than three pulls have none.

    Source: externally studentised residual, textbook definition; 1 % limit, own choice.
    """
    level = log_torque[:, inside].mean(axis=1)
    counts = layout.counts()
    means = np.array([level[layout.build == k].mean() for k in range(layout.builds)])
    residual = level - means[layout.build]
    squares = float((residual**2).sum())
    found = []
    for i, name in enumerate(layout.names):
        count = int(counts[layout.build[i]])
        if count < FEWEST:
            continue
        away = residual[i] * count / (count - 1.0)
        left = squares - residual[i] ** 2 * count / (count - 1.0)
        repeats = len(level) - layout.builds - 1
        sigma = np.sqrt((dof * scatter**2 + max(left, 0.0)) / (dof + repeats))
        distance = abs(away) / (sigma * np.sqrt(count / (count - 1.0)))
        if distance > LIMIT * student_ratio(dof + repeats):
            build = layout.build_names[layout.build[i]]
            text = (
                f"band average {np.expm1(away) * 100:+.1f} % against the other {count - 1} pulls of {build}; "
                "it still counts: look for a reason before setting it aside"
            )
            found.append(OddPull(build, name, float(np.expm1(away)), text))
    return tuple(found)
