"""Everything that a pull's page shows: one record from the book, even where parts of it are broken."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fairpull import book
from fairpull.book import Book
from fairpull.show.bench_text import headline
from fairpull.show.facts import pull, pull_tables
from fairpull.tasks.bench.lists import mark_pull
from fairpull.tasks.bench.pull_page import original_of, paper_of, pull_page
from fairpull.tasks.bench.take import take_files
from fairpull.terms.bench import Sheet
from fairpull.terms.errors import BookRefused, UnknownName
from fairpull.terms.health import SIGN_KINDS
from tests.tasks.bench import shop


def names(kept: Book) -> list[str]:
    return [line.name for line in kept.pulls()]


def test_the_curve_gives_the_peaks_that_the_book_keeps(filled: Path) -> None:
    with book.open_book(filled, read_only=True) as kept:
        page = pull_page(kept, names(kept)[0])
    curve, summary = page.counted, page.line.summary
    assert curve is not None
    assert np.nanmax(curve.torque) == summary["observed_peak_torque"]
    assert np.nanmax(curve.torque) * page.making.factor == pytest.approx(summary["peak_torque"], rel=1e-12)
    assert page.whole is None
    assert page.faults == ()
    assert page.making.air is not None
    assert page.making.air.pressure == pytest.approx(99000.0, rel=1e-3)
    assert page.making.engine == "natural induction, spark ignition"


def test_the_page_says_the_numbers_of_the_terminal(filled: Path) -> None:
    with book.open_book(filled, read_only=True) as kept:
        for name in names(kept):
            page = pull_page(kept, name)
            for system in ("us", "metric"):
                said = headline(page.line, system)
                for peak in pull.head(page, system).peaks:
                    assert f"{peak.value.removeprefix('at least ')} at {peak.where}" in said
                by_rpm = {row[0]: row for row in pull_tables.by_rpm(page, system).rows}
                torque, power = pull.head(page, system).peaks
                assert by_rpm[torque.where.removesuffix(" rpm")][1] == torque.value.split()[0]
                assert by_rpm[power.where.removesuffix(" rpm")][2] == power.value.removeprefix("at least ").split()[0]


def test_where_a_pull_counts_to_a_speed_the_rest_is_there_too(filled_copy: Path) -> None:
    with book.open_book(filled_copy) as kept:
        name = names(kept)[0]
        mark_pull(kept, name, "counts", "", valid_to="4000rpm", by="K. L.")
        page = pull_page(kept, name)
    assert page.counted is not None
    assert page.whole is not None
    assert page.counted.rpm[-1] == 4000.0
    assert page.whole.rpm[-1] == pytest.approx(5050.0, abs=50.0)
    assert [(one.valid_to, one.by) for one in page.marks] == [(None, ""), (4000.0, "K. L.")]
    assert pull_tables.history(page).rows[1][1:] == ("counts up to 4,000 rpm", "-", "K. L.")


def test_earlier_counted_pulls_of_the_build_stand_behind(filled_copy: Path) -> None:
    with book.open_book(filled_copy) as kept:
        plain = [line.name for line in kept.pulls(builds=("plain",))]
        assert pull_page(kept, plain[2]).earlier == ()
        every = [one.curve.name for one in pull_page(kept, plain[2], earlier=6).earlier]
        assert every == plain[:2]
        mark_pull(kept, plain[0], "aside", "belt came off")
        assert [one.curve.name for one in pull_page(kept, plain[2], earlier=6).earlier] == [plain[1]]
        assert pull_page(kept, plain[0], earlier=6).earlier == ()
        latest = pull_page(kept, plain[2], earlier=1).earlier[0]
        assert latest.factor == kept.pull(plain[1]).summary["factor"]


def test_neighbours_are_those_of_the_day_in_running_order(filled: Path) -> None:
    with book.open_book(filled, read_only=True) as kept:
        order = names(kept)
        found = [pull_page(kept, name) for name in order]
    assert [page.before for page in found] == ["", *order[:-1]]
    assert [page.after for page in found] == [*order[1:], ""]


def test_without_a_date_neighbours_are_those_of_the_build(kept: Book, tmp_path: Path) -> None:
    for number in range(2):
        take_files(kept, [shop.sweep(tmp_path / f"u{number}.csv", f"10:0{number}:00", day="")], "plain")
    first, second = names(kept)
    assert (pull_page(kept, first).before, pull_page(kept, first).after) == ("", second)


def test_the_builds_reference_is_named(filled: Path) -> None:
    with book.open_book(filled, read_only=True) as kept:
        tube = kept.pulls(builds=("tube",))[0].name
        assert pull_page(kept, tube).against == "plain"
        assert pull_page(kept, names(kept)[0]).against == ""


def test_derived_quantities_come_with_how_they_were_made(kept: Book, tmp_path: Path) -> None:
    log = shop.sweep(tmp_path / "a.csv", more={"air flow [kg/h]": 400.0, "fuel flow [kg/h]": 30.0})
    take_files(kept, [log], "plain")
    page = pull_page(kept, names(kept)[0])
    assert page.counted is not None
    assert {"bmep", "bsac", "bsfc", "volumetric_efficiency"} <= set(page.derived)
    assert "dry air of the room" in page.derived["volumetric_efficiency"].how
    swept = 6 * np.pi / 4 * 0.1**2 * 0.09
    np.testing.assert_allclose(page.derived["bmep"].values, 4 * np.pi * page.counted.torque / swept, rtol=1e-9)
    heads = [column.name for column in pull_tables.by_rpm(page, "us").columns]
    assert heads[:6] == ["rpm", "corrected torque", "corrected power", "observed torque", "observed power", "±"]
    assert heads[6] == "BMEP"


def test_every_kind_of_sign_has_its_row(filled: Path) -> None:
    with book.open_book(filled, read_only=True) as kept:
        page = pull_page(kept, names(kept)[0])
    table = pull_tables.health(page)
    assert {row[0].replace(" ", "-") for row in table.rows} == set(SIGN_KINDS)
    seen = {row[0]: row for row in table.rows}
    assert seen["knock"][2] == "could not be seen"
    assert "knock" in seen["knock"][4]
    nobody = replace(page, line=replace(page.line, health=None))
    assert {row[2] for row in pull_tables.health(nobody).rows} == {"could not be seen"}
    assert pull.blind(nobody)


def test_a_broken_trace_leaves_the_rest_readable(filled_copy: Path) -> None:
    traces = sorted((filled_copy / "traces").rglob("*.parquet"))
    traces[0].write_bytes(b"no trace")
    with book.open_book(filled_copy, read_only=True) as kept:
        page = pull_page(kept, kept.pulls()[0].name)
    assert page.trace is None
    assert page.counted is None
    assert [fault.code for fault in page.faults] == ["trace-damaged"]
    assert len(pull.head(page, "us").peaks) == 2
    assert pull_tables.by_rpm(page, "us").rows == ()


def test_a_build_whose_engine_no_longer_fits_leaves_the_curve(filled_copy: Path) -> None:
    with book.open_book(filled_copy) as kept:
        kept.keep([Sheet("build", "plain", {"engine": "Gone", "parts": {}})])
        page = pull_page(kept, names(kept)[0])
    assert page.counted is not None
    assert page.derived == {}
    assert "not-in-book" in [fault.code for fault in page.faults]


def test_the_original_is_the_bytes_that_were_taken_in(kept: Book, tmp_path: Path) -> None:
    log = shop.sweep(tmp_path / "a.csv")
    take_files(kept, [log], "plain")
    path, file_name = original_of(kept, names(kept)[0])
    assert file_name == "a.csv"
    assert path.read_bytes() == log.read_bytes()


def test_an_original_whose_bytes_changed_is_not_handed_out(filled_copy: Path) -> None:
    with book.open_book(filled_copy) as kept:
        name = names(kept)[0]
        path, _ = original_of(kept, name)
        path.chmod(0o644)
        path.write_bytes(path.read_bytes() + b"more")
        with pytest.raises(BookRefused, match="original-changed"):
            original_of(kept, name)


def test_papers_are_handed_out_only_beside_their_own_pull(filled_copy: Path, tmp_path: Path) -> None:
    photo = tmp_path / "plug.jpg"
    photo.write_bytes(b"a photograph")
    with book.open_book(filled_copy) as kept:
        first, second = names(kept)[:2]
        kept.attach(photo, ("pull", first), "plug 5")
        sha256 = hashlib.sha256(b"a photograph").hexdigest()
        assert paper_of(kept, first, sha256)[1] == "plug.jpg"
        assert [one.note for one in pull_page(kept, first).papers] == ["plug 5"]
        with pytest.raises(UnknownName, match="not-in-book"):
            paper_of(kept, second, sha256)
        with pytest.raises(UnknownName, match="not-in-book"):
            paper_of(kept, first, kept.pull(first).original)


def test_a_pull_that_is_not_there_is_refused(filled: Path) -> None:
    with book.open_book(filled, read_only=True) as kept, pytest.raises(UnknownName):
        pull_page(kept, "nobody")
