"""ASAM MDF files: channels at different rates on one clock; damaged files and a missing library refused."""

from __future__ import annotations

import sys
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from fairpull.logs.formats import mdf
from fairpull.logs.options import ReadOptions
from fairpull.logs.table import RawTable
from fairpull.terms.errors import MissingExtra, ReadRefused

asammdf = pytest.importorskip("asammdf", reason="asammdf is an optional library")

START = datetime(2026, 3, 4, 9, 10, 11, tzinfo=UTC)


def write(path: Path, *, version: str = "4.10", compression: int = 2) -> Path:
    """Three rates, a repeated name, a text channel and a single-sample channel."""
    fast = np.arange(0.0, 12.0, 0.01)
    slow = np.arange(0.5, 11.6, 0.1)
    file = asammdf.MDF(version=version)
    signal = asammdf.Signal
    file.append(
        [
            signal(2000.0 + 300.0 * fast, fast, name="Engine speed", unit="1/min"),
            signal(200.0 + 5.0 * fast, fast, name="Torque", unit="Nm"),
        ]
    )
    file.append([signal(20.0 + slow, slow, name="Inlet air", unit="degC")])
    file.append([signal(np.full(slow.size, 7, dtype=np.uint8), slow, name="Torque", unit="V")])
    file.append([signal(np.array([993.5]), np.array([0.0]), name="Barometer", unit="mbar")])
    gear = np.array([b"fourth"] * slow.size)
    file.append([signal(gear, slow, name="Gear", encoding="utf-8")])
    file.header.start_time = START
    file.save(path, overwrite=True, compression=compression)
    file.close()
    return path


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write(tmp_path_factory.mktemp("mdf") / "pull.mf4")


@pytest.fixture(scope="module")
def table(sample: Path) -> RawTable:
    return mdf.load(sample, ReadOptions())


def test_the_sniffer_says_why(sample: Path) -> None:
    taken = mdf.sniff(sample, sample.read_bytes()[:4096])
    assert taken.claims
    assert "MDF 4.10" in taken.reason
    assert not mdf.sniff(sample, b"time,rpm,torque\n").claims


def test_channels_at_different_rates_share_the_fastest_clock(table: RawTable) -> None:
    assert table.columns == ("time", "Engine speed", "Torque", "Inlet air", "Torque (2)", "Barometer")
    assert {values.shape for values in table.values.values()} == {(1200,)}
    clock = table.values["time"]
    assert np.allclose(table.values["Engine speed"], 2000.0 + 300.0 * clock, rtol=0, atol=1e-9)
    air = table.values["Inlet air"]
    inside = (clock >= 0.5) & (clock <= 11.495)
    assert np.allclose(air[inside], 20.0 + clock[inside], rtol=0, atol=1e-9)  # linear between its own samples
    assert np.all(np.isnan(air[clock < 0.49]))
    assert np.all(np.isnan(air[clock > 11.52]))


def test_the_way_of_joining_is_a_stated_choice(table: RawTable) -> None:
    assert "100 Hz" in table.choices["mdf clock"]
    assert table.choices["mdf interpolation"].startswith("linear")
    assert "100 Hz" in table.detail


def test_units_and_start_come_from_the_file(table: RawTable) -> None:
    assert table.units["time"] == "s"
    assert table.units["Engine speed"] == "1/min"
    assert table.units["Inlet air"] == "degC"
    assert table.started_at == START.timestamp()


def test_a_single_sample_holds_throughout(table: RawTable) -> None:
    assert np.all(table.values["Barometer"] == 993.5)


def test_what_was_left_or_renamed_is_said(table: RawTable) -> None:
    said = {finding.code: finding.text for finding in table.findings}
    assert "Gear" in said["mdf-channels-left"]
    assert "Torque" in said["duplicate-column"]


