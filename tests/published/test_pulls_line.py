"""The least-squares line against certified and published results.

Birth certificates: NIST StRD "Norris" (READ, certified to 15 digits); GUM JCGM 100:2008 annex H.3, thermometer
calibration (READ second-hand in a library's documentation; recomputed independently to the digits shown).
"""

from __future__ import annotations

import numpy as np
import pytest

from fairpull.pulls.line import fit_line, predict

NORRIS = """
0.1 0.2  338.8 337.4  118.1 118.2  888.0 884.6  9.2 10.1  228.1 226.5  668.5 666.3  998.5 996.3  449.1 448.6
778.9 777.0  559.2 558.2  0.3 0.4  0.1 0.6  778.1 775.5  668.8 666.9  339.3 338.0  448.9 447.5  10.8 11.6
557.7 556.0  228.3 228.1  998.0 995.8  888.8 887.6  119.6 120.2  0.3 0.3  0.6 0.3  557.6 556.8  339.3 339.1
888.0 887.2  998.5 999.0  778.9 779.0  10.2 11.1  117.6 118.3  228.9 229.2  668.4 669.1  449.2 448.9  0.2 0.5
"""


def test_norris() -> None:
    pairs = np.array(NORRIS.split(), dtype=np.float64).reshape(-1, 2)
    assert pairs.shape == (36, 2)
    line = fit_line(pairs[:, 1], pairs[:, 0])
    assert line.intercept == pytest.approx(-0.262323073774029, rel=1e-12)
    assert line.slope == pytest.approx(1.00211681802045, rel=1e-14)
    assert line.intercept_se == pytest.approx(0.232818234301152, rel=1e-12)
    assert line.slope_se == pytest.approx(0.429796848199937e-3, rel=1e-12)
    assert line.see == pytest.approx(0.884796396144373, rel=1e-12)
    assert line.r2 == pytest.approx(0.999993745883712, rel=1e-14)


def test_thermometer_calibration_line() -> None:
    reading = np.array([21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511])
    correction = -np.array([0.171, 0.169, 0.166, 0.159, 0.164, 0.165, 0.156, 0.157, 0.159, 0.161, 0.160])
    line = fit_line(reading, correction, origin=20.0)
    assert round(line.intercept, 4) == -0.1712
    assert round(line.intercept_se, 4) == 0.0029
    assert round(line.slope, 5) == 0.00218
    assert round(line.slope_se, 5) == 0.00067
    assert round(line.correlation, 3) == -0.930
    assert round(line.see, 7) == 0.0034976
    assert line.see**2 * 9 == pytest.approx(0.000110096583, rel=1e-8)
    value, error = predict(line, 30.0)
    assert round(float(value), 4) == -0.1494
    assert round(float(error), 4) == 0.0041
