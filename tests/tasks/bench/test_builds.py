"""Builds as the book knows them."""

from __future__ import annotations

import pytest

from fairpull.book import Book
from fairpull.tasks.bench.builds import Shelf
from fairpull.tasks.bench.sheet_files import keep_sheets
from fairpull.terms.bench import Sheet
from fairpull.terms.errors import FairpullError, UnknownName, ValueRefused
from tests.tasks.bench.shop import MILL, PARTS, codes


def test_a_build_has_its_engine_and_its_parts(kept: Book) -> None:
    build = Shelf(kept).build("tube")
    assert (build.name, build.engine_name, build.reference) == ("tube", "Mill", "plain")
    assert {kind: part.name for kind, part in build.parts.items()} == {"exhaust": "header", "jets": "jets-68"}
    assert build.engine.bore == pytest.approx(0.1)


def test_it_takes_the_newest_version(kept: Book) -> None:
    keep_sheets(kept, [Sheet("engine", "Mill", {**MILL, "bore": "101 mm"})])
    assert Shelf(kept).build("tube").engine.bore == pytest.approx(0.101)


def test_sheets_on_their_way_go_before_those_kept(kept: Book) -> None:
    coming = [Sheet("part", "header", {"kind": "exhaust", "design": "tubular", "notes": "new"})]
    assert Shelf(kept, coming).build("tube").parts["exhaust"].body["notes"] == "new"
    assert "notes" not in Shelf(kept).build("tube").parts["exhaust"].body


def test_an_engine_is_read_once(kept: Book) -> None:
    shelf = Shelf(kept)
    assert shelf.engine("Mill") is shelf.engine("Mill")
    assert shelf.part("log") is shelf.part("log")


def test_an_unknown_name_comes_with_near_ones(kept: Book) -> None:
    with pytest.raises(UnknownName, match="tube"):
        Shelf(kept).build("tubes")


@pytest.mark.parametrize("body", [{}, {"engine": 4}, {"engine": "Mill", "parts": ["log"]}])
def test_a_build_without_engine_or_with_parts_that_are_no_table_is_refused(kept: Book, body: dict[str, object]) -> None:
    with pytest.raises(ValueRefused) as refusal:
        Shelf(kept).build_of(Sheet("build", "x", body))
    assert codes(refusal.value) == ["build-engine"]


@pytest.mark.parametrize(
    "body",
    [
        {"engine": "Nobody", "parts": PARTS},
        {"engine": "Mill", "parts": {**PARTS, "exhaust": "nothing"}},
        {"engine": "Mill", "parts": {"camshaft": "log"}},
    ],
)
def test_a_part_that_is_nowhere_or_of_another_kind_is_refused(kept: Book, body: dict[str, object]) -> None:
    with pytest.raises(FairpullError):
        Shelf(kept).build_of(Sheet("build", "x", body))


def test_everything_that_is_missing_is_told_at_once_with_who_wants_it(kept: Book) -> None:
    body = {"engine": "Mil", "parts": {"exhaust": "heder", "jets": "jets-70"}, "hours": 12}
    with pytest.raises(ValueRefused) as refusal:
        Shelf(kept).build_of(Sheet("build", "x", body))
    lines = [fault.line() for fault in refusal.value.faults]
    assert [line.split(": ")[0] for line in lines] == ["build x, engine", "build x, parts.exhaust", "build x, hours"]
    assert "did you mean Mill?" in lines[0]
    assert "did you mean header?" in lines[1]


def test_a_part_on_its_way_that_is_wrong_does_not_hide_the_builds_own_faults(kept: Book) -> None:
    coming = [Sheet("part", "bad", {"kind": "exhaust", "primary_diameter": "3 kg"})]
    with pytest.raises(ValueRefused) as refusal:
        Shelf(kept, coming).build_of(Sheet("build", "x", {"engine": "Mill", "parts": {"exhaust": "bad"}, "gear": "up"}))
    assert [fault.where for fault in refusal.value.faults] == ["part bad, primary_diameter", "build x, gear"]


def test_near_names_are_those_on_their_way_too(kept: Book) -> None:
    coming = [Sheet("build", "brand new", {})]
    (fault,) = Shelf(kept, coming).missing("build", "brand now", "build x, reference")
    assert "did you mean brand new?" in fault.remedy
    assert Shelf(kept, coming).missing("build", "brand new", "x") == []