def test_version_3_is_read_too(tmp_path: Path) -> None:
    table = mdf.load(write(tmp_path / "old.mdf", version="3.30", compression=0), ReadOptions())
    assert "3.30" in table.detail
    assert np.allclose(table.values["Engine speed"], 2000.0 + 300.0 * table.values["time"], rtol=0, atol=1e-9)


def test_invalid_samples_become_nan(tmp_path: Path) -> None:
    clock = np.arange(0.0, 5.0, 0.01)
    bad = np.zeros(clock.size, dtype=bool)
    bad[100:110] = True
    file = asammdf.MDF(version="4.10")
    file.append(
        [
            asammdf.Signal(3000.0 + clock, clock, name="Speed", unit="rpm"),
            asammdf.Signal(200.0 + clock, clock, name="Torque", unit="Nm", invalidation_bits=bad),
        ]
    )
    file.save(tmp_path / "invalid.mf4")
    file.close()
    torque = mdf.load(tmp_path / "invalid.mf4", ReadOptions()).values["Torque"]
    assert np.array_equal(np.isnan(torque), bad)


def test_a_fast_clock_that_ends_early_is_a_finding(tmp_path: Path) -> None:
    burst, whole = np.arange(0.0, 2.0, 0.001), np.arange(0.0, 12.0, 0.01)
    file = asammdf.MDF(version="4.10")
    file.append([asammdf.Signal(np.sin(burst), burst, name="Knock")])
    file.append([asammdf.Signal(2000.0 + 300.0 * whole, whole, name="Speed", unit="rpm")])
    file.save(tmp_path / "burst.mf4")
    file.close()
    table = mdf.load(tmp_path / "burst.mf4", ReadOptions())
    text = next(finding.text for finding in table.findings if finding.code == "mdf-clock-short")
    assert "2.0 s" in text
    assert "10.0 s" in text


@pytest.mark.parametrize("kept", [70, 200, 1000, 0.5, 0.9, -1])
def test_a_cut_off_file_is_refused(
    sample: Path, tmp_path: Path, kept: float, capfd: pytest.CaptureFixture[str]
) -> None:
    whole = sample.read_bytes()
    size = int(kept * len(whole)) if 0 < kept < 1 else int(kept)
    (tmp_path / "cut.mf4").write_bytes(whole[:size])
    with pytest.raises(ReadRefused) as error:
        mdf.load(tmp_path / "cut.mf4", ReadOptions())
    assert error.value.faults[0].code in {"mdf-cut-off", "mdf-damaged"}
    assert "Traceback" not in capfd.readouterr().err


def test_damaged_bytes_are_refused_or_read_never_a_crash(
    sample: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    whole, rng, refused = sample.read_bytes(), np.random.default_rng(7), 0
    for _ in range(60):
        spoiled = bytearray(whole)
        for at in rng.integers(64, len(whole), 12):
            spoiled[at] = int(rng.integers(256))
        (tmp_path / "spoiled.mf4").write_bytes(spoiled)
        try:
            mdf.load(tmp_path / "spoiled.mf4", ReadOptions())
        except ReadRefused:
            refused += 1
    assert refused > 20
    assert "Traceback" not in capfd.readouterr().err


def test_a_file_without_numeric_channels_is_refused(tmp_path: Path) -> None:
    clock = np.arange(0.0, 5.0, 0.1)
    file = asammdf.MDF(version="4.10")
    file.append([asammdf.Signal(np.array([b"x"] * clock.size), clock, name="Note", encoding="utf-8")])
    file.save(tmp_path / "text.mf4")
    file.close()
    with pytest.raises(ReadRefused) as error:
        mdf.load(tmp_path / "text.mf4", ReadOptions())
    assert error.value.faults[0].code == "mdf-no-channels"
    assert "Note" in error.value.faults[0].seen


def test_without_the_library_the_words_to_type_are_given(sample: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "asammdf.blocks.utils", None)
    with pytest.raises(MissingExtra) as error:
        mdf.load(sample, ReadOptions())
    assert "pip install 'fairpull[mdf]'" in error.value.faults[0].remedy
