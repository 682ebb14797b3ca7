"""Searches over a book: what the catalogue and the traces find is what looking at every pull by hand finds."""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from fairpull.book import Book, create, open_book, parse_where
from fairpull.book.search.tree import Bound, Condition, DateIs, Either, Every, NumberIs, Range, Unless, Where, WordIs
from fairpull.book.search.words import SUMMARY, named
from fairpull.terms.bench import KeptPull, Sheet
from fairpull.terms.errors import BookRefused, SearchRefused
from fairpull.terms.pull import Pull
from tests.book.small_books import DAY, SHEETS, fill
from tests.catalogues import Catalogues

SEEDS = range(1, 43)
Both = tuple[KeptPull, Pull]


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory, catalogues: Catalogues) -> Iterator[Book]:
    folder = tmp_path_factory.mktemp("search")
    with catalogues.used(), create(folder / "book") as made:
        fill(made, folder / "logs", SEEDS)
        made.remark(("pull", "bellows 3"), "the Fuel FILTER was old", "MB")
        made.remark(("part", "cam-b"), "Nockenwelle mit Ölnut", "MB")
        yield made


class Everything:
    """All pulls with their traces, in a box that prints short."""

    def __init__(self, book: Book) -> None:
        self.pulls: list[Both] = [(one, book.trace(one.name)) for one in book.pulls(full=True)]


@pytest.fixture(scope="module")
def everything(book: Book) -> Everything:
    return Everything(book)


def found(book: Book, text: str) -> set[int]:
    return {one.number for one in book.pulls(parse_where(text))}


def holds(condition: Condition, one: Both) -> bool:
    """By hand, over one pull and its trace."""
    if isinstance(condition, Every):
        return all([holds(part, one) for part in condition.parts])
    if isinstance(condition, Either):
        return any([holds(part, one) for part in condition.parts])
    if isinstance(condition, Unless):
        return not holds(condition.part, one)
    if isinstance(condition, NumberIs):
        return any(within(condition, values) for values in numbers(condition, one) if values.size)
    if isinstance(condition, DateIs):
        at = one[0].started_at if condition.about == "date" else one[0].taken_at
        return at is not None and on_day(condition, at)
    return says(condition, one[0])


def numbers(condition: NumberIs, one: Both) -> Iterator[np.ndarray[tuple[int], np.dtype[np.float64]]]:
    kept, trace = one
    span = condition.range or Range()
    rpm = trace.channels["rpm"]
    low = span.past if span.past is not None else -math.inf
    high = span.below if span.below is not None else math.inf
    rows = (rpm > low) & (rpm < high)
    if span.first is not None and span.last is not None:
        rows = (rpm >= span.first) & (rpm <= span.last)
    for name in condition.names:
        if name in SUMMARY:
            value = kept.sweep_rate if name == "sweep_rate" else kept.summary.get(name)
            yield np.array([] if value is None else [value])
        elif name in trace.channels:
            values = trace.channels[name][rows]
            yield values[~np.isnan(values)]


def within(condition: NumberIs, values: np.ndarray[tuple[int], np.dtype[np.float64]]) -> bool:
    picked = {"mean": values.mean(), "least": values.min(), "most": values.max()}.get(condition.pick)
    seen = values if picked is None else np.array([picked])
    bound = condition.bound
    if bound.comparison == "=":
        return bool(seen.min() <= bound.high and seen.max() >= bound.low)
    compare = {">": np.greater, ">=": np.greater_equal, "<": np.less, "<=": np.less_equal}[bound.comparison]
    return bool(compare(seen, bound.low).any())


def on_day(condition: DateIs, at: float) -> bool:
    return {
        ">": at >= condition.end,
        ">=": at >= condition.start,
        "<": at < condition.start,
        "<=": at < condition.end,
        "=": condition.start <= at < condition.end,
    }[condition.comparison]


