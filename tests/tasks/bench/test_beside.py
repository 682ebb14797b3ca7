"""Two sheets beside each other, and what follows from one: against values worked by hand."""

from __future__ import annotations

import math
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from fairpull.book import Book
from fairpull.show.facts import beside as facts
from fairpull.show.facts import spec_sheet
from fairpull.tasks.bench.beside import beside
from fairpull.tasks.bench.door import the_book
from fairpull.tasks.bench.sheet_computed import sheet_view
from fairpull.tasks.bench.sheet_files import keep_sheets
from fairpull.tasks.bench.used_by import uses
from fairpull.tasks.demo_day import DemoResult
from fairpull.terms.bench import Sheet
from fairpull.terms.errors import UnknownName
from fairpull.terms.findings import Severity


@pytest.fixture(scope="module")
def kept(demo_in_files: DemoResult, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    with the_book(Path(shutil.copytree(demo_in_files.book, tmp_path_factory.mktemp("beside") / "book"))) as book:
        keep_sheets(
            book,
            [
                Sheet("part", "cam-a", {**book.sheet("part", "cam-a").body, "lifters": "flat"}),
                Sheet("part", "cam-a-metric", {**book.sheet("part", "cam-a").body, "intake_valve_lift": "11.176 mm"}),
                Sheet("part", "tall-head", {"kind": "head", "chamber_volume": "40 cc", "gasket_thickness": "1.0 mm"}),
                Sheet("part", "flat-piston", {"kind": "piston", "deck_clearance": "0.5 mm"}),
            ],
        )
        parts = {"head": "tall-head", "piston": "flat-piston"}
        keep_sheets(book, [Sheet("build", "odd-ratio", {"engine": "Anvil", "parts": parts})])
        yield book


def test_only_what_differs_is_told(kept: Book) -> None:
    seen = beside(kept, "build", ("anvil-header", "anvil-cam-b"))
    told = facts.tables(seen, "us")
    rows = {(table.title, row[0]): row[1:] for table in told for row in table.rows}
    assert rows["Parts", "camshaft"] == ("cam-a", "cam-b", "")
    assert rows["Camshaft", "intake valve lift"] == ("0.440 in", "0.480 in", "+0.04 in")
    assert rows["Camshaft, computed", "overlap, advertised"] == ("39 °", "57 °", "+18 °")
    assert not any(row[1] == row[2] for table in told for row in table.rows)
    assert [one.kind for one in seen.changes] == ["camshaft"]
    every = facts.tables(seen, "us", every=True)
    assert sum(len(table.rows) for table in every) == sum(len(table.rows) for table in told) + facts.hidden(seen)


def test_both_unit_systems(kept: Book) -> None:
    seen = beside(kept, "build", ("anvil-header", "anvil-cam-b"))
    rows = {row[0]: row[1:] for table in facts.tables(seen, "metric") for row in table.rows}
    assert rows["intake valve lift"] == ("0.440 in (11.18 mm)", "0.480 in (12.19 mm)", "+1.02 mm")


def test_the_same_length_in_other_units_is_no_difference(kept: Book) -> None:
    seen = beside(kept, "part", ("cam-a", "cam-a-metric"), (1, None))
    assert [pair.name for pair in seen.pairs if not pair.same] == []


def test_versions_beside_each_other(kept: Book) -> None:
    seen = beside(kept, "part", ("cam-a", "cam-a"), (1, 2))
    assert facts.titles(seen) == ("version 1", "version 2")
    assert [(pair.name, pair.one, pair.other) for pair in seen.pairs if not pair.same] == [("lifters", "", "flat")]
    assert [one.changed for one in sheet_view(kept, "part", "cam-a").versions] == ["lifters flat put in", ""]


def test_rows_of_tables_are_told_one_by_one(kept: Book) -> None:
    seen = beside(kept, "part", ("iron-head", "aluminium-head"))
    rows = {pair.name: (pair.one, pair.other) for pair in seen.pairs}
    assert rows["flow at 0.2 in"] == ("88 cfm, 67 cfm", "136 cfm, 108 cfm")


def test_unknown_names(kept: Book) -> None:
    for kind, names in (("part", ("cam-a", "none")), ("wheel", ("a", "b"))):
        with pytest.raises(UnknownName):
            beside(kept, kind, names)


def test_cam_card_by_hand(kept: Book) -> None:
    """Card worked by hand (definitions, practice): 274/280 deg, separation 110, centreline 106."""
    advertised, checked = sheet_view(kept, "part", "cam-b").cams
    exhaust, intake = advertised.spans
    assert math.degrees(intake.opens) == pytest.approx(-31.0)
    assert math.degrees(intake.closes) == pytest.approx(180.0 + 63.0)
    assert math.degrees(exhaust.opens) == pytest.approx(-180.0 - 74.0)
    assert math.degrees(exhaust.closes) == pytest.approx(26.0)
    assert math.degrees(spec_sheet.overlap(advertised) or 0.0) == pytest.approx(57.0)
    assert (advertised.stated, checked.stated) == ("advertised, at 0.006 in", "at 0.050 in")
    assert spec_sheet.events_table([advertised]).rows[1][2:] == ("31 BTDC", "63 ABDC", "274", "106 ATDC")


def test_a_lift_that_is_not_stated_is_said_so(kept: Book) -> None:
    assert "not stated" in sheet_view(kept, "part", "wren-cams").cams[0].stated


def test_flow_row_by_hand(kept: Book) -> None:
    """At 0.1 in: 47 cfm at 28 inH2O through the curtain of a 1.73 in valve.

    By hand: 0.0221817 m3/s; curtain pi x 43.942 mm x 2.54 mm = 350.64 mm2; sqrt(2 x 6974.3 Pa / 1.2041 kg/m3) =
    107.63 m/s; so 0.5878, and 206.1 mm2 effective (heywood 6.3).
    """
    bench = sheet_view(kept, "part", "iron-head").flow
    assert bench is not None
    row = bench.rows[0]
    assert row.side == "intake"
    assert row.lift == pytest.approx(0.00254)
    assert row.coefficient == pytest.approx(0.5878, abs=5e-4)
    assert row.area == pytest.approx(206.1e-6, rel=1e-3)


def test_ratio_from_volumes_against_the_entered_one(kept: Book) -> None:
    """40 cc + disc of 87.757 mm x 1.5 mm = 9.073 cc; swept 599.2 cc; 1 + 599.2 / 49.07 = 13.21 against 9.4."""
    view = sheet_view(kept, "build", "odd-ratio")
    made = next(one for one in view.facts if one.name == "compression ratio from volumes")
    assert made.value == pytest.approx(13.21, abs=0.01)
    (finding,) = view.findings
    assert (finding.code, finding.severity) == ("compression-ratio-from-volumes", Severity.WARNING)
    shown = next(one for one in spec_sheet.computed(view.facts, view.engine, "us") if one.name == made.name)
    assert (shown.entered, shown.value) == ("9.4", "13.21")


def test_who_uses_what(kept: Book) -> None:
    held = {one.build: one.pulls for one in uses(kept, "part")["tube-header"]}
    assert held == {"anvil-header": 3, "anvil-cam-b": 2}
    view = sheet_view(kept, "part", "tube-header")
    assert view.pulls == 5
    assert {one.build for one in uses(kept, "engine")["Wren"]} == {"wren-plain", "wren-centrifugal", "wren-screw"}
    assert uses(kept, "session") == {}


def test_an_engine_tells_its_piston_speed_where_it_made_its_power(kept: Book) -> None:
    names = [one.name for one in sheet_view(kept, "engine", "Anvil").facts]
    assert "mean piston speed at peak power of anvil-cam-b" in names


def test_a_sheet_that_cannot_be_read_any_more_comes_with_its_faults(kept: Book) -> None:
    kept.keep([Sheet("part", "broken", {"kind": "jets", "wheel": "1"})])
    view = sheet_view(kept, "part", "broken")
    assert [fault.code for fault in view.faults] == ["unknown-entry"]
    assert view.facts == ()
