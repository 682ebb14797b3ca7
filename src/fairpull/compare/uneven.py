"""Repeats that scatter more at some rpm than at others: the band widens there."""

from __future__ import annotations

import numpy as np

from fairpull.compare.layout import Layout
from fairpull.terms.arrays import FloatArray

NEIGHBOURS = 5  # nodes averaged; one node's variance alone says little


def local_widening(layout: Layout, log_torque: FloatArray, evenness: float) -> FloatArray:
    """Factor on the band's half-width at every node.

    The repeats' variance along rpm, smoothed over neighbouring nodes, is held against its mean and shrunk
    towards it: ``f^2 = max(1, (e + m v / mean v) / (e + m))`` with m repeats and evenness e.

    Args:
        layout: pulls on common nodes.
        log_torque: log of corrected torque, shape (n, g).
        evenness: degrees of freedom that equal scatter is worth beforehand.

    Returns:
        Factors, 1 or more, shape (g,); all 1 without repeats.

    Source: own definition; shrinkage of a variance ratio by degrees of freedom.
    """
    repeats = len(layout.names) - layout.builds
    nodes = len(layout.rpm)
    if repeats < 1:
        return np.ones(nodes)
    design = layout.design()
    residual = log_torque - design @ ((design / design.sum(axis=0)).T @ log_torque)
    variance = (residual**2).sum(axis=0)
    window = np.ones(min(NEIGHBOURS, nodes))
    smooth = np.convolve(variance, window, "same") / np.convolve(np.ones(nodes), window, "same")
    mean = float(smooth.mean())
    if mean <= 0.0:
        return np.ones(nodes)
    factor: FloatArray = np.sqrt(np.maximum(1.0, (evenness + repeats * smooth / mean) / (evenness + repeats)))
    return factor
