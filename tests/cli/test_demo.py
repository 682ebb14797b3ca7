"""fairpull demo: logs are made, judged, and the report named."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from tests.cli.conftest import Ran

Run = Callable[..., Ran]


def test_the_days_list_the_verdicts_and_where_things_lie(run: Run, tmp_path: Path) -> None:
    ran = run("demo", tmp_path / "day", "--no-report", "--units", "metric")
    assert (ran.code, ran.err) == (0, "")
    lines = ran.out.splitlines()
    assert lines[0] == "Pulls"
    assert all(f"{number:2d}  05-2" in ran.out for number in range(1, 21))
    assert "What the pulls showed" in lines
    assert "Verdicts" in lines
    assert "Purpose: hut-carrier" in lines
    assert "anvil-header differs from anvil-log: more torque" in ran.out
    assert f"raw logs: {tmp_path / 'day'}" in lines
    assert f"book:     {tmp_path / 'day' / 'book'}" in lines
    (last,) = (n for n, line in enumerate(lines) if line.startswith("verdict:  anvil-header differs from anvil-log"))
    assert all(line.startswith(10 * " ") for line in lines[last + 1 :])
    assert {"N", "m", "kW"} <= set(lines[2].split())
    assert list((tmp_path / "day").glob("*.html")) == []
    assert all(len(line) <= 80 for line in lines if str(tmp_path) not in line)
    asked = run("pulls", "--build", "anvil-header", "--book", tmp_path / "day" / "book")
    assert "07-1250-tube-header" in asked.out


def test_the_book_of_another_seed_is_refused(run: Run, tmp_path: Path) -> None:
    run("book", "new", tmp_path / "day" / "book")
    assert "[demo-book]" in run("demo", tmp_path / "day").refusals[0]


def test_a_folder_that_is_a_file_is_refused(run: Run, tmp_path: Path) -> None:
    taken = tmp_path / "day"
    taken.write_text("", "utf-8")
    assert "[no-access]" in run("demo", taken).refusals[0]


def test_units_are_refused_before_anything_is_made(run: Run, tmp_path: Path) -> None:
    assert run("demo", tmp_path / "day", "--units", "furlongs").refusals
    assert not (tmp_path / "day").exists()