def says(condition: WordIs, kept: KeptPull) -> bool:
    bodies = {(sheet.kind, sheet.name): sheet.body for sheet in SHEETS}
    build = bodies["build", kept.build]
    parts = dict(build.get("parts", {}))
    if condition.about == "change":
        reference = bodies.get(("build", build.get("reference", "")), build)
        return bool(reference.get("parts", {}).get(condition.value) != parts.get(condition.value))
    if condition.about == "sign":
        assert kept.health is not None
        return condition.value in {sign.kind for sign in kept.health.signs}
    told = {
        "name": [kept.name],
        "engine": [build["engine"]],
        "build": [kept.build],
        "session": [kept.session],
        "part": [part for kind, part in parts.items() if condition.kind in ("", kind)],
        "state": [kept.state],
        "kind": [kept.kind],
    }[condition.about]
    if condition.part_of:
        return any(condition.value.casefold() in word.casefold() for word in told)
    return any(condition.value.casefold() == word.casefold() for word in told)


def words(text: str) -> list[str]:
    return text.split(", ")


LEAVES = st.one_of(
    st.builds(
        "{} {} {}{}".format,
        st.sampled_from(["boost", "mean boost", "least boost", "most boost"]),
        st.sampled_from([">", ">=", "<", "<=", "="]),
        st.sampled_from(["0.0 bar", "0.1 bar", "0.3 bar", "5 psi", "0.25 bar", "600 mbar"]),
        st.sampled_from(["", "", " past 3000 rpm", " below 2500", " between 2500 and 3500 rpm", " past 9000"]),
    ),
    st.builds(
        "{} {} {}{}".format,
        st.sampled_from(["lambda", "mean lambda", "lambda 1", "least lambda 2", "most lambda"]),
        st.sampled_from([">", ">=", "<", "<=", "="]),
        st.sampled_from(["0.8", "0.9", "0.95", "1.04", "0.85"]),
        st.sampled_from(["", " past 3500 rpm", " below 3000 rpm", " between 2900 and 3000 rpm"]),
    ),
    st.builds(
        "{} {}".format,
        st.sampled_from(words("peak power >, peak power <=, power =, factor <, factor =, duration >, oil temp >")),
        st.sampled_from(words("130 kW, 180 hp, 1.03, 3.9 s, 95 degC, 205 degF")),
    ),
    st.sampled_from(words("sweep rate > 320 rpm/s, sweep rate = 0 rpm/s, factor > 1.04, peak power = 140 kW")),
    st.builds(
        "date {} {}".format,
        st.sampled_from([">", ">=", "<", "<=", "="]),
        st.sampled_from(["2026-05-23", "2026-05-24", "2026-05-25", "2026-05", "2025"]),
    ),
    st.sampled_from(
        words(
            'engine = anvil, engine ~ BELL, build = ANVIL-cam, build = "anvil header", build ~ anvil, part = cam-a, '
            "part ~ cam, camshaft = cam-b, camshaft ~ cam, exhaust = header-1, session = morning, state = void, "
            "state = set aside, state = counts, kind = steps, change = camshaft, change = exhaust, change = head, "
            'sign = heat-soak, sign = knock, sign = misfire, name ~ cam, name = "anvil-cam 1"'
        )
    ),
)
SEARCHES = st.recursive(
    LEAVES,
    lambda inner: st.one_of(
        st.builds("({} and {})".format, inner, inner),
        st.builds("({} or {})".format, inner, inner),
        st.builds("not {}".format, inner),
    ),
    max_leaves=6,
)


@settings(max_examples=300)
@given(SEARCHES)
def test_catalogue_and_traces_agree_with_looking_at_every_pull(book: Book, everything: Everything, text: str) -> None:
    try:
        where = parse_where(text)
    except SearchRefused as refused:
        codes = {fault.code for fault in refused.faults}
        event("refused")
        if codes <= {"unit-of-another-quantity", "unit-missing"}:
            return
        raise
    by_hand = {one[0].number for one in everything.pulls if holds(where.condition, one)}
    assert {one.number for one in book.pulls(where)} == by_hand


def test_the_searches_above_tell_pulls_apart(book: Book) -> None:
    asked = ["boost > 0.3 bar past 3000 rpm", "lambda > 0.95 past 3500 rpm", "sign = heat-soak", "change = camshaft"]
    asked += ["mean lambda 1 > 0.92 below 3000 rpm", "date >= 2026-05-25", "not boost > 0.1 bar", "state = void"]
    for text in asked:
        assert 0 < len(found(book, text)) < len(SEEDS), text


