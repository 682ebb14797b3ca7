"""JSON: the schema holds, the numbers are the record's, and nothing in it is not JSON."""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import jsonschema
import numpy as np
import pytest

import fairpull.show
from fairpull.show import json_parts
from fairpull.show.facts import words
from fairpull.show.json_reading import air_to_json, pulls_to_json, recordings_to_json
from fairpull.show.jsonface import comparison_json_text, comparison_to_json
from fairpull.terms.comparison import Comparison
from tests.show import days, readings
from tests.show.pages import DAYS

SCHEMAS = Path(fairpull.show.__file__).parent / "schema"


def schema(name: str, *, closed: bool = True) -> Any:
    """A shipped schema; closed, so that a field it does not know is an error."""
    loaded = json.loads((SCHEMAS / f"{name}-1.json").read_text(encoding="utf-8"))

    def close(part: Any) -> None:
        if isinstance(part, dict):
            if "properties" in part:
                part["additionalProperties"] = False
            for one in part.values():
                close(one)
        elif isinstance(part, list):
            for one in part:
                close(one)

    if closed:
        close(loaded)
    return loaded


def check(document: Any, name: str) -> None:
    """The document, through text and back, is what the schema says."""
    validator = jsonschema.Draft202012Validator(schema(name))
    validator.validate(json.loads(json_parts.dumps(document)))


@pytest.mark.parametrize("name", ["comparison", "recordings", "pulls", "air", "calibration"])
def test_the_schemas_are_schemas(name: str) -> None:
    jsonschema.Draft202012Validator.check_schema(schema(name, closed=False))


@pytest.mark.parametrize(("name", "system"), [*((name, "us") for name in DAYS), ("header", "metric")])
def test_a_comparison_keeps_to_its_schema(name: str, system: str) -> None:
    check(comparison_to_json(DAYS[name](), system), "comparison")


def test_the_schema_bites() -> None:
    document = comparison_to_json(days.header_day())
    document["differences"][0]["mean_ratio"].pop("unit")
    with pytest.raises(jsonschema.ValidationError, match="unit"):
        check(document, "comparison")


def test_readings_keep_to_their_schemas() -> None:
    for values in (False, True):
        check(recordings_to_json([readings.recording()], values=values), "recordings")
        check(pulls_to_json(readings.pulls(), values=values), "pulls")
    check(air_to_json(readings.air()), "air")


def _array(document: Any) -> Any:
    return np.array([math.nan if value is None else value for value in document], dtype=np.float64)


@pytest.mark.parametrize("name", list(DAYS))
def test_every_number_is_the_records_own(name: str) -> None:
    day: Comparison = DAYS[name]()
    read = json.loads(comparison_json_text(day))
    for group, said in zip(day.groups, read["groups"], strict=True):
        for field in ("torque", "torque_low", "torque_high"):
            key = {"torque": "values", "torque_low": "low", "torque_high": "high"}[field]
            np.testing.assert_array_equal(_array(said["corrected"][key]), getattr(group, field))
        for field in ("peak_torque", "peak_power", "mean_torque", "power_area", "peak_power_rpm"):
            estimate = getattr(group, field)
            np.testing.assert_equal(
                _array([said[field]["value"], said[field]["low"], said[field]["high"]]),
                [estimate.value, estimate.low, estimate.high],
            )
            assert said[field]["at_least"] is estimate.at_least
        for curve, pull in zip(group.curves, said["pulls"], strict=True):
            np.testing.assert_array_equal(_array(pull["observed"]["values"]), curve.torque)
    for difference, said in zip(day.differences, read["differences"], strict=True):
        np.testing.assert_array_equal(_array(said["axis"]["values"]), difference.rpm)
        np.testing.assert_array_equal(_array(said["ratio"]["point_low"]), difference.point_low)
        np.testing.assert_array_equal(_array(said["power"]["high"]), difference.power_high)
        assert said["verdict"]["kind"] == difference.verdict.kind
        assert said["verdict"]["sentence"] == difference.verdict.sentence
        assert {key: one["verdict"] for key, one in said["by_standard"].items()} == dict(difference.by_standard)
    codes = [one["code"] for one in read["findings"]]
    parts = [*read["differences"], *(one for view in read["views"] for one in view["differences"])]
    codes += [one["code"] for difference in parts for one in difference["findings"]]
    assert set(codes) == {one.code for one in words.all_findings(day)}
    assert len(codes) >= len(words.all_findings(day))
    assert read["choices"] == dict(day.choices)


def test_values_stay_si_whatever_the_person_reads() -> None:
    us, metric = (comparison_to_json(days.header_day(), system) for system in ("us", "metric"))
    assert us.pop("shown") != metric.pop("shown")
    assert us == metric


def test_what_is_not_a_number_is_null() -> None:
    assert json_parts.numbers(np.array([1.0, np.nan, np.inf])) == [1.0, None, None]
    assert json_parts.bare(math.nan) is None
    text = comparison_json_text(days.lone_build())
    assert "NaN" not in text
    assert json.loads(text)["groups"][0]["peak_power"]["value"] is None


def test_declared_curves_are_never_evidence() -> None:
    read = comparison_to_json(days.many_declared())
    assert [one["evidence"] for one in read["declared"]] == [False] * 39


def test_a_recording_is_described_without_its_samples_unless_asked() -> None:
    short = recordings_to_json([readings.recording()])["recordings"][0]["channels"]["torque"]
    full = recordings_to_json([readings.recording()], values=True)["recordings"][0]["channels"]["torque"]
    assert "values" not in short
    assert (short["count"], short["missing"], short["unit"]) == (1201, 1, "N m")
    assert full["values"][5] is None


def test_json_pulls_in_no_drawing_library() -> None:
    heavy = "{'rich', 'altair', 'vl_convert', 'pint', 'pydantic', 'scipy', 'polars', 'typer'}"
    code = f"import sys, fairpull.show.jsonface, fairpull.show.json_reading; print(sorted({heavy} & set(sys.modules)))"
    source = str(Path(fairpull.show.__file__).parents[2])
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": source},
    )
    assert done.stdout.strip() == "[]"
