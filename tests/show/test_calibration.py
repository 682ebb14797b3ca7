"""A dead-weight calibration in both faces: the line, each limit, and what broke it."""

from __future__ import annotations

import json

from fairpull.show.calibration_text import calibration_text, calibration_to_json
from fairpull.show.json_parts import dumps
from tests.show import readings
from tests.show.test_json import check


def test_it_says_first_whether_every_limit_is_kept() -> None:
    assert calibration_text(readings.calibration(passed=True)).startswith("Calibration: every limit is kept.")
    broken = calibration_text(readings.calibration(passed=False))
    assert broken.startswith("Calibration: not every limit is kept.")
    assert "BROKEN" in broken
    assert "BROKEN" not in calibration_text(readings.calibration(passed=True))


def test_numbers_have_the_digits_that_their_errors_earn() -> None:
    text = calibration_text(readings.calibration(passed=True), "metric")
    assert "1.00111 (standard error 0.00023)" in text
    assert "0.08 N m (standard error 0.09 N m)" in text


def test_the_works_behind_limits_are_named() -> None:
    assert "40 CFR part 1065" in calibration_text(readings.calibration(passed=True))


def test_json_keeps_to_its_schema_and_stays_si() -> None:
    for passed in (True, False):
        document = calibration_to_json(readings.calibration(passed=passed))
        check(document, "calibration")
        read = json.loads(dumps(document))
        assert read["passed"] is passed
        assert read["hysteresis"] == {"value": None if passed else 1.4, "unit": "N m"}
        assert read["slope"]["standard_error"] == 0.00023
        assert len(read["reference"]["values"]) == 5
