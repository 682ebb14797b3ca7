"""The benchmarks load, and measure on logs of the shape they say; how fast anything is gates nothing here."""

from __future__ import annotations

from pathlib import Path

import polars as pl
import pytest

import fairpull
from benchmarks import __main__ as bench
from benchmarks import logs, measurements, table
from benchmarks.logs import Shape
from benchmarks.pairs import Cost, Outcome, in_turn, outcome


def test_it_knows_its_options(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as leaving:
        bench.main(["--help"])
    assert leaving.value.code == 0
    assert "--long" in capsys.readouterr().out


def test_a_log_has_the_stated_shape(tmp_path: Path) -> None:
    frame = pl.read_csv(logs.write(tmp_path / "log.csv", logs.SWEEP, seed=1))
    assert frame.shape == (2400, 60)
    assert set(frame.dtypes) == {pl.Float64}
    time = frame["Time [s]"].to_numpy()
    assert time[-1] - time[0] == pytest.approx(12.0 - 1 / 200)


def test_a_long_log_is_written_in_parts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(logs, "PART", 70)
    frame = pl.read_csv(logs.write(tmp_path / "log.csv", Shape(2.0, 100.0, 24), seed=1))
    assert frame.shape == (200, 24)
    assert frame["Time [s]"].is_sorted()
    assert (logs.LONG.rows, logs.LONG.channels) == (600_000, 100)


def test_logs_are_pulls_with_weather_and_columns_left_aside(tmp_path: Path) -> None:
    (recording,) = fairpull.read(logs.write(tmp_path / "log.csv", logs.SWEEP, seed=1))
    assert {"time", "rpm", "torque", "barometer", "inlet_temperature", "relative_humidity"} <= set(recording.channels)
    assert len(recording.channels) + len(recording.extra) == 60


def test_groups_differ_by_their_gain(tmp_path: Path) -> None:
    stock, changed = logs.write_groups(tmp_path, Shape(12.0, 50.0, 24), pulls=1)
    means = [pl.read_csv(next(group.iterdir()))["Torque [Nm]"].mean() for group in (stock, changed)]
    assert isinstance(means[0], float)
    assert isinstance(means[1], float)
    assert means[1] / means[0] == pytest.approx(1.02, abs=0.015)


def test_pairs_are_run_by_turns_and_the_first_is_dropped() -> None:
    said: list[str] = []

    def job(name: str) -> Cost:
        said.append(name)
        return Cost(float(len(said)), 1.0)

    pairs = in_turn(lambda: job("ours"), lambda: job("theirs"), 2)
    assert said == ["ours", "theirs", "theirs", "ours", "ours", "theirs"]
    assert [(own.wall, other.wall) for own, other in pairs] == [(4.0, 3.0), (5.0, 6.0)]


def test_the_table_fits_80_columns_and_tells_a_missed_target() -> None:
    met = outcome("compare 2 groups of 5 such logs", "theirs", 2.0, [(Cost(3.0, 1.0), Cost(2.0, 1.0))])
    missed = Outcome(f"read {logs.LONG.label}", "polars reads it", (1.6, 1.4, 12.25), 1.5)
    text = table.table([met, missed], table.machine())
    assert max(len(line) for line in text.splitlines()) <= 80
    verdicts = [line.rsplit("  ", 1)[-1].strip() for line in text.splitlines() if " < " in line]
    assert verdicts == ["met", "NOT MET"]


def test_what_is_timed_is_what_a_person_starts() -> None:
    assert measurements.command("--help")[-1] == "--help"
    assert Path(measurements.command("--help")[0]).stem in ("fairpull", "python", "python3")
