"""What was compared already is handed out from memory, and never where anything behind it changed."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from fairpull import book
from fairpull.book import Book
from fairpull.show.json_fair import fair_json_text
from fairpull.tasks.bench import evidence as evidence_module
from fairpull.tasks.bench import seen
from fairpull.tasks.bench.kept_comparison import compare_kept
from fairpull.tasks.bench.memory import Memory
from fairpull.tasks.bench.take import take_files
from fairpull.tasks.request import CompareRequest
from fairpull.terms.bench import COUNTS, SET_ASIDE
from fairpull.terms.errors import NotComparable, UnknownName, ValueRefused
from tests.tasks.bench import shop

PAIR = ("plain", "tube")


@pytest.fixture
def own(filled_copy: Path) -> Iterator[Book]:
    seen.forget()
    with book.open_book(filled_copy) as kept:
        yield kept


def test_the_second_time_is_the_same_result_without_computing(own: Book) -> None:
    first = seen.compared(own, PAIR)
    begun = time.perf_counter()
    again = seen.compared(own, PAIR)
    assert time.perf_counter() - begun < 0.1
    assert again.comparison is first.comparison


def test_it_says_what_the_command_line_says(own: Book) -> None:
    asked = CompareRequest(band=(2000.0, 4000.0), smallest=0.02, standard="sae-j607")
    made = seen.compared(own, PAIR, asked)
    assert fair_json_text(made) == fair_json_text(compare_kept(PAIR, asked, str(own.folder)))


def test_one_build_alone_brings_its_reference(own: Book) -> None:
    assert seen.compared(own, ["tube"]).comparison is seen.compared(own, PAIR).comparison


def _aside(kept: Book, folder: Path) -> None:
    kept.mark(kept.pulls(builds=("tube",))[0].name, SET_ASIDE, "smoke")


def _valid_to(kept: Book, folder: Path) -> None:
    kept.mark(kept.pulls(builds=("plain",))[0].name, COUNTS, "valve noise", valid_to=4500.0)


def _new_pull(kept: Book, folder: Path) -> None:
    take_files(kept, [shop.sweep(folder / "new.csv", "16:00:00", gain=1.05)], "tube")


def _setting(kept: Book, folder: Path) -> None:
    kept.set("smallest", "3 %")


def _sheet(kept: Book, folder: Path) -> None:
    sheet = kept.sheet("part", "header")
    kept.keep([replace(sheet, body={**sheet.body, "primary_length": "900 mm"})])


def _question(kept: Book, folder: Path) -> None:
    body = {"builds": ["plain", "tube"], "question": "Does the tube pay?", "band": "2000-4000 rpm"}
    kept.keep([replace(kept.sheet("part", "header"), kind="question", name="tube", body=body)])


def _look(kept: Book, folder: Path) -> None:
    kept.look("plain", "tube")
    kept.look("plain", "tube")


def _moved(kept: Book, folder: Path) -> None:
    kept.move(kept.pulls(builds=("plain",))[0].name, "loose", "wrong word")


@pytest.mark.parametrize("change", [_aside, _valid_to, _new_pull, _setting, _sheet, _question, _look, _moved])
def test_whatever_changes_in_the_book_is_computed_again(own: Book, tmp_path: Path, change: object) -> None:
    before, mark = seen.compared(own, PAIR), seen.mark_of(own, PAIR)
    assert callable(change)
    change(own, tmp_path)
    after = seen.compared(own, PAIR)
    assert seen.mark_of(own, PAIR) != mark
    assert after.comparison is not before.comparison
    assert fair_json_text(after) == fair_json_text(compare_kept(PAIR, CompareRequest(), str(own.folder)))


def test_a_mark_by_another_process_is_seen_after_a_quiet_while(own: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    """The time of writing is trusted then; a second opening of the book writes past this one."""
    monkeypatch.setattr(evidence_module, "QUIET", 0)
    name = own.pulls(builds=("tube",))[0].name
    for state in (SET_ASIDE, COUNTS, SET_ASIDE):
        mark = seen.mark_of(own, PAIR)
        assert seen.mark_of(own, PAIR) == mark
        with book.open_book(own.folder) as other:
            other.mark(name, state, f"now {state}")
        assert seen.mark_of(own, PAIR) != mark


def test_refusals_come_every_time_and_are_not_kept(own: Book) -> None:
    for _ in range(2):
        with pytest.raises(UnknownName, match="tub"):
            seen.compared(own, ["plain", "tub"])
        with pytest.raises(NotComparable):
            seen.compared(own, ["plain", "rich"])
        with pytest.raises(ValueRefused):
            seen.compared(own, PAIR, CompareRequest(declared_by="name"))


def test_many_readers_compute_once(own: Book) -> None:
    plain = evidence_module._PLAIN
    before = plain.made
    found: list[object] = []
    threads = [threading.Thread(target=lambda: found.append(seen.compared(own, PAIR).comparison)) for _ in range(6)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert len(found) == 6
    assert all(one is found[0] for one in found)
    assert plain.made == before + 1


def test_an_answer_whose_key_went_stale_while_it_was_made_is_not_kept() -> None:
    memory: Memory[str] = Memory(4)
    assert memory.get("a", lambda: "old", still=lambda: False) == "old"
    assert memory.get("a", lambda: "new", still=lambda: True) == "new"
    assert memory.get("a", lambda: "newer") == "new"


def test_a_failure_reaches_everybody_who_waits_and_is_tried_again() -> None:
    memory: Memory[str] = Memory(4)
    held, told = threading.Event(), []

    def fails() -> str:
        held.wait(5.0)
        raise ValueError("no")

    def ask() -> None:
        try:
            memory.get("a", fails)
        except ValueError as error:
            told.append(str(error))

    threads = [threading.Thread(target=ask) for _ in range(3)]
    for one in threads:
        one.start()
    held.set()
    for one in threads:
        one.join()
    assert told == ["no"] * 3
    assert memory.get("a", lambda: "yes") == "yes"


def test_memory_is_bounded_and_forgets_the_longest_unused_first() -> None:
    memory: Memory[bytes] = Memory(100, len)
    for name in "abc":
        memory.get(name, lambda: b"x" * 40)
        memory.get("a", lambda: b"never")
    assert memory.weight <= 100
    assert memory.get("a", lambda: b"gone") == b"x" * 40
    assert memory.get("b", lambda: b"gone") == b"gone"
    memory.get("huge", lambda: b"x" * 101)
    assert memory.get("huge", lambda: b"again") == b"again"


def test_a_drawn_chart_is_drawn_once() -> None:
    seen.forget()
    assert seen.drawn("k", lambda: b"one") == seen.drawn("k", lambda: b"two") == b"one"
    seen.forget()
    assert seen.drawn("k", lambda: b"two") == b"two"
