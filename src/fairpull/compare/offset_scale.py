"""One constant torque, or one constant ratio? A constant torque looks like a zero shift or an accessory."""

from __future__ import annotations

import numpy as np

from fairpull.compare.bands import Band, interval
from fairpull.terms.arrays import BoolArray, FloatArray
from fairpull.terms.comparison import ShapeTest

OFFSET_TEXT = "looks like a zero shift or an accessory: hang a weight"


def offset_or_scale(reference: FloatArray, draws: FloatArray, band: Band, inside: BoolArray) -> ShapeTest:
    """Fit the difference by a pure offset and by a pure ratio, and see which the simultaneous band allows.

    Args:
        reference: reference build's corrected torque [N m], shape (g,).
        draws: differences in log torque, shape (s, g).
        band: their band.
        inside: nodes of interest, shape (g,).

    Returns:
        "offset" or "scale" where only that one stays inside the band everywhere; "neither" where both leave it;
        "cannot tell" where both stay inside, or no difference at all does.

    Source: own definition; weighted least squares by the draws' covariance.
    """
    torque, wiggle = reference[inside], draws[:, inside]
    low, high, centre = band.low[inside], band.high[inside], band.centre[inside]
    covariance = (
        np.cov(wiggle, rowvar=False) + np.diag(np.full(len(torque), 1e-10)) + 0.02 * np.diag(wiggle.var(axis=0))
    )
    offset_draws, offset = _fit(1.0 / torque, wiggle, centre, covariance)
    scale_draws, scale = _fit(np.ones_like(torque), wiggle, centre, covariance)
    offset_fits = _inside(offset / torque, low, high)
    scale_fits = _inside(np.full_like(torque, scale), low, high)
    nothing_fits = _inside(np.zeros_like(torque), low, high)
    kind = _kind(offset_fits, scale_fits, nothing_fits)
    return ShapeTest(
        kind,
        interval(offset_draws, "N m", "best constant torque, weighted least squares", offset),
        interval(np.exp(scale_draws), "1", "best constant ratio, weighted least squares", float(np.exp(scale))),
        _text(kind),
    )


def _fit(shape: FloatArray, draws: FloatArray, centre: FloatArray, covariance: FloatArray) -> tuple[FloatArray, float]:
    weights = np.linalg.solve(covariance, shape)
    weights = weights / (weights @ shape)
    return draws @ weights, float(centre @ weights)


def _inside(curve: FloatArray, low: FloatArray, high: FloatArray) -> bool:
    return bool(np.all((curve >= low) & (curve <= high)))


def _kind(offset_fits: bool, scale_fits: bool, nothing_fits: bool) -> str:
    if nothing_fits or (offset_fits and scale_fits):
        return "cannot tell"
    if offset_fits:
        return "offset"
    return "scale" if scale_fits else "neither"


def _text(kind: str) -> str:
    return {
        "offset": f"the same torque at every rpm: {OFFSET_TEXT}",
        "scale": "the same ratio at every rpm: a span, weather or charge-density change would look like this",
        "neither": "neither one constant torque nor one constant ratio: the change has a shape along rpm",
        "cannot tell": "a constant torque and a constant ratio both fit within noise",
    }[kind]