def test_text_is_looked_for_in_names_reasons_remarks_and_sheets(book: Book) -> None:
    every = book.pulls(full=True)
    assert found(book, "text ~ cam-b") >= {one.number for one in every if one.build == "anvil-cam"}
    assert found(book, 'text ~ "fuel filter"') == {one.number for one in every if one.name == "bellows 3"}
    assert found(book, "text ~ ÖLNUT") == {one.number for one in every if one.build == "anvil-cam"}
    assert found(book, "text ~ überland") == {one.number for one in every if one.build == "bellows"}
    fouled = {one.number for one in every if "LEAD" in one.reason or one.session == "morning"}
    assert found(book, 'text ~ "burnt lead"') == fouled
    assert found(book, 'text ~ "100%"') == set()


def test_wildcards_of_the_database_are_plain_letters(book: Book) -> None:
    assert found(book, "name ~ %") == found(book, "build ~ _") == found(book, "part ~ '") == set()


def test_a_name_that_the_book_does_not_hold_is_refused_with_near_ones(book: Book) -> None:
    with pytest.raises(SearchRefused) as caught:
        book.pulls(parse_where("engine = Anvl or boost > 1 bar and not camshaft = cam-c"))
    first, second = caught.value.faults
    assert (first.code, first.where) == ("search-unknown", "search, column 10")
    assert "Anvil" in first.remedy
    assert (second.where, "cam-b" in second.remedy) == ("search, column 51", True)


@pytest.fixture(scope="module")
def tuned(tmp_path_factory: pytest.TempPathFactory, catalogues: Catalogues) -> Iterator[Book]:
    """The same builds with settings and fuels on their sheets."""
    folder = tmp_path_factory.mktemp("tuned")
    cam = {"engine": "Anvil", "reference": "anvil-log", "parts": {"camshaft": "cam-b"}}
    header = {"engine": "Anvil", "reference": "anvil-log", "parts": {"camshaft": "cam-a", "fuel": "drum-3"}}
    with catalogues.used(), create(folder / "book") as made:
        fill(made, folder / "logs", range(1, 9))
        made.keep(
            [
                Sheet(
                    "engine", "Anvil", {"bore": "4 in", "fuel": {"name": "Regular, 91 RON class", "density": "0.74"}}
                ),
                Sheet("engine", "Bellows", {"bore": "86 mm", "fuel": "e10"}),
                Sheet("part", "drum-3", {"kind": "fuel", "fuel": "e85"}),
                Sheet(
                    "build",
                    "anvil-log",
                    {
                        "engine": "Anvil",
                        "parts": {"camshaft": "cam-a"},
                        "settings": {"spark": "31 deg", "lash": "1 in"},
                    },
                ),
                Sheet("build", "anvil-cam", {**cam, "settings": {"Spark": "34 deg", "lash": "25.4 mm"}}),
                Sheet("build", "anvil header", {**header, "settings": {"spark": "31.0 deg", "lash": "1 in"}}),
                Sheet("build", "bellows", {"engine": "Bellows", "fuel": "methanol, drum 9"}),
            ]
        )
        yield made


def builds_of(book: Book, text: str) -> set[str]:
    return {one.build for one in book.pulls(parse_where(text))}


@pytest.mark.parametrize(
    "asked", ["change = spark", 'change = "setting spark"', "change = setting spark", "change = Timing"]
)
def test_a_setting_is_a_kind_of_change(tuned: Book, asked: str) -> None:
    assert builds_of(tuned, asked) == {"anvil-cam"}


def test_a_setting_that_says_the_same_in_another_unit_is_no_change(tuned: Book) -> None:
    assert builds_of(tuned, "change = lash") == set()


@pytest.mark.parametrize(
    ("asked", "builds"),
    [
        ("change = cam", {"anvil-cam"}),
        ("change = fuel", {"anvil header"}),
        ("change = header", set()),
        ("fuel ~ regular", {"anvil-log", "anvil-cam"}),
        ('fuel = "regular, 91 ron class"', {"anvil-log", "anvil-cam"}),
        ("fuel = e85", {"anvil header"}),
        ("fuel = drum-3", {"anvil header"}),
        ("fuel ~ methanol", {"bellows"}),
        ("fuel ~ e10", set()),
    ],
)
def test_other_words_for_changes_and_the_fuel_that_was_burnt(tuned: Book, asked: str, builds: set[str]) -> None:
    assert builds_of(tuned, asked) == builds


