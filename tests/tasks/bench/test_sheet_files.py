"""Sheets as files: kinds are recognised, all faults come at once, and what goes out comes in again."""

from __future__ import annotations

from pathlib import Path

import pytest

from fairpull.book import Book
from fairpull.tasks.bench.sheet_files import keep_sheets, read_sheets, sheet_text, write_sheets
from fairpull.terms.bench import SHEET_KINDS, Sheet
from fairpull.terms.errors import ReadRefused, ValueRefused
from tests.tasks.bench.shop import SHEETS, codes

TEXTS = {
    "engine": 'bore = "100 mm"\nstroke = "90 mm"\ncylinders = 6\n',
    "part": 'kind = "exhaust"\ndesign = "log"\n',
    "build": 'engine = "Mill"\n[parts]\nexhaust = "log"\n',
    "session": 'brake = "water brake"\ndate = "2031-05-06"\n',
    "check": 'what = "leakdown"\nvalues = ["4 %", "3 %"]\n',
    "question": 'question = "Does it pay?"\nband = "1800-4600 rpm"\nbuilds = ["plain", "tube"]\n',
    "duty": '[[band]]\nspeed = "1600-2200 rpm"\nweight = 1.0\n',
}


def write(path: Path, text: str) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, "utf-8")
    return path


def test_the_texts_are_of_all_kinds() -> None:
    assert set(TEXTS) == set(SHEET_KINDS)


@pytest.mark.parametrize("kind", TEXTS)
def test_a_sheet_is_recognised_by_its_entries(tmp_path: Path, kind: str) -> None:
    (sheet,) = read_sheets([write(tmp_path / "a page.toml", TEXTS[kind])])
    assert (sheet.kind, sheet.name) == (kind, "a page")


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("[line]\nexponent = 3\n", "duty"),
        ('[[time]]\nspeed = "1800 rpm"\n', "duty"),
        ("[gears]\nratios = [2.6]\n", "duty"),
        ('[cycle]\nkey = "E3"\n', "duty"),
        ('band = "1800-4600 rpm"\n', "question"),
        ('expectation = "none"\n', "question"),
        ('[dead_weights]\nunit = "N m"\n', "session"),
        ('kind = "cam"\n', "part"),
        ('engine = "Mill"\n', "build"),
        ('what = "lash"\nengine = "Mill"\n', "check"),
        ('displacement = "2 L"\n', "engine"),
    ],
)
def test_one_telling_entry_is_enough(tmp_path: Path, text: str, kind: str) -> None:
    assert read_sheets([write(tmp_path / "page.toml", text)])[0].kind == kind


def test_a_sheet_that_nothing_tells_names_every_way_to_say_it(tmp_path: Path) -> None:
    with pytest.raises(ReadRefused, match=r'sheet = "KIND" at its top, use --kind KIND.*folder such as duties.*duty'):
        read_sheets([write(tmp_path / "page.toml", 'colour = "blue"\n')])


def test_a_part_of_an_unknown_kind_is_told_the_near_one(kept: Book, tmp_path: Path) -> None:
    with pytest.raises(ValueRefused, match="did you mean camshaft"):
        keep_sheets(kept, read_sheets([write(tmp_path / "page.toml", 'kind = "cam"\n')]))


@pytest.mark.parametrize(
    ("kind", "folder"),
    [
        ("engine", "engines"),
        ("part", "parts"),
        ("build", "builds"),
        ("session", "sessions"),
        ("check", "checks"),
        ("question", "questions"),
        ("duty", "Duties"),
    ],
)
def test_a_sheet_is_recognised_by_its_folder(tmp_path: Path, kind: str, folder: str) -> None:
    (sheet,) = read_sheets([write(tmp_path / folder / "page.toml", TEXTS[kind])])
    assert sheet.kind == kind


@pytest.mark.parametrize("kind", SHEET_KINDS)
def test_its_own_word_and_the_option_go_before_everything(tmp_path: Path, kind: str) -> None:
    path = write(tmp_path / "engines" / "page.toml", f'sheet = "{kind}"\nname = "n"\n' + TEXTS[kind])
    (sheet,) = read_sheets([path])
    assert (sheet.kind, sheet.name) == (kind, "n")
    assert "sheet" not in sheet.body
    assert "name" not in sheet.body
    (named,) = read_sheets([write(tmp_path / "engines" / "other.toml", TEXTS[kind])], kind)
    assert named.kind == kind


def test_a_folder_is_read_through_and_engines_come_first(tmp_path: Path) -> None:
    for kind, text in TEXTS.items():
        write(tmp_path / "all" / kind / f"{kind}.toml", f'sheet = "{kind}"\n' + text)
    read = read_sheets([tmp_path / "all"])
    assert [sheet.kind for sheet in read] == ["engine", "part", "build", "session", "check", "question", "duty"]


def test_all_faults_of_all_files_come_at_once(tmp_path: Path) -> None:
    (tmp_path / "latin.toml").write_bytes('notes = "über"\n'.encode("latin-1"))
    (tmp_path / "empty").mkdir()
    big = write(tmp_path / "big.toml", "# " + "x" * 1_000_001)
    bad = [
        tmp_path / "missing.toml",
        tmp_path / "empty",
        write(tmp_path / "torn.toml", 'bore = "100'),
        tmp_path / "latin.toml",
        write(tmp_path / "what.toml", 'colour = "blue"\n'),
        big,
    ]
    with pytest.raises(ReadRefused) as refusal:
        read_sheets([*bad, write(tmp_path / "fine.toml", TEXTS["engine"])])
    expected = ["file-too-large", "no-such-sheet", "no-such-sheet", "not-toml", "not-toml", "sheet-kind"]
    assert codes(refusal.value) == expected
    for path in bad:
        assert any(str(path) in fault.where for fault in refusal.value.faults)


