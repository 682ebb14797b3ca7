"""The sample sweep in each of its clothes reads to the same channels."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from fairpull import logs
from fairpull.terms.recording import Recording
from tests.samples.make_text_logs import rows

SAMPLES = Path(__file__).parents[1] / "samples"
FULL = (
    "sweep_plain.csv",
    "sweep_decimal_comma_latin1.csv",
    "sweep_utf16_tabs.txt",
    "sweep_header_twice.log",
    "sweep.jsonl",
    "sweep.parquet",
)


def read(name: str) -> Recording:
    (found,) = logs.read(SAMPLES / name)
    return found


def codes(found: Recording) -> set[str]:
    return {finding.code for finding in found.findings}


@pytest.mark.parametrize("name", FULL)
def test_the_numbers_are_the_same_in_house_units(name: str) -> None:
    found = read(name)
    time, rpm, torque, baro, air = np.array(rows()).T
    assert set(found.channels) == {"time", "rpm", "torque", "barometer", "inlet_temperature"}
    np.testing.assert_allclose(found.channels["time"], time, rtol=1e-15)
    np.testing.assert_allclose(found.channels["rpm"], rpm, rtol=1e-15)
    np.testing.assert_allclose(found.channels["torque"], torque, rtol=1e-15)
    np.testing.assert_allclose(found.channels["barometer"], 100 * baro, rtol=1e-14)
    np.testing.assert_allclose(found.channels["inlet_temperature"], air + 273.15, rtol=1e-15)
    assert found.kind == "trace"
    assert found.extra == {}


@pytest.mark.parametrize("name", FULL)
def test_the_origin_finds_the_bytes_again(name: str) -> None:
    found = read(name)
    assert found.origin.sha256 == hashlib.sha256((SAMPLES / name).read_bytes()).hexdigest()
    assert found.origin.path.endswith(name)
    assert found.name == name.rsplit(".", 1)[0]


@pytest.mark.parametrize("name", FULL)
def test_every_column_is_shown_with_its_channel(name: str) -> None:
    mapped = read(name).mapped
    assert [row.channel for row in mapped] == ["time", "rpm", "torque", "barometer", "inlet_temperature"]
    assert {row.how for row in mapped} == {"exact"}
    assert all(row.reason for row in mapped)


def test_the_layout_is_told() -> None:
    assert read("sweep_decimal_comma_latin1.csv").choices["decimal mark"] == ","
    assert "encoding-guessed" in codes(read("sweep_decimal_comma_latin1.csv"))
    assert read("sweep_utf16_tabs.txt").choices["encoding"] == "UTF-16-LE with byte-order mark"
    assert codes(read("sweep_header_twice.log")) == {"header-repeated", "rows-dropped"}
    assert codes(read("sweep_plain.csv")) == set()


def test_time_of_day_date_and_weather_before_the_header() -> None:
    found = read("sweep_time_of_day.dat")
    start = datetime(2031, 5, 6, 10, 15, 2, tzinfo=UTC).timestamp()
    assert found.started_at == start
    np.testing.assert_allclose(found.channels["time"], [row[0] for row in rows()], atol=1e-9)
    assert found.channels["torque"][0] == pytest.approx(210 * 1.3558179483314004, rel=1e-15)
    assert found.given.pressure == pytest.approx(29.62 * 3386.38864034, rel=1e-9)
    assert found.given.temperature == pytest.approx(293.15, rel=1e-12)
    assert found.given.relative_humidity == pytest.approx(0.56, rel=1e-12)
    assert "weather-from-preamble" in codes(found)
