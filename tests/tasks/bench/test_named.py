"""Pulls named on the command line: log files, pulls of the book, builds."""

from __future__ import annotations

from pathlib import Path

import pytest

from fairpull.book import open_book
from fairpull.tasks.bench.lists import mark_pull
from fairpull.tasks.bench.named import named_pulls
from fairpull.terms.errors import BookRefused, FairpullError, UnknownName
from tests.tasks.bench.shop import sweep
from tests.tasks.small import write_engine


def test_a_pull_of_the_book_has_its_engine_factor_and_line(filled: Path) -> None:
    (one,) = named_pulls(["tube-1"], book=str(filled))
    assert (one.pull.name, one.build) == ("tube-1", "tube")
    assert one.engine is not None
    assert one.engine.bore == pytest.approx(0.1)
    assert one.line is not None
    assert one.factor == one.line.summary["factor"]


def test_a_build_stands_for_its_counted_pulls(filled_copy: Path) -> None:
    with open_book(filled_copy) as kept:
        mark_pull(kept, "tube-3", "aside", "fan")
    assert [one.pull.name for one in named_pulls(["tube"], book=str(filled_copy))] == ["tube-1", "tube-5"]


def test_a_pull_that_is_set_aside_can_be_named(filled_copy: Path) -> None:
    with open_book(filled_copy) as kept:
        mark_pull(kept, "tube-3", "aside", "fan")
    assert [one.pull.name for one in named_pulls(["tube-3"], book=str(filled_copy))] == ["tube-3"]


def test_each_pull_comes_once(filled: Path) -> None:
    names = [one.pull.name for one in named_pulls(["tube-3", "tube", "tube-3"], book=str(filled))]
    assert names == ["tube-3", "tube-1", "tube-5"]


def test_a_file_needs_no_book_and_takes_an_engine_file(tmp_path: Path) -> None:
    log = sweep(tmp_path / "log.csv", times=2)
    told: list[str] = []
    found = named_pulls([str(log)], progress=lambda path, number, total: told.append(path.name))
    assert [one.pull.name for one in found] == ["log", "log#2"]
    assert told == ["log.csv"]
    assert all((one.engine, one.line, one.build) == (None, None, "") for one in found)
    assert found[0].factor == pytest.approx(1.0012, abs=1e-4)
    engine = write_engine(tmp_path / "engine.toml", inertia="0.2 kg m2")
    (with_engine, _) = named_pulls([str(log)], engine=str(engine))
    assert with_engine.engine is not None
    assert with_engine.pull.channels["torque"].max() == pytest.approx(305.24, abs=0.3)


def test_a_folder_stands_for_its_logs_unless_a_book_was_named(
    filled: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("a", "b"):
        sweep(tmp_path / "tube" / f"{name}.csv")
    (tmp_path / "tube" / "notes.md").write_text("no log", "utf-8")
    monkeypatch.chdir(tmp_path)
    assert [one.pull.name for one in named_pulls(["tube"])] == ["a", "b"]
    assert [one.pull.name for one in named_pulls(["tube"], book=str(filled))] == ["tube-1", "tube-3", "tube-5"]
    (tmp_path / "empty").mkdir()
    with pytest.raises(FairpullError, match="no-such-log"):
        named_pulls(["empty"])


def test_files_and_pulls_may_stand_beside_each_other(filled: Path, tmp_path: Path) -> None:
    log = sweep(tmp_path / "tube-1.csv")
    found = named_pulls([str(log), "tube-1"], book=str(filled))
    assert [one.line is None for one in found] == [True, False]


def test_what_is_nowhere_is_refused(filled: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(UnknownName):
        named_pulls(["tube-9"], book=str(filled))
    monkeypatch.delenv("FAIRPULL_BOOK", raising=False)
    monkeypatch.chdir(tmp_path)
    with pytest.raises(BookRefused):
        named_pulls(["tube-9"])
    (tmp_path / "letter.csv").write_text("Dear helper\n", "utf-8")
    with pytest.raises(FairpullError):
        named_pulls(["letter.csv"])


def spark_table(path: Path, speeds: tuple[int, ...]) -> Path:
    rows = [f"{rpm},{300 - abs(28 - spark)},{spark},95,20,40" for spark in (24, 28, 32) for rpm in speeds]
    head = "rpm,torque [N m],spark advance [deg],baro [kPa],inlet air [degC],humidity [%]"
    path.write_text("\n".join([head, *rows]) + "\n", "utf-8")
    return path


def test_a_table_that_repeats_its_speeds_can_be_taken_row_by_row(tmp_path: Path) -> None:
    table = str(spark_table(tmp_path / "loop.csv", (2000, 3000)))
    ((merged,), (rows,)) = (named_pulls([table], held=held) for held in (False, True))
    assert merged.pull.channels["rpm"].tolist() == [2000.0, 3000.0]
    assert rows.pull.channels["rpm"].tolist() == [2000.0, 3000.0] * 3
    assert rows.factor == pytest.approx(merged.factor)
    assert rows.factor > 1.03


def test_a_table_of_one_speed_is_held_points_and_no_pull(tmp_path: Path) -> None:
    table = str(spark_table(tmp_path / "loop.csv", (3000,)))
    (rows,) = named_pulls([table], held=True)
    assert rows.pull.channels["rpm"].tolist() == [3000.0] * 3
    with pytest.raises(FairpullError, match="table-one-speed"):
        named_pulls([table])


def test_a_table_without_repeats_is_a_pull_all_the_same(tmp_path: Path) -> None:
    rows = "\n".join(f"{rpm},300" for rpm in range(2000, 3001, 250))
    (tmp_path / "plain.csv").write_text(f"rpm,torque [N m]\n{rows}\n", "utf-8")
    (one,) = named_pulls([str(tmp_path / "plain.csv")], held=True)
    assert "torque_se" in one.pull.channels
