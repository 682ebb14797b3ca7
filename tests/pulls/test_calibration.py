"""Dead-weight calibration: the line, its limits, hysteresis, return to zero, and its use on a pull."""

from __future__ import annotations

import numpy as np
import pytest

from fairpull.pulls import PullOptions, calibrate, calibrate_rows, calibrate_weights, find, true_torque
from fairpull.pulls.line import fit_line
from fairpull.pulls.linearity import LINEARITY, check_linearity
from fairpull.terms.errors import UnknownName, ValueRefused
from fairpull.terms.findings import Severity
from tests.pulls.rig import Rig, truth

UP = np.array([0.0, 50.0, 100.0, 150.0, 200.0, 250.0, 300.0])
LOADS = np.concatenate((UP, UP[-2::-1]))  # up and down again


def test_a_good_brake_passes_everything() -> None:
    calibration = calibrate(LOADS, 1.004 * LOADS + 0.4)
    assert calibration.slope == pytest.approx(1.004, abs=1e-12)
    assert calibration.intercept == pytest.approx(0.4, abs=1e-10)
    assert calibration.see == pytest.approx(0.0, abs=1e-10)
    assert calibration.r2 == pytest.approx(1.0)
    assert calibration.passed
    assert calibration.findings == ()
    names = [check.name for check in calibration.checks]
    assert names == ["intercept", "slope", "standard error of the estimate", "r2", "hysteresis", "return to zero"]
    assert calibration.choices["full scale"].startswith("300 N m")


@pytest.mark.parametrize(
    ("indicated", "fails"),
    [
        (1.021 * LOADS, "slope"),
        (0.979 * LOADS, "slope"),
        (LOADS + 3.1, "intercept"),  # 1 % of 300 N m is 3.0
        (LOADS - 3.1, "intercept"),  # the limit is on the absolute value
        (LOADS + np.where(np.arange(13) > 6, 0.7, 0.0), "hysteresis"),  # 0.2 % is 0.6
        (LOADS + np.where(np.arange(13) == 12, 0.35, 0.0), "return to zero"),  # 0.1 % is 0.3
    ],
)
def test_each_limit_bites(indicated: np.ndarray, fails: str) -> None:
    calibration = calibrate(LOADS, indicated)
    failed = {check.name for check in calibration.checks if not check.passed}
    assert fails in failed
    assert not calibration.passed
    assert {f.code for f in calibration.findings} == {"calibration-outside-limit"}


def test_scatter_fails_the_standard_error_and_r2() -> None:
    scatter = 9.0 * np.where(np.arange(13) % 2, 1.0, -1.0)
    failed = {check.name for check in calibrate(LOADS, LOADS + scatter).checks if not check.passed}
    assert "standard error of the estimate" in failed
    worse = {check.name for check in calibrate(LOADS, LOADS + 2.0 * scatter).checks if not check.passed}
    assert "r2" in worse


def test_hysteresis_and_return_to_zero_are_measured() -> None:
    indicated = LOADS + np.where(np.arange(13) > 6, 0.45, 0.0)
    indicated[-1] = -0.2
    calibration = calibrate(LOADS, indicated)
    assert calibration.hysteresis == pytest.approx(0.45)
    assert calibration.return_to_zero == pytest.approx(-0.2)
    one_way = calibrate(UP, UP)
    assert one_way.hysteresis is None
    assert one_way.return_to_zero is None


def test_few_or_uneven_weights_are_told() -> None:
    codes = {f.code for f in calibrate(np.array([0.0, 10.0, 20.0, 300.0]), np.array([0.0, 10.0, 20.0, 300.0])).findings}
    assert codes == {"calibration-few-weights", "calibration-few-points", "calibration-uneven"}
    six_up = calibrate(UP, UP)
    assert {(f.code, f.severity) for f in six_up.findings} == {("calibration-few-points", Severity.NOTE)}


def test_masses_on_an_arm() -> None:
    mass = LOADS / (9.80665 * 0.5)
    calibration = calibrate_weights(mass, 0.5, LOADS)
    assert np.allclose(calibration.reference, LOADS)
    assert "standard gravity assumed" in calibration.choices["gravity"]
    local = calibrate_weights(mass, 0.5, LOADS, gravity=9.8061992026)
    assert local.slope == pytest.approx(9.80665 / 9.8061992026, rel=1e-9)


def test_parsed_rows() -> None:
    rows = [{"mass": float(m), "arm": 0.5, "indicated": float(m * 9.80665 * 0.5)} for m in range(0, 70, 10)]
    assert calibrate_rows(rows).slope == pytest.approx(1.0)
    rows = [{"reference": float(x), "indicated": float(x) + 1.0} for x in UP]
    assert calibrate_rows(rows, full_scale=500.0).intercept == pytest.approx(1.0)
    with pytest.raises(ValueRefused) as caught:
        calibrate_rows([{"mass": 1.0, "indicated": 1.0}, {"reference": 1.0}, {"reference": 1.0, "indicated": np.nan}])
    assert [fault.where for fault in caught.value.faults] == ["row 1", "row 2", "row 3, indicated"]


@pytest.mark.parametrize(
    ("x", "y"), [([1.0, 2.0], [1.0, 2.0]), ([1.0, 1.0, 1.0], [1.0, 2.0, 3.0]), ([1.0, np.nan, 3.0], [1.0, 2.0, 3.0])]
)
def test_lines_that_cannot_be_drawn(x: list[float], y: list[float]) -> None:
    with pytest.raises(ValueRefused):
        calibrate(np.array(x), np.array(y))
    with pytest.raises(ValueRefused, match="full-scale"):
        calibrate(UP, UP, full_scale=0.0)


def test_applied_to_a_pull() -> None:
    calibration = calibrate(LOADS, 1.01 * LOADS + 2.0)
    recording = Rig(noise=0.0).idle().pull().recording()
    (raw,) = find(recording)
    (pull,) = find(recording, PullOptions(calibration=calibration))
    assert np.allclose(pull.channels["torque"], (raw.channels["torque"] - 2.0) / 1.01)
    assert np.allclose(true_torque(1.01 * truth(LOADS) + 2.0, calibration), truth(LOADS))
    assert pull.choices["calibration"] == "torque = (indicated - 2 N m) / 1.01, limits kept"
    bad = calibrate(LOADS, 1.05 * LOADS)
    (worse,) = find(recording, PullOptions(calibration=bad))
    assert "NOT kept" in worse.choices["calibration"]
    assert "calibration-outside-limit" in {finding.code for finding in worse.findings}


def test_limits_of_other_quantities() -> None:
    line = fit_line(UP, 1.015 * UP)
    for quantity in LINEARITY:
        slope = check_linearity(line, 0.0, 300.0, quantity)[1]
        assert slope.passed is (quantity in {"rpm", "torque", "power", "fuel_mass_flow", "air_mass_flow"})
    with pytest.raises(UnknownName):
        check_linearity(line, 0.0, 300.0, "colour")
