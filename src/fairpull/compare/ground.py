"""The band that a verdict is given over."""

from __future__ import annotations

import numpy as np

from fairpull.compare.layout import Layout
from fairpull.terms.arrays import BoolArray
from fairpull.terms.comparison import Question
from fairpull.terms.errors import Fault, NotComparable


def judged_band(layout: Layout, question: Question) -> tuple[BoolArray, tuple[float, float]]:
    """The nodes of interest.

    Args:
        layout: pulls on common nodes.
        question: declared band, or None for all of it.

    Returns:
        Mask over the nodes, shape (g,), and the (low, high) rpm it spans.

    Raises:
        NotComparable: fewer than two nodes of the band were tested by every pull.

    Source: own definition.
    """
    if question.band is None:
        return np.ones(len(layout.rpm), dtype=np.bool_), (float(layout.rpm[0]), float(layout.rpm[-1]))
    low, high = question.band
    inside = (layout.rpm >= low) & (layout.rpm <= high)
    if inside.sum() < 2:
        raise NotComparable(
            Fault(
                "band-untested",
                "band",
                f"{low:.0f}-{high:.0f} rpm asked for, every pull tested {layout.rpm[0]:.0f}-{layout.rpm[-1]:.0f} rpm",
                "choose a band inside the tested range, or test further",
            )
        )
    return inside, (float(layout.rpm[inside][0]), float(layout.rpm[inside][-1]))
