"""Figures that somebody changed in the catalogue behind the book's back are found by reading the originals again."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from fairpull import book
from fairpull.tasks.bench.recompute import whole_check
from fairpull.terms.bench import Sheet


def _factor(connection: sqlite3.Connection) -> None:
    """The correction factor doubled, and with it every corrected figure: each number still fits the others."""
    number, summary = connection.execute("select number, summary from pulls order by number limit 1").fetchone()
    told = json.loads(summary)
    grown = ("factor", "peak_torque", "peak_power", "mean_torque", "mean_power")
    told |= {name: 2.0 * told[name] for name in grown}
    text = json.dumps(told, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    connection.execute("update pulls set summary = ? where number = ?", (text, number))
    for name in grown:
        connection.execute(
            "update figures set least = ?, mean = ?, most = ? where pull = ? and name = ?",
            (*3 * (told[name],), number, name),
        )


def _channel(connection: sqlite3.Connection) -> None:
    connection.execute("update figures set most = most * 1.5 where name = 'bmep'")


@pytest.mark.parametrize("doctor", [_factor, _channel])
def test_doctored_figures_are_found(filled_copy: Path, doctor: Callable[[sqlite3.Connection], None]) -> None:
    with sqlite3.connect(filled_copy / "book.sqlite") as connection:
        doctor(connection)
    connection.close()
    with book.open_book(filled_copy) as kept:
        found = [finding for finding in whole_check(kept).findings if finding.code == "not-the-same-again"]
    assert found
    assert {finding.severity.value for finding in found} == {"fault"}


def test_an_honest_book_is_sound(filled_copy: Path) -> None:
    with book.open_book(filled_copy) as kept:
        assert [finding for finding in whole_check(kept).findings if finding.severity.value == "fault"] == []


def test_a_newer_engine_sheet_is_a_note_and_no_damage(filled_copy: Path) -> None:
    """A smaller engine than was thought changes BMEP of every pull; that is a correction, not damage."""
    with book.open_book(filled_copy) as kept:
        body = {**kept.sheet("engine", "Mill").body, "stroke": "80 mm"}
        kept.keep([Sheet("engine", "Mill", body)])
        found = [finding for finding in whole_check(kept).findings if finding.code == "not-the-same-again"]
    assert found
    assert {finding.severity.value for finding in found} == {"note"}
