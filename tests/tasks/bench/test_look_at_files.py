"""Looking at files without keeping them: what is shown is what taking in would keep, faults and all."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from fairpull.book import Book
from fairpull.tasks.bench.keep_files import keep_files
from fairpull.tasks.bench.look_at_files import look_at_files
from fairpull.tasks.bench.look_preview import POINTS, thinned
from fairpull.terms.bench import SET_ASIDE
from fairpull.terms.errors import ReadRefused
from fairpull.terms.offered import OfferedFile, Typed, TypedFile
from tests.tasks.bench import shop


def look(kept: Book, path: Path, typed: Typed) -> OfferedFile:
    """One file, looked at."""
    (one,) = look_at_files(kept, [path], typed, {}, lambda done: None)
    return one


def test_what_is_shown_is_what_is_kept(kept: Book, tmp_path: Path) -> None:
    log = shop.sweep(tmp_path / "a.csv", times=2, more={"battery [V]": 13.0})
    typed = Typed("plain", "tuesday", {"a.csv": TypedFile(weather="101 kPa 25 degC 30%", aside="warm-up")})
    one = look(kept, log, typed)
    assert (one.build, one.session, one.format, one.faults) == ("plain", "tuesday", "delimited", ())
    assert set(one.rivals) == {"jsonlines", "parquet", "workbook", "mdf"}
    assert not kept.pulls()
    outcome = keep_files(kept, [log], typed)
    assert list(outcome.kept) == [pull.name for pull in one.pulls]
    assert len(outcome.kept) == 2
    (recording,) = one.recordings
    for name, shown in zip(outcome.kept, recording.pulls, strict=True):
        line, trace = kept.pull(name), kept.trace(name)
        assert line.state == SET_ASIDE
        assert shown.rpm == line.tested == (trace.channels["rpm"].min(), trace.channels["rpm"].max())
        assert (shown.first_row, shown.last_row, shown.rows) == (
            trace.first_row,
            trace.last_row,
            len(trace.channels["rpm"]),
        )
        assert shown.start == pytest.approx(shown.first_row / shop.HERTZ)
        assert dict(recording.given) == {
            name: value
            for name in ("pressure", "temperature", "relative_humidity")
            if (value := getattr(line.given, name))
        }
    again = look(kept, log, typed)
    assert again.already == outcome.kept
    assert keep_files(kept, [log], typed).already == {str(log): outcome.kept}


def test_columns_are_told_with_their_ranges(kept: Book, tmp_path: Path) -> None:
    log = shop.sweep(tmp_path / "a.csv", more={"battery [V]": 13.5, "oil press [psi]": 60.0})
    columns = {one.column: one for one in look(kept, log, Typed("plain")).columns}
    assert (columns["rpm"].channel, columns["rpm"].low) == ("rpm", shop.LOW)
    assert columns["oil press"].low == pytest.approx(60 * 6894.757, rel=1e-5)
    assert (columns["battery"].channel, columns["battery"].low, columns["battery"].unit) == (None, 13.5, "V")


def test_all_faults_of_a_file_stand_beside_its_columns(kept: Book, tmp_path: Path) -> None:
    log = tmp_path / "a.csv"
    log.write_text("clock [s],shaft,load\n" + "\n".join(f"{n / 10},{1500 + n},200" for n in range(99)))
    typed = Typed("nobody", "", {"a.csv": TypedFile(weather="3 furlongs", altitude="high", columns={"shaft": "rpm"})})
    one = look(kept, log, typed)
    codes = {fault.code for fault in one.faults}
    assert {"weather-word", "not-a-number", "no-torque"} <= codes
    assert "no-speed" not in codes  # what could be understood holds
    assert any("nobody" in fault.where + fault.seen for fault in one.faults)
    assert [column.column for column in one.columns] == ["clock", "shaft", "load"]
    with pytest.raises(ReadRefused, match="weather-word"):
        keep_files(kept, [log], Typed("plain", "", typed.files))
    typed = Typed("plain", "", {"a.csv": TypedFile(columns={"shaft": "rpm", "load": "torque"}, units={"load": "N m"})})
    one = look(kept, log, typed)
    assert {fault.code for fault in one.faults} == {"no-pull", "no-pull-here"}
    assert one.recordings[0].rows == 99


def test_twins_papers_and_nothing_at_all(kept: Book, tmp_path: Path) -> None:
    logs = [shop.sweep(tmp_path / name) for name in ("a.csv", "b.csv")]
    paper = tmp_path / "conditions.toml"
    paper.write_text('humidity = "55 %"\n')
    seen: list[str] = []
    found = look_at_files(kept, [*logs, paper], Typed("plain"), {"a.csv": "A!"}, lambda one: seen.append(one.name))
    assert [(one.twin, one.paper, one.called) for one in found] == [
        ("", False, "A!"),
        ("a.csv", False, "b.csv"),
        ("", True, "conditions.toml"),
    ]
    assert seen == ["a.csv", "b.csv", "conditions.toml"]
    outcome = keep_files(kept, [*logs, paper], Typed("plain"))
    assert (outcome.kept, outcome.already) == (("a",), {})
    with pytest.raises(ReadRefused, match="nothing-to-take"):
        keep_files(kept, [paper], Typed("plain"))


def test_thinning_keeps_the_spikes() -> None:
    torque = np.sin(np.linspace(0, 9, 50_000))
    torque[31_234], torque[77] = 9.0, np.nan
    rows = thinned(torque, torque, POINTS)
    assert len(rows) <= POINTS
    assert 31_234 in rows
    assert rows == sorted(set(rows))
    assert thinned(torque[:50], torque[:50], POINTS) == list(range(50))
