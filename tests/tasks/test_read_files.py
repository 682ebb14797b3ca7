"""Reading several files, joining two, and writing one back whole or not at all."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import polars
import pytest

from fairpull.tasks.read_files import join_files, read_files, write_recording
from fairpull.terms.errors import ReadRefused
from tests.tasks.small import write


def test_files_in_order_and_progress(tmp_path: Path) -> None:
    paths = [write(tmp_path / name) for name in ("b.csv", "a.csv")]
    told: list[tuple[str, int, int]] = []
    found = read_files(map(str, paths), lambda path, n, of: told.append((path.name, n, of)))
    assert [recording.name for recording in found] == ["b", "a"]
    assert told == [("b.csv", 1, 2), ("a.csv", 2, 2)]


def test_options_are_fields_of_the_reading(tmp_path: Path) -> None:
    (found,) = read_files([write(tmp_path / "a.csv")], columns={"humidity": ""})
    assert (found.name, "relative_humidity" in found.channels) == ("a", False)
    with pytest.raises(TypeError):
        read_files([tmp_path / "a.csv"], colums={})


def test_all_files_faults_at_once(tmp_path: Path) -> None:
    (tmp_path / "empty.csv").write_text("", "utf-8")
    with pytest.raises(ReadRefused) as refusal:
        read_files([tmp_path / "nix.csv", write(tmp_path / "a.csv"), tmp_path / "empty.csv"])
    assert [Path(fault.where).name for fault in refusal.value.faults] == ["nix.csv", "empty.csv"]


def test_a_written_recording_reads_back_as_it_is(tmp_path: Path) -> None:
    (found,) = read_files([write(tmp_path / "a.csv")])
    path = write_recording(found, tmp_path / "new" / "folder" / "a.parquet")
    (again,) = read_files([path])
    assert set(again.channels) == set(found.channels)
    for name, values in found.channels.items():
        assert again.channels[name] == pytest.approx(values, rel=1e-12), name


def test_an_interrupted_write_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (found,) = read_files([write(tmp_path / "a.csv")])
    out = tmp_path / "out"

    def interrupted(_: polars.DataFrame, path: Path) -> None:
        path.write_bytes(b"half")
        raise KeyboardInterrupt

    monkeypatch.setattr(polars.DataFrame, "write_parquet", interrupted)
    with pytest.raises(KeyboardInterrupt):
        write_recording(found, out / "a.parquet")
    assert list(out.iterdir()) == []


def test_the_demos_two_logs_of_one_pull_are_joined(demo_day: Path) -> None:
    brake = demo_day / "wren-plain" / "18-1355-no-blower-repeat.csv"
    joined = join_files(brake, demo_day / "controller" / "18-1355-no-blower-repeat-controller.csv")
    (alone,) = read_files([brake])
    assert set(joined.channels) == set(alone.channels)
    assert np.array_equal(joined.channels["rpm"], alone.channels["rpm"])
    assert "lambda (18-1355-no-blower-repeat-controller)" in joined.extra
    assert joined.choices["join lag"].endswith(" ms")
    assert joined.choices["join misfit"].endswith(" rpm rms")


def test_joining_wants_one_recording_a_file(tmp_path: Path) -> None:
    table = tmp_path / "both.csv"
    table.write_text(
        "who,rpm,torque [N m]\n" + "".join(f"{w},{n},200\n" for w in "ab" for n in (2000, 3000, 4000)), "utf-8"
    )
    with pytest.raises(ReadRefused) as refusal:
        join_files(table, table, by="who")
    assert [fault.code for fault in refusal.value.faults] == ["join-several"] * 2
