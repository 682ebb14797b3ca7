"""What such a change did before stands beside the new comparison; looks of a watch are not unlooked."""

from __future__ import annotations

from pathlib import Path

import pytest

from fairpull import book
from fairpull.book import Book
from fairpull.show.ledger_text import BEFORE, ledgers_text
from fairpull.tasks.bench.compare_builds import compare_builds
from fairpull.tasks.bench.expectation import only_kind, with_expectation
from fairpull.tasks.bench.moving import decided_by_a_person, move_pull
from fairpull.tasks.bench.take import take_files
from fairpull.tasks.request import CompareRequest
from fairpull.terms.bench import COUNTS, VOID, Sheet
from fairpull.terms.build import Change
from fairpull.terms.ledger import Ledger
from tests.tasks.bench import shop


def test_the_book_says_what_a_header_did_on_the_other_engine(filled_copy: Path, tmp_path: Path) -> None:
    with book.open_book(filled_copy) as kept:
        kept.keep(
            [
                Sheet("engine", "Twin", shop.MILL),
                Sheet("build", "twin-plain", {"engine": "Twin", "parts": shop.PARTS}),
                Sheet(
                    "build",
                    "twin-tube",
                    {"engine": "Twin", "reference": "twin-plain", "parts": {**shop.PARTS, "exhaust": "header"}},
                ),
            ]
        )
        for number, (build, gain) in enumerate([("twin-plain", 1.0), ("twin-tube", 1.03)] * 2):
            log = shop.sweep(tmp_path / f"{build}{number}.csv", f"14:{10 * number:02d}:00", gain=gain + 0.001 * number)
            take_files(kept, [log], build)
        made = with_expectation(kept, compare_builds(kept, ["twin-plain", "twin-tube"]))
        before = made.past["twin-tube"]
        assert [effect.name for effect in before.effects] == ["tube against plain"]
        assert before.effects[0].size == pytest.approx(0.04, abs=0.004)
        assert BEFORE.strip() in ledgers_text(made)


def test_a_first_comparison_of_its_kind_has_no_expectation(filled_copy: Path) -> None:
    with book.open_book(filled_copy) as kept:
        made = with_expectation(kept, compare_builds(kept, ["plain", "tube"]))
        assert made.past == {}
        assert BEFORE.strip() not in ledgers_text(made)


@pytest.mark.parametrize(
    ("kinds", "only"),
    [
        (("exhaust",), "exhaust"),
        (("setting spark",), "setting spark"),
        (("hours", "exhaust"), "exhaust"),
        (("exhaust", "camshaft"), ""),
        ((), ""),
    ],
)
def test_the_one_kind_under_test(kinds: tuple[str, ...], only: str) -> None:
    changes = tuple(Change(kind, "a", "b") for kind in kinds)
    assert only_kind(Ledger("a", "b", changes, (), "")) == only


def test_looks_of_a_watch_widen_a_later_comparison(filled_copy: Path) -> None:
    with book.open_book(filled_copy) as kept:
        plain = compare_builds(kept, ["plain", "tube"]).comparison.differences[0]
        kept.look("plain", "tube")
        kept.look("plain", "tube")
        looked = compare_builds(kept, ["plain", "tube"]).comparison
        named = compare_builds(kept, ["plain", "tube"], CompareRequest(look=1)).comparison
    assert looked.differences[0].verdict.level > plain.verdict.level
    assert looked.choices["look"].startswith("2, as counted by the watch")
    assert "look" not in named.choices
    wide = looked.differences[0].ratio_high - looked.differences[0].ratio_low
    assert (wide > plain.ratio_high - plain.ratio_low).all()


def test_what_a_person_said_of_a_pull_outlives_a_move(kept: Book, tmp_path: Path) -> None:
    (line,) = take_files(kept, [shop.sweep(tmp_path / "one.csv")], "plain").kept
    assert not decided_by_a_person(kept, line)
    kept.mark(line.name, VOID, "throttle slipped", by="K. L.")
    moved = move_pull(kept, line.name, "tube", "wrong word")
    assert (moved.build, moved.state, moved.reason) == ("tube", VOID, "throttle slipped")


def test_a_move_judges_again_what_only_detectors_had_judged(kept: Book, tmp_path: Path) -> None:
    (line,) = take_files(kept, [shop.sweep(tmp_path / "one.csv")], "plain").kept
    moved = move_pull(kept, line.name, "tube", "wrong word")
    assert (moved.build, moved.state, moved.reason) == ("tube", COUNTS, "")
    assert len(kept.marks(line.name)) == 2
