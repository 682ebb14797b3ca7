"""The verdict at a glance: band and kind without peaks, other airs or plans; the same numbers as in full."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fairpull.compare.bands import interval
from fairpull.compare.ground import judged_band
from fairpull.compare.judge import judge
from fairpull.compare.layout import lay_out
from fairpull.compare.prior import DEFAULT_PRIOR, NoisePrior
from fairpull.compare.spending import ALPHA, level_at
from fairpull.compare.verdict import kind_of
from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import Estimate, Question
from fairpull.terms.pull import Curve

MEAN_HOW = "band average of one build over that of the reference, equal rpm steps; interval from noise-model draws"


@dataclass(frozen=True, slots=True)
class Glance:
    """One build against the reference: verdict kind, and the difference with its bands as fractions, shape (g,)."""

    other: str
    kind: str
    rpm: FloatArray
    ratio: FloatArray
    ratio_low: FloatArray
    ratio_high: FloatArray
    point_low: FloatArray
    point_high: FloatArray
    mean_ratio: Estimate


def glance(
    groups: Sequence[tuple[str, Sequence[Curve]]],
    *,
    question: Question | None = None,
    order: Sequence[str] | None = None,
    look: int | None = None,
    planned_looks: int | None = None,
    prior: NoisePrior = DEFAULT_PRIOR,
    seed: int = 0,
) -> tuple[Glance, ...]:
    """Judge builds as ``compare`` does, and say only the verdict and its band.

    Args:
        groups: (build name, curves) with the reference first; curves of torque already in the air that is meant.
        question: what was declared; None takes the default.
        order, look, planned_looks, prior, seed: as for ``compare``.

    Returns:
        One glance for each build but the first.

    Raises:
        NotComparable, ValueRefused: as ``compare``.

    Source: own model, docs/differences.md.
    """
    asked = question or Question()
    alpha = ALPHA if look is None else level_at(look, planned_looks)
    layout = lay_out(groups, order)
    inside, _ = judged_band(layout, asked)
    judged = judge(layout, np.ones(len(layout.names)), inside, prior, alpha, seed)
    means = np.exp(judged.draws.means[:, :, inside]).mean(axis=2)
    return tuple(
        Glance(
            layout.build_names[k + 1],
            kind_of(band, inside, asked.smallest),
            layout.rpm,
            np.expm1(band.centre),
            np.expm1(band.low),
            np.expm1(band.high),
            np.expm1(band.point_low),
            np.expm1(band.point_high),
            interval(means[:, k + 1] / means[:, 0] - 1.0, "1", MEAN_HOW),
        )
        for k, band in enumerate(judged.bands)
    )
