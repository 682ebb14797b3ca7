"""House values in the units a person chose."""

from __future__ import annotations

import numpy as np
import pytest

from fairpull.show import scale
from fairpull.terms.comparison import Estimate


@pytest.mark.parametrize(
    ("unit", "system", "symbol"),
    [
        ("N m", "us", "lb-ft"),
        ("N m", "metric", "N m"),
        ("W", "us", "hp"),
        ("W", "metric", "kW"),
        ("1", "us", "%"),
        ("W rpm", "us", "hp rpm"),
        ("rpm", "us", "rpm"),
        ("K", "metric", "°C"),
    ],
)
def test_labels(unit: str, system: str, symbol: str) -> None:
    assert scale.label(unit, system) == symbol


def test_values_are_converted() -> None:
    assert scale.scalar(1.3558179483, "N m", "us") == pytest.approx(1.0, rel=1e-9)
    assert scale.scalar(745.69987158, "W", "us") == pytest.approx(1.0, rel=1e-9)
    assert scale.scalar(0.012, "1", "us") == pytest.approx(1.2, rel=1e-12)
    assert scale.scalar(0.88, "1", "us", "lambda_1") == 0.88
    assert np.isnan(scale.scalar(None, "K", "us"))


def test_an_estimate_keeps_its_interval_and_its_bound() -> None:
    shown = scale.estimate(Estimate(1000.0, 900.0, 1100.0, "W", "made up", at_least=True), "metric")
    assert (shown.value, shown.low, shown.high, shown.unit, shown.at_least) == (1.0, 0.9, 1.1, "kW", True)
    assert shown.half_width == pytest.approx(0.1)
