"""The sample workbooks, the sample MDF file and the sample pair of logs, through the door."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from fairpull import logs
from fairpull.logs.options import ReadOptions
from fairpull.terms.recording import Recording
from tests.samples import make_workbook_and_mdf as made

SAMPLES = Path(made.__file__).parent


def read(name: str) -> Recording:
    (found,) = logs.read(SAMPLES / name, ReadOptions())
    return found


@pytest.mark.parametrize("name", ["sweep.xlsx", "sweep.ods"])
def test_the_sample_workbooks_hold_the_sweep(name: str) -> None:
    found = read(name)
    held = np.array(made.rows(10.0), dtype=np.float64)
    assert found.origin.format == "workbook"
    assert "'run 3'" in found.origin.detail
    assert np.allclose(found.channels["time"], held[:, 0], rtol=0, atol=1e-12)
    assert np.allclose(found.channels["rpm"], held[:, 1], rtol=1e-14, atol=0)
    assert np.allclose(found.channels["torque"], held[:, 2], rtol=1e-14, atol=0)
    assert np.allclose(found.channels["inlet_temperature"], held[:, 3] + 273.15, rtol=1e-14, atol=0)
    assert np.allclose(found.channels["barometer"], 99340.0, rtol=1e-14, atol=0)
    assert {finding.code for finding in found.findings} == set()


def test_the_sample_measurement_is_on_its_fastest_clock() -> None:
    found = read("sweep_three_rates.mf4")
    held = made.sweep(100.0)
    assert found.origin.format == "mdf"
    assert np.allclose(found.channels["rpm"], held["rpm"], rtol=1e-12, atol=0)
    assert np.allclose(found.channels["torque"][::2], held["torque"][::2], rtol=1e-12, atol=0)
    between = 0.5 * (held["torque"][:-2:2] + held["torque"][2::2])
    assert np.allclose(found.channels["torque"][1:-1:2], between, rtol=1e-12, atol=0)
    assert found.started_at == made.STARTED.timestamp()
    assert found.choices["mdf interpolation"].startswith("linear")


def test_the_sample_pair_is_joined() -> None:
    joined = logs.join(read("two_clocks_brake.csv"), read("two_clocks_controller.csv"))
    text = next(finding.text for finding in joined.findings if finding.code == "logs-joined")
    lag, spread = (float(part) for part in re.findall(r"lag (-?[\d.]+) ms \(± ([\d.]+)\)", text)[0])
    # The controller's first sample lies at 0.88 s on the brake's clock.
    assert abs(lag - 880.0) < 4.0 * spread < 40.0
    spark = joined.channels["spark_advance"]
    expected = np.radians(np.interp(joined.channels["rpm"], [2000.0, 5000.0], [24.0, 32.0]))
    known = np.isfinite(spark)
    assert np.count_nonzero(known) > 440
    assert np.max(np.abs(spark - expected)[known]) < np.radians(0.15)
