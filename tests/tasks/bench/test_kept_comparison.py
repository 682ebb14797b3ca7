"""A comparison that is kept with all that decides it, and computed again."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import fields, replace
from pathlib import Path

import pytest
from sqlalchemy import text

from fairpull.book import open_book
from fairpull.logs import ReadOptions
from fairpull.pulls import PullOptions
from fairpull.show.json_fair import fair_to_json
from fairpull.tasks.bench.kept_comparison import KEPT, asked_of, compare_kept, refuse_file_options
from fairpull.tasks.bench.recompute import whole_check
from fairpull.tasks.bench.sheet_files import keep_sheets
from fairpull.tasks.bench.take import take_files
from fairpull.tasks.request import CompareRequest
from fairpull.terms.bench import SET_ASIDE, BookCheck, Sheet
from fairpull.terms.errors import ValueRefused
from fairpull.terms.findings import Severity
from tests.catalogues import behind_the_back
from tests.tasks.bench.shop import MILL, codes, sweep

ASKED = CompareRequest(band=(2400.0, 4400.0), smallest=0.02, leave_out={"plain-2": "fan"}, valid_to={"tube": 4500.0})


def checked(book: Path) -> BookCheck:
    with open_book(book) as kept:
        return whole_check(kept)


def found(book: Path) -> list[tuple[str, str]]:
    return [(finding.code, finding.severity.value) for finding in checked(book).findings]


@pytest.fixture
def stored(filled_copy: Path) -> Path:
    """A book with two kept comparisons."""
    compare_kept(["plain", "tube"], CompareRequest(), str(filled_copy), keep="as it stands")
    compare_kept(["tube"], ASKED, str(filled_copy), keep="asked otherwise")
    return filled_copy


FILE_OPTIONS: dict[str, object] = {
    "question_file": Path("question.toml"),
    "engine_files": {"": Path("engine.toml")},
    "declared_files": (Path("rating.csv"),),
    "declared_standard": "din-70020",
    "declared_basis": "net",
    "declared_by": "who",
    "calibrations": {"plain": object()},
    "order": ("a", "b"),
    "read": ReadOptions(by="who"),
    "pulls": PullOptions(inertia=0.2),
}


def test_every_option_is_either_kept_or_refused() -> None:
    assert set(KEPT) | set(FILE_OPTIONS) == {field.name for field in fields(CompareRequest)}
    assert not set(KEPT) & set(FILE_OPTIONS)


@pytest.mark.parametrize("name", sorted(FILE_OPTIONS))
def test_options_that_say_how_files_are_read_are_refused(name: str, filled: Path) -> None:
    request = replace(CompareRequest(), **{name: FILE_OPTIONS[name]})  # type: ignore[arg-type]
    with pytest.raises(ValueRefused) as refusal:
        compare_kept(["plain", "tube"], request, str(filled))
    assert codes(refusal.value) == ["option-needs-files"]
    assert refusal.value.faults[0].where == name


def test_all_such_options_are_refused_at_once() -> None:
    request = replace(CompareRequest(), **FILE_OPTIONS)  # type: ignore[arg-type]
    with pytest.raises(ValueRefused) as refusal:
        refuse_file_options(request)
    assert sorted(fault.where for fault in refusal.value.faults) == sorted(FILE_OPTIONS)


def test_only_what_was_asked_is_kept_as_plain_data() -> None:
    assert asked_of(CompareRequest()) == {}
    asked = asked_of(ASKED)
    assert asked == {
        "band": (2400.0, 4400.0),
        "smallest": 0.02,
        "leave_out": {"plain-2": "fan"},
        "valid_to": {"tube": 4500.0},
    }
    assert CompareRequest(**{**json.loads(json.dumps(asked)), "band": (2400.0, 4400.0)}) == ASKED


def test_nothing_is_kept_without_a_name(filled: Path) -> None:
    compare_kept(["plain", "tube"], CompareRequest(), str(filled))
    with open_book(filled, read_only=True) as kept:
        assert kept.results() == ()


def test_a_kept_result_has_all_that_decides_it(stored: Path) -> None:
    with open_book(stored, read_only=True) as kept:
        whole, asked = kept.result("as it stands"), kept.result("asked otherwise")
        traces = {line.name: line.trace for line in kept.pulls()}
    assert whole.kind == "comparison"
    assert whole.request == {"builds": ["plain", "tube"], "asked": {}, "house": {}, "limits": {}}
    assert whole.traces == traces
    assert whole.sheets == {
        "build/plain": 1,
        "build/tube": 1,
        "engine/Mill": 1,
        "part/header": 1,
        "part/jets-68": 1,
        "part/log": 1,
    }
    assert set(asked.traces) == set(traces) - {"plain-2"}
    assert asked.request["builds"] == ["plain", "tube"]
    assert asked.request["asked"]["smallest"] == 0.02


def test_the_stored_result_is_the_comparison_itself(filled_copy: Path) -> None:
    made = compare_kept(["plain", "tube"], CompareRequest(), str(filled_copy), keep="x")
    with open_book(filled_copy, read_only=True) as kept:
        said = kept.result("x").result
    assert said == json.dumps(fair_to_json(replace(made, past={})), sort_keys=True)
    assert json.loads(said)["ledgers"][0]["summary"] == made.ledgers[0].summary


def test_an_untouched_book_computes_everything_again_to_the_last_digit(stored: Path) -> None:
    told: list[str] = []
    with open_book(stored) as kept:
        check = whole_check(kept, lambda what, number, total: told.append(f"{what} {number}/{total}"))
    assert check.findings == ()
    assert (check.looked_at["pulls read again"], check.looked_at["results computed again"]) == (6, 2)
    assert [line for line in told if line.startswith("reading plain-0.csv again")]
    assert told[-1] == "computing asked otherwise again 2/2"


def test_files_and_rows_alone_can_be_checked(stored: Path) -> None:
    with open_book(stored) as kept:
        check = whole_check(kept, recompute=False)
    assert "pulls read again" not in check.looked_at
    assert check.findings == ()


def change(book: Path, sql: str, value: object) -> None:
    with behind_the_back(book) as connection:
        assert connection.execute(text(sql), {"value": value}).rowcount == 1


def test_a_tampered_result_is_found(stored: Path) -> None:
    with open_book(stored, read_only=True) as kept:
        result = json.loads(kept.result("as it stands").result)
    result["differences"][0]["mean_ratio"]["value"] *= 1.0 + 1e-6
    told = json.dumps(result, sort_keys=True)
    change(stored, "UPDATE results SET result = :value WHERE name = 'as it stands'", told)
    check = checked(stored)
    (finding,) = [one for one in check.findings if one.code == "not-the-same-again"]
    assert (finding.where, finding.severity) == ("result as it stands", Severity.FAULT)
    assert "1.0e-06" in finding.text


def test_a_result_of_another_version_may_differ_in_the_last_digits_only(stored: Path) -> None:
    with open_book(stored, read_only=True) as kept:
        told = kept.result("as it stands").result
    for share, expected in ((1e-12, []), (1e-7, [("not-the-same-again", "fault")])):
        result = json.loads(told)
        result["differences"][0]["mean_ratio"]["value"] *= 1.0 + share
        change(
            stored,
            "UPDATE results SET result = :value, version = '0.0.1' WHERE name = 'as it stands'",
            json.dumps(result, sort_keys=True),
        )
        assert [one for one in found(stored) if one[0] == "not-the-same-again"] == expected


def test_a_damaged_trace_is_found(stored: Path) -> None:
    (trace, *_) = sorted((stored / "traces").rglob("*.parquet"))
    trace.write_bytes(trace.read_bytes()[:-100])
    assert ("trace-damaged", "fault") in found(stored)


def test_a_tampered_trace_is_found(stored: Path) -> None:
    """A file that can be read, with one number changed a little."""
    import polars as pl

    (trace, *_) = sorted((stored / "traces").rglob("*.parquet"))
    frame = pl.read_parquet(trace)
    frame.with_columns(pl.col("torque") * (1.0 + 1e-6)).write_parquet(trace)
    assert ("trace-damaged", "fault") in found(stored)


def test_a_tampered_original_is_found(stored: Path) -> None:
    with open_book(stored, read_only=True) as kept:
        original = kept.original(kept.pull("plain-0").original)
    original.chmod(0o644)
    original.write_bytes(original.read_bytes().replace(b"99.0000", b"98.0000", 1))
    assert {finding.severity for finding in checked(stored).findings} >= {Severity.FAULT}


def mark(book: Path) -> None:
    with open_book(book) as kept:
        kept.mark("tube-3", SET_ASIDE, "fan belt")


def one_more(book: Path) -> None:
    with open_book(book) as kept:
        take_files(kept, [sweep(book.parent / "more.csv", "12:00:00", gain=1.04)], "tube")


def another_build(book: Path) -> None:
    with open_book(book) as kept:
        body = dict(kept.sheet("build", "tube").body)
        keep_sheets(kept, [Sheet("build", "tube", {**body, "hours": "12 h"})])


def another_engine(book: Path) -> None:
    with open_book(book) as kept:
        keep_sheets(kept, [Sheet("engine", "Mill", {**MILL, "bore": "101 mm"})])


def limit(book: Path) -> None:
    with open_book(book) as kept:
        kept.mark("tube-3", "counts", "float", valid_to=4300.0)


def house(book: Path) -> None:
    with open_book(book) as kept:
        kept.set("standard", "din-70020")


def asked_since(book: Path) -> None:
    body = {"question": "Does it pay?", "band": "3000-4000 rpm", "builds": ["plain", "tube"]}
    with open_book(book) as kept:
        keep_sheets(kept, [Sheet("question", "pays", body)])


@pytest.mark.parametrize(
    "since", [mark, one_more, another_build, another_engine, limit, house, asked_since], ids=lambda one: one.__name__
)
def test_a_result_that_the_book_has_outgrown_is_a_note_and_no_damage(
    filled_copy: Path, since: Callable[[Path], None]
) -> None:
    compare_kept(["plain", "tube"], CompareRequest(), str(filled_copy), keep="x")
    since(filled_copy)
    # a newer engine sheet changes the pulls' own figures too, which is told beside it
    told = set(found(filled_copy)) - {("not-the-same-again", "note")}
    assert told == {("result-outdated", "note")}