def test_an_unknown_kind_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ReadRefused, match="one of: engine, part") as refusal:
        read_sheets([write(tmp_path / "page.toml", TEXTS["engine"])], "gearbox")
    assert codes(refusal.value) == ["sheet-kind"]


def test_wrong_sheets_are_refused_all_at_once_and_nothing_is_kept(kept: Book) -> None:
    before = {kind: len(kept.sheets(kind)) for kind in SHEET_KINDS}
    with pytest.raises(ValueRefused) as refusal:
        keep_sheets(
            kept,
            [
                Sheet("engine", "bad", {"bore": "100 hours", "cylinders": 6}),
                Sheet("part", "bad", {"kind": "sail"}),
                Sheet("build", "bad", {"engine": "Mill", "parts": {"exhaust": "nowhere"}}),
                Sheet("build", "worse", {"parts": {}}),
                Sheet("session", "bad", {"brakes": 2}),
                Sheet("check", "bad", {"what": "mood"}),
                Sheet("question", "bad", {"band": "high"}),
                Sheet("duty", "bad", {"colour": "blue"}),
                Sheet("part", "fine", {"kind": "exhaust", "design": "log"}),
            ],
        )
    said = "\n".join(fault.line() for fault in refusal.value.faults)
    for place in ("engine bad", "part bad", "build worse", "session bad", "check bad", "question bad", "duty bad"):
        assert place in said
    assert "nowhere" in said
    assert {kind: len(kept.sheets(kind)) for kind in SHEET_KINDS} == before


def test_a_build_may_lean_on_sheets_that_come_with_it(kept: Book) -> None:
    (_, _, build) = keep_sheets(
        kept,
        [
            Sheet("engine", "New", {"bore": "90 mm", "stroke": "90 mm", "cylinders": 4}),
            Sheet("part", "new header", {"kind": "exhaust", "design": "tubular"}),
            Sheet("build", "new", {"engine": "New", "parts": {"exhaust": "new header"}}),
        ],
    )
    assert (build.name, build.version) == ("new", 1)


def test_two_sheets_of_one_name_are_refused(kept: Book) -> None:
    twice = Sheet("part", "log", {"kind": "exhaust", "design": "log", "notes": "again"})
    with pytest.raises(ValueRefused, match="give each a name of its own") as refusal:
        keep_sheets(kept, [twice, twice])
    assert codes(refusal.value) == ["sheet-twice"]


def test_a_changed_sheet_is_a_new_version_and_the_same_one_is_not(kept: Book) -> None:
    body = {"kind": "exhaust", "design": "log", "notes": "cracked at port 3"}
    (changed,) = keep_sheets(kept, [Sheet("part", "log", body)])
    (again,) = keep_sheets(kept, [Sheet("part", "log", body)])
    assert (changed.version, again.version) == (2, 2)
    assert "notes" not in kept.sheet("part", "log", 1).body
    assert [sheet.version for sheet in kept.sheets("part", all_versions=True) if sheet.name == "log"] == [1, 2]


def test_what_goes_out_comes_in_again_without_a_new_version(kept: Book, tmp_path: Path) -> None:
    extra = [Sheet("question", "pays", {"question": "Does it\npay?", "builds": ["plain", "tube"]})]
    keep_sheets(kept, extra)
    written = write_sheets(kept, tmp_path / "out")
    assert len(written) == len(SHEETS) + 1
    read = read_sheets([tmp_path / "out"])
    assert {(one.kind, one.name): one.body for one in read} == {
        (one.kind, one.name): one.body for one in (*SHEETS, *extra)
    }
    assert {sheet.version for sheet in keep_sheets(kept, read)} == {1}


def test_one_kind_can_be_written_alone(kept: Book, tmp_path: Path) -> None:
    written = write_sheets(kept, tmp_path / "out", "engine")
    assert [path.relative_to(tmp_path / "out").as_posix() for path in written] == ["engines/Mill.toml"]


def test_nothing_is_written_over_and_nothing_by_half(kept: Book, tmp_path: Path) -> None:
    there = write(tmp_path / "out" / "builds" / "plain.toml", "# mine\n")
    with pytest.raises(ValueRefused) as refusal:
        write_sheets(kept, tmp_path / "out")
    assert codes(refusal.value) == ["file-there"]
    assert there.read_text("utf-8") == "# mine\n"
    assert not (tmp_path / "out" / "engines").exists()


def test_names_that_no_file_can_hold_are_written_and_read_again(kept: Book, tmp_path: Path) -> None:
    name = "cam: 218/224 *new*"
    keep_sheets(kept, [Sheet("part", name, {"kind": "exhaust", "design": "log"})])
    write_sheets(kept, tmp_path / "out", "part")
    assert name in {sheet.name for sheet in read_sheets([tmp_path / "out"])}


def test_two_names_that_would_share_a_file_are_told(kept: Book, tmp_path: Path) -> None:
    body = {"kind": "exhaust", "design": "log"}
    keep_sheets(kept, [Sheet("part", "a/b", body), Sheet("part", "a:b", body)])
    with pytest.raises(ValueRefused, match="two sheets would go into this file"):
        write_sheets(kept, tmp_path / "out", "part")


def test_the_text_of_a_sheet_says_what_it_is() -> None:
    assert sheet_text(SHEETS[1]) == 'sheet = "part"\nkind = "exhaust"\nname = "log"\ndesign = "log"\n'
