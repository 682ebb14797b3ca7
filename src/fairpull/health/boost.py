"""Boost of this pull beside the boost that it should have had."""

from __future__ import annotations

import numpy as np

from fairpull.health.view import View
from fairpull.terms.arrays import FloatArray

SPOOLED = 0.95  # of the level in the middle of the range


def boosted(view: View) -> bool:
    """Whether the engine has a compressor, as far as is known.

    Args:
        view: the pull.

    Returns:
        True for every induction but natural; where no engine is known, whether boost passes 2 psi.
    """
    if view.engine is not None:
        return view.engine.induction != "natural"
    boost = view.on_grid("boost")
    return boost is not None and float(np.nanmedian(boost)) > 13.8e3


def against_references(view: View) -> tuple[FloatArray, float, int] | None:
    """Boost above what the references had, brought to this pull's barometer.

    A belt-driven compressor makes the same pressure ratio, so its boost goes with the barometer; a gate worked by
    gauge pressure holds boost, and a held manifold pressure is compared as such.

    Args:
        view: the pull.

    Returns:
        Difference along rpm, shape (g,) [Pa]; the scatter to expect [Pa]; how many references. None without.

    Source: practice.
    """
    held = view.engine is not None and view.engine.induction == "turbo-held" and view.has("manifold_pressure")
    channel = "manifold_pressure" if held else "boost"
    own = view.on_grid(channel)
    if own is None:
        return None
    belt = view.engine is not None and view.engine.induction == "belt"
    expected = []
    for reference in view.references:
        laid = reference.on_grid(channel)
        if laid is None:
            continue
        now, then = view.air, reference.air
        factor = now.pressure / then.pressure if belt and now is not None and then is not None else 1.0
        expected.append(laid * factor)
    if not expected:
        return None
    with np.errstate(invalid="ignore"):
        usual = np.mean(expected, axis=0)
    if np.count_nonzero(np.isfinite(own - usual)) * 3 < own.size:
        return None
    prior = view.prior("boost", float(np.nanmean(usual)))
    return np.asarray(own - usual), prior * float(np.sqrt(1.0 + 1.0 / len(expected))), len(expected)
