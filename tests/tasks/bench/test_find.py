"""One box over everything in the book, on both stores."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from fairpull.book import Book, open_book
from fairpull.tasks.bench.find import MOST_WORDS, find, near_names, words_of
from fairpull.terms.bench import SET_ASIDE, Sheet, StoredResult
from fairpull.terms.looking import Found, Hit


@pytest.fixture
def full(filled_copy: Path, tmp_path: Path) -> Iterator[Book]:
    with open_book(filled_copy) as kept:
        kept.mark("tube-3", SET_ASIDE, "Gasket blew, 100% leak_age")
        kept.remark(("pull", "plain-0"), 'Über the limit, said "loud"', "K. L.")
        kept.remark(("build", "tube"), "a quiet exhaust")
        photo = tmp_path / "manifold.jpg"
        photo.write_bytes(b"photo")
        kept.attach(photo, ("build", "tube"), "the weld")
        request = {"of": ["plain", "tube"], "standard": ""}
        kept.keep_result(StoredResult("main", "comparison", request, {}, {}, "{}", "0", "x", 1.0))
        kept.keep([Sheet("duty", "hut", {"text": "Straße to the hut", "hours": 3})])
        yield kept


def kinds(found: Found) -> dict[str, int]:
    return {group.kind: group.total for group in found.groups}


def first(found: Found, kind: str) -> Hit:
    return next(group for group in found.groups if group.kind == kind).hits[0]


def test_names_go_before_what_stands_in_texts(full: Book) -> None:
    found = find(full, "TUBE")
    assert found.groups[0].kind == "build"
    assert first(found, "build") == Hit("build", "tube", "name", "tube", rank=0)
    assert [hit.name for hit in found.groups[1].hits] == ["tube-5", "tube-3", "tube-1"]
    assert kinds(found)["pull"] == 3
    assert "part" not in kinds(found)
    assert kinds(find(full, "tub"))["part"] == 1  # the header's design is tubular


@pytest.mark.parametrize(
    ("text", "kind", "name", "field"),
    [
        ("plain-4.csv", "pull", "plain-4", "file"),
        ("gasket", "pull", "tube-3", "reason"),
        ("tubular", "part", "header", "design"),
        ("water brake", "session", "tuesday", "brake"),
        ("loud", "remark", "plain-0", "K. L."),
        ("über", "remark", "plain-0", "K. L."),
        ("ÜBER", "remark", "plain-0", "K. L."),
        ('"quiet exhaust"', "remark", "tube", ""),
        ("weld", "paper", "tube", "manifold.jpg"),
        ("manifold", "paper", "tube", "manifold.jpg"),
        ("straße", "duty", "hut", "text"),
        ("main", "result", "main", "name"),
        ("100% leak_age", "pull", "tube-3", "reason"),
    ],
)
def test_everything_is_looked_through(full: Book, text: str, kind: str, name: str, field: str) -> None:
    hit = first(find(full, text), kind)
    assert (hit.name, hit.field) == (name, field)


def test_wildcards_and_quotes_mean_themselves(full: Book) -> None:
    for text in ("leak%age", "gasket%", "t_be", "%", "_", "\\", "'", "' or 1=1 --", "/"):
        assert "tube-3" not in {hit.name for group in find(full, text).groups for hit in group.hits} or text in (
            "%",
            "_",
        ), text
    assert kinds(find(full, "%")) == {"pull": 1}


def test_all_words_must_stand_in_the_same_thing(full: Book) -> None:
    assert kinds(find(full, "gasket tube"))["pull"] == 1
    assert find(full, "gasket plain").groups == ()


def test_what_findings_say_is_found_and_what_holds_the_paper_together_is_not(demo_book: Book) -> None:
    found = find(demo_book, "valve-float")
    hit = first(found, "pull")
    assert hit.name.startswith("15-")
    assert "valve-float" in hit.field
    lead = find(demo_book, "cylinder runs")
    assert any(hit.name.startswith("13-") for hit in lead.groups[0].hits if lead.groups[0].kind == "pull")
    for key in ("counts_to", "first_row", "sha256", "relative_humidity"):
        assert "pull" not in kinds(find(demo_book, key)), key


def test_a_search_sentence_counts_the_pulls_that_fit(full: Book) -> None:
    found = find(full, "peak torque > 306 N m")
    assert (found.search, found.fits, found.faults) == (True, 3, ())
    traces = find(full, "torque > 1 N m past 3000 rpm")
    assert (traces.search, traces.fits) == (True, None)
    broken = find(full, "peak torqe > 306 N m")
    assert not broken.search
    assert broken.faults
    unknown = find(full, "build = tub")
    assert not unknown.search
    assert "tube" in unknown.faults[0].remedy
    assert find(full, "tube").faults == ()


def test_nothing_found_offers_near_names(full: Book) -> None:
    found = find(full, "tueday")
    assert found.groups == ()
    assert ("session", "tuesday") in found.near
    assert find(full, "zzzzqqqq").near == ()


def test_nothing_asked_finds_nothing(full: Book) -> None:
    for text in ("", "   ", "\0", "\ud800", '""'):
        assert find(full, text).groups == ()


def test_no_text_breaks_it(full: Book) -> None:
    for text in ("\0tube\x1b[31m", "tube\ud800", '"', "a" * 5000, "x " * 500, "\u202etube", "tube\n\r\t"):
        find(full, text)
    assert kinds(find(full, "\0tube\n"))["pull"] == 3


def test_a_list_is_cut_and_counted(full: Book) -> None:
    found = find(full, "plain", 2)
    pulls = next(group for group in found.groups if group.kind == "pull")
    assert (len(pulls.hits), pulls.total) == (2, 3)


def test_words() -> None:
    assert words_of('lead "burnt lead" lead  x') == ("lead", "burnt lead", "x")
    assert len(words_of(" ".join(map(str, range(50))))) == MOST_WORDS


def test_near_names_prefer_sheets_and_know_no_case() -> None:
    names = [("pull", "anvil-log"), ("build", "anvil-log"), ("part", "header"), ("pull", "zebra")]
    assert near_names(names, "ANVIL-LOK") == (("build", "anvil-log"),)
