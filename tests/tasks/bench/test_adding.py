"""What is asked of a sheet when it is added, and what is said of it."""

from __future__ import annotations

import pytest

from fairpull.book import Book
from fairpull.tasks.bench.adding import Added, added, changes, newest, setting_faults
from fairpull.tasks.bench.sheet_files import keep_sheets, sheet_findings
from fairpull.terms.bench import Sheet
from fairpull.terms.errors import ValueRefused
from fairpull.terms.findings import Severity
from tests.tasks.bench.shop import PARTS, codes


def build(**entries: object) -> Sheet:
    return Sheet("build", "mine", {"engine": "Mill", "parts": PARTS, **entries})


def add(kept: Book, sheet: Sheet) -> Added:
    before = newest(kept, [sheet])
    (one,) = added(kept, keep_sheets(kept, [sheet]), before)
    return one


@pytest.mark.parametrize(
    ("name", "value", "remedy"),
    [
        ("spark", 31, 'write it as spark = "31 deg"'),
        ("spark", "31", 'write it as spark = "31 deg"'),
        ("Spark advance", "31.5", 'write it as Spark advance = "31 deg"'),
        ("boost", "6", 'write it as boost = "6 psi"'),
        ("boost", "6 kg", 'write it as boost = "6 psi"'),
        ("tappets", "0,25", 'write it as tappets = "0.012 in"'),
    ],
)
def test_a_known_quantity_wants_its_unit(name: str, value: object, remedy: str) -> None:
    (fault,) = setting_faults(name, value, "build x, settings.spark")
    assert fault.remedy == remedy
    assert fault.where == "build x, settings.spark"


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("spark", "31 deg"),
        ("spark", "as the card"),
        ("spark", "31 deg at 3000 rpm"),
        ("boost", "0.4 bar"),
        ("boost", "6 psi gauge"),
        ("rpm_limit", 5600),
        ("rpm_limit", "5600"),
        ("lambda", 0.86),
        ("main_jet", 72),
        ("needle", "3"),
        ("spark", True),
        ("spark", [31]),
    ],
)
def test_units_words_and_settings_of_no_known_quantity_are_kept(name: str, value: object) -> None:
    assert setting_faults(name, value, "x") == []


def test_a_bare_spark_is_refused_where_a_build_is_added(kept: Book) -> None:
    with pytest.raises(ValueRefused, match=r'build mine, settings.spark: .* -> write it as spark = "31 deg"'):
        keep_sheets(kept, [build(settings={"spark": 31})])
    assert add(kept, build(settings={"spark": "31 deg", "main_jet": 72})).what == "new"


@pytest.mark.parametrize("entry", ["reference", "tuned_from"])
def test_a_reference_that_is_nowhere_is_refused_with_near_names(kept: Book, entry: str) -> None:
    with pytest.raises(ValueRefused, match=f"build mine, {entry}: 'plian'.*did you mean plain") as refusal:
        keep_sheets(kept, [build(**{entry: "plian"})])
    assert codes(refusal.value) == ["not-in-book"]
    assert add(kept, build(**{entry: "plain"})).finding is None


def test_a_reference_may_come_with_its_build(kept: Book) -> None:
    other = Sheet("build", "base", {"engine": "Mill"})
    assert len(keep_sheets(kept, [build(reference="base"), other])) == 2


def test_a_build_that_is_its_own_reference_is_kept_with_a_warning(kept: Book) -> None:
    done = add(kept, build(reference="mine"))
    assert done.finding is not None
    assert (done.finding.code, done.finding.severity) == ("build-is-its-own-reference", Severity.WARNING)


def test_new_unchanged_changed_and_an_old_text_again(kept: Book) -> None:
    one, two = build(settings={"spark": "31 deg"}), build(settings={"spark": "33 deg"}, hours="2 h")
    assert (add(kept, one).what, add(kept, one).what) == ("new", "unchanged")
    changed = add(kept, two)
    assert (changed.sheet.version, changed.what) == (2, "changed")
    assert changed.said == "settings.spark 31 deg -> 33 deg; hours 2 h put in"
    assert changed.finding is None
    back = add(kept, one)
    assert (back.sheet.version, back.what) == (3, "changed")
    assert back.finding is not None
    assert back.finding.code == "older-sheet-again"
    assert "text of version 1 again" in back.finding.text


def test_many_changes_are_counted() -> None:
    said = changes({f"a{n}": 1 for n in range(6)}, {f"a{n}": 2 for n in range(6)})
    assert said == "a0 1 -> 2; a1 1 -> 2; a2 1 -> 2; a3 1 -> 2; and 2 more"
    assert changes({"a": 1}, {}) == "a taken out (was 1)"


def test_a_check_finds_sheets_that_no_longer_read(kept: Book) -> None:
    assert sheet_findings(kept) == ()
    kept.keep(
        [
            Sheet("part", "odd", {"kind": "camshaft", "lift": "0.450 in"}),
            Sheet("build", "bare", {"engine": "Mill", "settings": {"spark": 31}}),
        ]
    )
    found = {one.where: one for one in sheet_findings(kept)}
    assert set(found) == {"part odd", "build bare"}
    assert (found["part odd"].severity, found["build bare"].severity) == (Severity.FAULT, Severity.WARNING)
    assert "'lift' is not an entry" in found["part odd"].text
    assert "spark" in found["build bare"].remedy