def test_a_change_that_no_sheet_knows_is_refused_with_near_names(tuned: Book) -> None:
    with pytest.raises(SearchRefused) as caught:
        tuned.pulls(parse_where("change = sprak or fuel = e58 or change = exhuast"))
    first, second, third = sorted(caught.value.faults, key=lambda fault: int(fault.where.rpartition(" ")[2]))
    assert {one.code for one in (first, second, third)} == {"search-unknown"}
    assert first.seen == 'no kind of change "sprak"'
    assert "near it: setting spark" in first.remedy.replace("setting Spark", "setting spark")
    assert "setting lash" in first.remedy
    assert "e85" in second.remedy
    assert third.remedy.startswith("near it: exhaust")


def test_a_search_goes_together_with_builds_and_states(book: Book) -> None:
    both = book.pulls(parse_where("lambda > 0.9 past 3000 rpm"), builds=["bellows"], states=["counts"])
    by_hand = [one.number for one in both if one.build == "bellows" and one.state == "counts"]
    assert [one.number for one in both] == by_hand
    assert both


def test_compacted_traces_give_the_same(book: Book, everything: Everything, tmp_path: Path) -> None:
    with create(tmp_path / "book") as other:
        fill(other, tmp_path / "logs", SEEDS)
        texts = ["lambda > 0.95 past 3500 rpm", "mean boost > 0.2 bar between 2500 and 3500 rpm"]
        before = [found(other, text) for text in texts]
        assert other.compact() == len(SEEDS)
        assert [found(other, text) for text in texts] == before == [found(book, text) for text in texts]
    assert len(everything.pulls) == len(SEEDS)


@given(st.text(max_size=30), st.sampled_from(["name", "engine", "build", "part", "session", "text", "camshaft"]))
def test_no_text_reaches_the_database(book: Book, text: str, about: str) -> None:
    for sign in ("=", "~"):
        with suppress(SearchRefused):
            assert len(book.pulls(parse_where(f'{about} {sign} "{text}"'))) <= len(SEEDS)


def test_a_search_as_records_needs_no_text(book: Book) -> None:
    where = Where("", NumberIs(("boost",), "most", Bound(">", 3e4, 3e4)))
    assert {one.number for one in book.pulls(where)} == found(book, "most boost > 0.3 bar")


def test_figures_named_in_the_language_are_those_of_the_day(book: Book) -> None:
    (first, *_) = book.pulls()
    assert set(first.summary) <= set(SUMMARY)
    assert all((meant := named(word)) and meant.whole for _, words in SUMMARY.values() for word in words)
    assert first.started_at is None or first.started_at >= DAY


@pytest.mark.usefixtures("catalogues")
def test_a_missing_or_damaged_trace_is_told(tmp_path: Path) -> None:
    with create(tmp_path / "book") as book:
        fill(book, tmp_path / "logs", range(1, 4))
        file = book.folder / "traces" / "000" / "0000001.parquet"
        content = file.read_bytes()
        for damage, code in ((content[:100], "trace-unreadable"), (None, "trace-missing")):
            file.unlink()
            if damage is not None:
                file.write_bytes(damage)
            with pytest.raises(BookRefused) as caught:
                book.pulls(parse_where("lambda > 0.8 past 3000 rpm"))
            assert caught.value.faults[0].code == code
        assert found(book, "lambda > 0.8") == {1, 2}


@pytest.mark.usefixtures("catalogues")
def test_compaction_in_between_is_noticed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from fairpull.book.search import moments

    with create(tmp_path / "book") as book, open_book(tmp_path / "book") as other:
        fill(book, tmp_path / "logs", range(1, 6))
        before = found(book, "lambda > 0.95 past 3000 rpm")
        holding = moments.holding

        def late(*told: Any) -> frozenset[int]:
            other.compact()
            return holding(*told)

        monkeypatch.setattr(moments, "holding", late)
        assert found(book, "lambda > 0.95 past 3000 rpm") == before
