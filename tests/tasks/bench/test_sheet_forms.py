"""Forms of sheets: what is not touched stays to the letter, what is wrong comes back with its field."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from fairpull.book import Book
from fairpull.tasks.bench.adding import Added
from fairpull.tasks.bench.door import the_book
from fairpull.tasks.bench.sheet_fields import fields
from fairpull.tasks.bench.sheet_forms import form_of, form_typed, read_form, save_form, suggested, typed_of
from fairpull.tasks.demo_day import DemoResult
from fairpull.terms.bench import SHEET_KINDS, Sheet
from fairpull.terms.build import PART_KINDS
from fairpull.terms.errors import FairpullError, UnknownName, ValueRefused
from fairpull.terms.sheet_view import SheetForm


@pytest.fixture
def kept(demo_in_files: DemoResult, tmp_path: Path) -> Iterator[Book]:
    with the_book(Path(shutil.copytree(demo_in_files.book, tmp_path / "book"))) as book:
        yield book


def part_of(sheet: Sheet) -> str:
    return str(sheet.body["kind"]) if sheet.kind == "part" else ""


def sent(form: SheetForm) -> dict[str, str]:
    """What a browser sends of a form that nobody touched."""
    return {one.name: one.value.replace("\n", "\r\n") for _, row in form.groups for one in row}


def refused(kept: Book, kind: str, part: str, typed: dict[str, str]) -> ValueRefused:
    with pytest.raises(ValueRefused) as error:
        save_form(kept, kind, part, typed)
    return error.value


def faulty(form: SheetForm) -> dict[str, list[str]]:
    return {one.name: [fault.code for fault in one.faults] for _, row in form.groups for one in row if one.faults}


@pytest.mark.parametrize("kind", SHEET_KINDS)
def test_every_sheet_of_the_demo_survives_its_form(kept: Book, kind: str) -> None:
    sheets = kept.sheets(kind)
    assert sheets
    for sheet in sheets:
        form = form_of(kept, kind, part_of(sheet), sheet.body, sheet.name, new=False, version=sheet.version)
        done = save_form(kept, kind, part_of(sheet), sent(form) | {"version": "1"}, edited=sheet.name)
        assert (done.what, done.sheet.version) == ("unchanged", 1), sheet.name


def test_a_duplicate_says_the_same_under_its_own_name(kept: Book) -> None:
    source = kept.sheet("build", "anvil-cam-b")
    name = suggested(kept, "build", "anvil-cam-b")
    form = form_of(kept, "build", "", source.body, name, new=True)
    done = save_form(kept, "build", "", sent(form), source=source)
    assert (done.sheet.name, done.what) == ("anvil-cam-b-2", "new")
    assert done.sheet.body == source.body
    assert suggested(kept, "build", "anvil-cam-b-2") == "anvil-cam-b-3"


def edited(kept: Book, kind: str, name: str, **changed: str) -> Added:
    sheet = kept.sheet(kind, name)
    form = form_of(kept, kind, part_of(sheet), sheet.body, name, new=False, version=sheet.version)
    return save_form(kept, kind, part_of(sheet), sent(form) | changed, edited=name)


def test_an_edit_makes_a_version_and_leaves_the_rest(kept: Book) -> None:
    done = edited(kept, "part", "cam-b", intake_valve_lift="12.2 mm")
    assert (done.what, done.sheet.version) == ("changed", 2)
    assert done.sheet.body == {**kept.sheet("part", "cam-b", 1).body, "intake_valve_lift": "12.2 mm"}
    assert done.said == "intake_valve_lift 0.480 in -> 12.2 mm"


def test_numbers_stay_numbers(kept: Book) -> None:
    body = edited(kept, "engine", "Anvil", compression_ratio="9.6", cylinders="4").sheet.body
    assert (body["compression_ratio"], body["cylinders"]) == (9.6, 4)
    assert isinstance(body["cylinders"], int)


def test_settings_are_changed_added_and_taken_out(kept: Book) -> None:
    body = edited(kept, "build", "anvil-log", setting_1="lash", value_1="0.012 in").sheet.body
    assert body["settings"] == {"spark": "as set", "lash": "0.012 in"}
    body = edited(kept, "build", "anvil-log", **{"settings.spark": "31 deg", "settings.lash": ""}).sheet.body
    assert body["settings"] == {"spark": "31 deg"}


def test_parts_are_offered_by_their_kind(kept: Book) -> None:
    form = form_of(kept, "build", "", {}, "", new=True)
    by_name = {one.name: one for _, row in form.groups for one in row}
    assert [value for value, _ in by_name["parts.camshaft"].choices] == ["", "cam-a", "cam-b", "wren-cams"]
    assert [value for value, _ in by_name["engine"].choices] == ["", "Anvil", "Wren"]


def test_all_faults_at_once_each_with_its_field(kept: Book) -> None:
    typed = {
        "name": "",
        "intake_valve": "17",
        "intake_valves": "two",
        "material": "iron",
        "more": 'flow = [["in", "cfm"], [0.1, 5], [0.05, 6], ["a", 7]]',
    }
    error = refused(kept, "part", "head", typed)
    form = form_typed(kept, "part", "head", typed, new=True, faults=error.faults)
    found = faulty(form)
    assert set(found) == {"name", "intake_valve", "intake_valves", "depression", "more"}
    assert found["intake_valve"] == ["unit-missing"]
    told = next(one for _, row in form.groups for one in row if one.name == "more")
    assert told.value == typed["more"]
    assert told.faults[0].where == "flow, row 4, lift"
    assert form.others == ()
    assert "head" not in {part_of(sheet) for sheet in kept.sheets("part") if not sheet.name}


def test_faults_of_a_build_go_to_their_fields(kept: Book) -> None:
    typed = {
        "name": "odd",
        "engine": "Anvil",
        "reference": "nobody",
        "parts.camshaft": "none-such",
        "gear": "x",
        "setting_1": "spark",
        "value_1": "31",
        "setting_2": "lash",
    }
    error = refused(kept, "build", "", typed)
    found = faulty(form_typed(kept, "build", "", typed, new=True, faults=error.faults))
    assert set(found) == {"reference", "parts.camshaft", "gear", "value_1", "value_2"}
    found = faulty(
        form_typed(kept, "build", "", {"name": "x"}, new=True, faults=refused(kept, "build", "", {"name": "x"}).faults)
    )
    assert found == {"engine": ["build-engine"]}


@pytest.mark.parametrize(
    ("name", "code"),
    [("cam-a", "name-taken"), ("", "unfit-name"), ("a\u202eb", "unfit-name"), ("x" * 300, "unfit-name")],
)
def test_a_name_that_cannot_be(kept: Book, name: str, code: str) -> None:
    error = refused(kept, "part", "jets", {"name": name, "main": "72"})
    assert [fault.code for fault in error.faults] == [code]


def test_free_area_that_is_no_toml_or_says_twice(kept: Book) -> None:
    error = refused(kept, "part", "jets", {"name": "x", "more": "main = ", "idle": "5"})
    assert [(fault.where, fault.code) for fault in error.faults] == [("more", "not-toml")]
    error = refused(kept, "part", "jets", {"name": "x", "more": "main = 70", "main": "72"})
    assert [(fault.where, fault.code) for fault in error.faults] == [("main", "said-twice")]
    error = refused(kept, "part", "jets", {"name": "x", "more": 'kind = "head"'})
    assert "said-twice" in {fault.code for fault in error.faults}


def test_a_form_that_stood_open_too_long(kept: Book) -> None:
    sheet = kept.sheet("part", "jets-68")
    typed = sent(form_of(kept, "part", "jets", sheet.body, "jets-68", new=False)) | {"version": "1"}
    edited(kept, "part", "jets-68", idle="55")
    with pytest.raises(ValueRefused) as error:
        save_form(kept, "part", "jets", typed | {"main": "69"}, edited="jets-68")
    assert [fault.code for fault in error.value.faults] == ["sheet-changed-meanwhile"]
    assert kept.sheet("part", "jets-68").version == 2


@pytest.mark.parametrize("part", PART_KINDS)
def test_every_kind_of_part_has_a_form_with_hints(part: str) -> None:
    names = [one.name for one in fields("part", part)]
    assert (names[0], names[-1]) == ("label", "notes")
    assert len(names) == len(set(names))


def test_unknown_kinds_are_told() -> None:
    for kind, part in (("part", "wheel"), ("part", ""), ("wagon", "")):
        with pytest.raises(UnknownName):
            fields(kind, part)


@pytest.mark.parametrize(
    "body",
    [
        {"bore": "3 in", "volumes": {"chamber": "60 cc", "dish": ["odd"]}},
        {"fuel": {"name": "own", "density": "750 kg/m3"}, "parts": {"head": "iron"}},
        {"bore": "two\nlines", "inertia": True},
        {"accessories": "x", "settings": {"spark": 31, "odd": [1]}},
    ],
)
def test_odd_bodies_survive(body: dict[str, object]) -> None:
    for kind in ("engine", "build"):
        again, faults = read_form(kind, "", typed_of(kind, "", body), body)
        assert (again, faults) == (body, [])


def test_a_wrong_new_sheet_keeps_nothing(kept: Book) -> None:
    before = len(kept.sheets("engine"))
    with pytest.raises(FairpullError):
        save_form(kept, "engine", "", {"name": "new", "bore": "3 in"})
    assert len(kept.sheets("engine")) == before
