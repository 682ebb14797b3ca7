"""Figures that somebody changed in the catalogue behind the book's back are found by reading the originals again."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import Connection, text

from fairpull import book
from fairpull.tasks.bench.recompute import whole_check
from fairpull.terms.bench import Sheet
from tests.catalogues import behind_the_back


def _factor(connection: Connection) -> None:
    """The correction factor doubled, and with it every corrected figure: each number still fits the others."""
    number, summary = connection.execute(text("select number, summary from pulls order by number limit 1")).one()
    told = json.loads(summary)
    grown = ("factor", "peak_torque", "peak_power", "mean_torque", "mean_power")
    told |= {name: 2.0 * told[name] for name in grown}
    kept = json.dumps(told, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    connection.execute(
        text("update pulls set summary = :kept where number = :number"), {"kept": kept, "number": number}
    )
    for name in grown:
        connection.execute(
            text(
                "update figures set least = :value, mean = :value, most = :value where pull = :number and name = :name"
            ),
            {"value": told[name], "number": number, "name": name},
        )


def _channel(connection: Connection) -> None:
    connection.execute(text("update figures set most = most * 1.5 where name = 'bmep'"))


@pytest.mark.parametrize("doctor", [_factor, _channel])
def test_doctored_figures_are_found(filled_copy: Path, doctor: Callable[[Connection], None]) -> None:
    with behind_the_back(filled_copy) as connection:
        doctor(connection)
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
