"""Commands of the bench book, each in this process: what it says at 80 columns, what it refuses, what it ends with."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from fairpull.book import open_book
from fairpull.tasks.bench.take import take_files
from tests.catalogues import Catalogues
from tests.cli.conftest import Ran
from tests.tasks.bench import shop

Run = Callable[..., Ran]

CAM = 'kind = "camshaft"\nadvertised_lift = "0.006 in"\nintake_advertised = "260 deg"\nexhaust_advertised = "266 deg"\n'


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory, catalogues: Catalogues) -> Path:
    """A folder with a book of two builds, two pulls each with spark logged, and papers."""
    folder = tmp_path_factory.mktemp("shop")
    with catalogues.used(), shop.make_book(folder / "book") as kept:
        for n, (build, gain) in enumerate((("plain", 1.0), ("tube", 1.04), ("plain", 1.001), ("tube", 1.041))):
            more = {"spark advance [deg]": 24.0 + 2.0 * n, "lambda 1": 0.85 + 0.01 * n, "oil temp [degC]": 95.0}
            log = shop.sweep(folder / f"{build}-{n}.csv", f"10:{5 * n:02d}:00", gain=gain, more=more)
            take_files(kept, [log], build)
        kept.remark(("pull", "plain-0"), "smelled of rubber", "K. L.")
    return folder


@pytest.fixture
def bench(made: Path, tmp_path: Path, catalogues: Catalogues, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A working folder with that book in it, to write into; commands find the book from inside."""
    folder = catalogues.copy(made, tmp_path / "shop")
    monkeypatch.delenv("FAIRPULL_BOOK", raising=False)
    monkeypatch.chdir(folder / "book")
    return folder


def fine(ran: Ran) -> str:
    """Its output, which must be there and fit 80 columns; nothing on standard error."""
    assert (ran.code, ran.err) == (0, ""), ran
    assert ran.out.strip()
    long = [line for line in ran.out.splitlines() if len(line) > 80]
    assert not long, long
    return ran.out


def document(ran: Ran) -> dict[str, Any]:
    """Its output as strict JSON with a schema."""
    assert (ran.code, ran.err) == (0, ""), ran

    def refuse(word: str) -> None:
        raise AssertionError(f"{word} is no JSON")

    found: dict[str, Any] = json.loads(ran.out, parse_constant=refuse)
    assert found["schema"].startswith("fairpull/")
    assert found["schema_version"] == 1
    return found


@pytest.mark.usefixtures("catalogues")
def test_a_book_is_made_set_and_found_from_inside(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("FAIRPULL_BOOK", raising=False)
    assert fine(run("book", "new", "--units", "metric", "--standard", "iso-1585", tmp_path / "b")).startswith("book: ")
    assert "[" in run("book", "new", tmp_path / "b").refusals[0]
    monkeypatch.chdir(tmp_path / "b")
    told = fine(run("book", "set"))
    assert "units: metric" in told
    assert "standard: iso-1585" in told
    assert "band: (by the data)" in told
    assert "band: 1800-4600 rpm" in fine(run("book", "set", "band", "1800-4600 rpm"))
    assert "band: (by the data)" in fine(run("book", "set", "band", ""))
    assert "[no-such-setting]" in run("book", "set", "colour", "blue").refusals[0]


def test_no_book_is_refused_by_every_command(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("FAIRPULL_BOOK", raising=False)
    monkeypatch.chdir(tmp_path)
    log = shop.sweep(tmp_path / "a.csv")
    commands = (
        ("book", "check"),
        ("book", "compact"),
        ("book", "set"),
        ("book", "export", tmp_path / "out"),
        ("book", "backup", tmp_path / "out.tar"),
        ("sheets", "list"),
        ("sheets", "show", "build", "plain"),
        ("sheets", "out", tmp_path / "out"),
        ("take", log, "--build", "plain"),
        ("watch", tmp_path),
        ("fitted",),
        ("pulls",),
        ("pull", "a"),
        ("mark", "a", "counts"),
        ("remark", "a", "b"),
        ("attach", log, "--about", "a"),
        ("health", "a"),
        ("purpose", "haul"),
        ("tune", "spark", "a"),
        ("running-in", "Mill"),
        ("past", "exhaust"),
    )
    for words in commands:
        (line,) = run(*words).refusals
        assert "[no-book]" in line, words
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.csv"]


@pytest.mark.usefixtures("bench")
def test_sheets_are_added_listed_shown_and_written(run: Run, tmp_path: Path) -> None:
    (tmp_path / "cam-x.toml").write_text(CAM, "utf-8")
    assert fine(run("sheets", "add", tmp_path / "cam-x.toml")).splitlines()[-1].split() == ["part", "cam-x", "1", "new"]
    assert "unchanged" in fine(run("sheets", "add", tmp_path / "cam-x.toml"))
    (tmp_path / "cam-x.toml").write_text(CAM + 'notes = "again"\n', "utf-8")
    changed = fine(run("sheets", "add", tmp_path / "cam-x.toml"))
    assert "changed, was version 1" in changed
    assert "part cam-x: notes again put in" in changed
    (tmp_path / "cam-x.toml").write_text(CAM, "utf-8")
    assert "older-sheet-again" in fine(run("sheets", "add", tmp_path / "cam-x.toml"))
    (tmp_path / "cam-x.toml").write_text(CAM + 'notes = "again"\n', "utf-8")
    fine(run("sheets", "add", tmp_path / "cam-x.toml"))
    listed = fine(run("sheets", "list"))
    assert all(name in listed for name in ("Mill", "cam-x", "tube", "tuesday"))
    only = fine(run("sheets", "list", "--kind", "session"))
    assert "tuesday" in only
    assert "Mill" not in only
    assert 'notes = "again"' in fine(run("sheets", "show", "part", "cam-x", "--toml"))
    assert "again" not in fine(run("sheets", "show", "part", "cam-x", "--version", "1"))
    for kind, name in (("build", "tube"), ("part", "header"), ("engine", "Mill"), ("session", "tuesday")):
        assert name in fine(run("sheets", "show", kind, name))
        fine(run("sheets", "show", kind, name, "--units", "metric"))
    written = run("sheets", "out", tmp_path / "out").out.splitlines()
    assert str(tmp_path / "out" / "builds" / "tube.toml") in written
    fine(run("sheets", "add", tmp_path / "out"))
    assert "[file-there]" in run("sheets", "out", tmp_path / "out").refusals[0]


@pytest.mark.usefixtures("bench")
def test_sheets_are_refused(run: Run, tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text('bore = "100 hours"\nstroke = "90 mm"\ncylinders = 6\n', "utf-8")
    (tmp_path / "b.toml").write_text('what = "mood"\n', "utf-8")
    assert len(run("sheets", "add", tmp_path / "a.toml", tmp_path / "b.toml").refusals) == 2
    assert "[no-such-sheet]" in run("sheets", "add", tmp_path / "none.toml").refusals[0]
    assert run("sheets", "show", "build", "tub").refusals
    assert run("sheets", "show", "build", "tube", "--version", "9").refusals
    assert run("sheets", "show", "gearbox", "x").refusals
    assert run("sheets", "list", "--kind", "gearbox").refusals


def test_a_check_sheet_says_what_it_means(run: Run, bench: Path) -> None:
    (bench / "leak.toml").write_text('what = "leakdown"\nvalues = ["4 %", "35 %"]\n', "utf-8")
    fine(run("sheets", "add", bench / "leak.toml"))
    said = fine(run("sheets", "show", "check", "leak"))
    assert "leakdown-high" in said
    assert "35%" in said


def test_taking_in_says_what_was_found(run: Run, bench: Path) -> None:
    log = shop.sweep(bench / "new.csv", "11:00:00", gain=1.04)
    said = fine(run("take", log, "--build", "tube", "--session", "tuesday"))
    assert said.startswith("new (tube)\n  counts; ")
    assert said.endswith("Kept 1 of 1.\n")
    again = run("take", log, "--build", "plain")
    assert (again.code, again.err) == (0, "")
    said = " ".join(again.out.split())
    assert "kept before as new." in said
    assert "taken-under-another-build" in said
    assert said.endswith("Kept 0 of 1.")
    metric = fine(run("take", shop.sweep(bench / "m.csv", "11:10:00"), "--build", "plain", "--units", "metric"))
    assert "kW" in metric


def test_taking_in_is_refused(run: Run, bench: Path) -> None:
    (bench / "letter.csv").write_text("Dear helper,\n", "utf-8")
    good = shop.sweep(bench / "good.csv", "11:00:00")
    assert run("take", bench / "letter.csv", good, "--build", "tube").refusals
    assert "[not-in-book]" in run("take", good, "--build", "tub").refusals[0]
    assert "[no-build]" in run("take", good).refusals[0]
    assert run("take", good, "--build", "tube", "--inertia", "heavy").refusals
    assert run("take", good, "--build", "tube", "--lag", "lambda").refusals
    assert "good" not in run("pulls").out


def test_taking_nothing_is_refused(run: Run, bench: Path) -> None:
    del bench
    assert run("take", "--build", "tube").refusals


def test_a_day_sheet_is_taken(run: Run, bench: Path) -> None:
    shop.sweep(bench / "d1.csv", "12:00:00")
    shop.sweep(bench / "d2.csv", "12:10:00", gain=1.04)
    sheet = bench / "day.csv"
    sheet.write_text("file,build,set aside because\nd1.csv,plain,\nd2.csv,tube,fan belt\n", "utf-8")
    said = fine(run("take", "--list", sheet))
    assert "d1 (plain)" in said
    assert "set aside; " in said
    sheet.write_text("file,colour\nd1.csv,red\n", "utf-8")
    assert len(run("take", "--list", sheet).refusals) == 2


def test_what_is_fitted_is_said_once(run: Run, bench: Path) -> None:
    assert fine(run("fitted")) == "fitted: nothing said yet\n"
    assert fine(run("fitted", "tube")) == "fitted: tube\n"
    assert fine(run("fitted")) == "fitted: tube\n"
    assert run("fitted", "tub").refusals
    fine(run("take", shop.sweep(bench / "new.csv", "11:00:00")))
    assert "new" in run("pulls", "--build", "tube").out


def test_a_watch_takes_what_comes_and_says_the_verdict(run: Run, bench: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import time

    inbox = bench / "inbox"
    shop.sweep(inbox / "w.csv", "11:00:00", gain=1.04)
    (inbox / "x.txt").write_text("no log\n", "utf-8")
    monkeypatch.setattr(time, "sleep", lambda seconds: None)
    ran = run("watch", inbox, "--build", "tube", "--quiet", "0", "--files", "2")
    said = ran.out
    assert ran.code == 0
    assert "stop with Ctrl-C" in " ".join(said.split())
    assert "w (tube): counts" in said
    assert "tube differs from plain" in " ".join(said.split())
    assert "Look 1 at this build" in said
    assert "x.txt" in said
    assert fine(run("fitted")) == "fitted: tube\n"
    assert "[no-such-folder]" in run("watch", bench / "nothing").err


@pytest.mark.usefixtures("bench")
def test_pulls_are_listed_and_searched(run: Run) -> None:
    everything = fine(run("pulls"))
    assert everything.endswith("4 pulls, 4 of them count.\n")
    assert fine(run("pulls", "--build", "tube")).endswith("2 pulls, 2 of them count.\n")
    assert fine(run("pulls", "--where", "peak torque > 306 N m")).endswith("2 pulls, 2 of them count.\n")
    assert "No pull fits." in fine(run("pulls", "--where", "peak torque > 900 N m"))
    assert "kW" in fine(run("pulls", "--units", "metric"))
    assert run("pulls", "--where", "peak torque >> many").refusals
    assert run("pulls", "--build", "tub").refusals
    found = document(run("pulls", "--json"))
    assert [one["name"] for one in found["pulls"]] == ["plain-0", "tube-1", "plain-2", "tube-3"]
    assert found["pulls"][0]["summary"]["peak_power"]["unit"] == "W"


@pytest.mark.usefixtures("bench")
def test_one_pull_is_shown(run: Run) -> None:
    said = fine(run("pull", "plain-0"))
    assert said.startswith("plain-0: counts; ")
    assert "smelled of rubber" in said
    assert "sha256" in said
    fine(run("pull", "plain-0", "--units", "metric"))
    found = document(run("pull", "plain-0", "--json"))
    (one,) = found["pulls"]
    assert one["health"]["pull"] == "plain-0"
    assert one["figures"]["oil_temperature"]["unit"] == "K"
    assert "plain-0" in run("pull", "plain-00").refusals[0]


@pytest.mark.usefixtures("bench")
def test_a_pull_is_marked_with_its_reason(run: Run) -> None:
    assert fine(run("mark", "plain-0", "aside", "--reason", "fan belt", "--by", "K. L.")) == (
        "plain-0: set aside, fan belt\n  before: counts to its end\n"
    )
    assert "set aside: fan belt" in " ".join(fine(run("pulls", "--build", "plain")).split())
    fine(run("mark", "plain-0", "counts", "--valid-to", "4500rpm"))
    assert "up to 4,500 rpm" in fine(run("pull", "plain-0"))
    fine(run("mark", "plain-0", "counts", "--valid-to", "end"))
    assert "up to" not in fine(run("pull", "plain-0")).splitlines()[0]
    assert "[reason-missing]" in run("mark", "plain-0", "void").refusals[0]
    assert "[pull-state]" in run("mark", "plain-0", "perhaps").refusals[0]
    assert run("mark", "plain-9", "counts").refusals


def test_photographs_and_words_are_laid_beside(run: Run, bench: Path) -> None:
    (bench / "plug.jpg").write_bytes(b"\xff\xd8 a picture")
    said = fine(run("attach", bench / "plug.jpg", "--about", "tube-1", "--note", "plug of cylinder 3"))
    assert said == "plug.jpg beside pull tube-1\n"
    fine(run("remark", "tube-1", "popped at 4,800", "--by", "M."))
    fine(run("remark", "build:tube", "42 in primaries"))
    shown = fine(run("pull", "tube-1"))
    assert "plug of cylinder 3" in shown
    assert "M.: popped at 4,800" in shown
    assert "[about-kind]" in run("remark", "sail:tube", "x").refusals[0]
    assert run("remark", "tube-9", "x").refusals
    assert run("attach", bench / "none.jpg", "--about", "tube-1").refusals
    assert "[about-kind]" in run("attach", bench / "plug.jpg", "--about", "sail:x").refusals[0]


def test_health_of_the_books_pulls_and_of_files(run: Run, bench: Path) -> None:
    said = fine(run("health", "tube-3"))
    assert "Held against: tube-1." in said
    assert "Not looked at: " in said
    assert "safe" not in said.lower()
    log = shop.sweep(bench / "new.csv", "11:00:00")
    fine(run("health", log, "--against", "plain"))
    found = document(run("health", "tube-3", "tube-1", "--json"))
    assert [one["pull"] for one in found["pulls"]] == ["tube-3", "tube-1"]
    assert run("health", "tube-9").refusals


def test_builds_are_compared_with_their_ledger_and_kept(run: Run, bench: Path) -> None:
    said = fine(run("compare", "plain", "tube"))
    assert "exhaust" in said
    assert "tube differs from plain" in " ".join(said.split())
    assert fine(run("compare", "tube")) == said
    found = document(run("compare", "plain", "tube", "--json", "--keep", "first look"))
    assert found["ledgers"][0]["other"] == "tube"
    with open_book(bench / "book", read_only=True) as kept:
        assert [one.name for one in kept.results()] == ["first look"]
    assert "[option-needs-files]" in run("compare", "plain", "tube", "--lag", "lambda=0.3s").refusals[0]
    assert "[no-counted-pull]" in run("compare", "plain", "rich").refusals[0]


def test_duties_are_scored(run: Run, bench: Path) -> None:
    duty = bench / "haul.toml"
    duty.write_text('sheet = "duty"\n[[band]]\nspeed = "2500-4000 rpm"\nweight = 1.0\n', "utf-8")
    fine(run("sheets", "add", duty))
    assert "tube" in fine(run("purpose", "haul"))
    assert "tube" not in fine(run("purpose", "haul", "plain", "--altitude", "7200 ft", "--temperature", "41 degF"))
    assert run("purpose", "plough").refusals
    assert "cycle E3" in fine(run("purpose", "e3", "--rated", "93 hp at 3800 rpm"))
    assert "cycle C1" in fine(
        run("purpose", "C1", "--rated", "80 kW at 3600 rpm", "--intermediate", "70 kW at 2400 rpm")
    )
    assert '--rated "93 hp at 3800 rpm"' in run("purpose", "E3").refusals[0]
    assert run("purpose", "haul", "--altitude", "high").refusals


@pytest.mark.usefixtures("bench")
def test_loops_are_fitted_with_cautions_first(run: Run) -> None:
    said = fine(run("tune", "spark", "plain", "tube-1", "--speeds", "2500,4000"))
    assert said.startswith("Tuning at full load can kill")
    assert "What to run next" in said
    assert "safe to" not in said.lower()
    fine(run("tune", "mixture", "plain", "--units", "metric"))
    found = document(run("tune", "spark", "plain", "tube-1", "--speeds", "3000", "--json"))
    assert [loop["rpm"]["value"] for loop in found["loops"]] == [3000.0]
    assert found["cautions"]
    for words in (("cam", "plain"), ("spark", "nobody"), ("spark", "plain", "--limits", "much")):
        assert run("tune", *words).refusals


@pytest.mark.usefixtures("bench")
def test_loops_and_running_in_are_in_the_units_of_the_book(run: Run) -> None:
    tune = ("tune", "spark", "plain", "tube-1", "--speeds", "3000")
    assert "lb-ft" in fine(run(*tune))
    assert "lb-ft" in fine(run("running-in", "Mill"))
    assert run("book", "set", "units", "metric").code == 0
    for words in (tune, ("running-in", "Mill")):
        metric = fine(run(*words))
        assert "N m" in metric
        assert "lb-ft" not in metric
        assert "lb-ft" in fine(run(*words, "--units", "us"))


@pytest.mark.usefixtures("bench")
def test_running_in_and_past_work(run: Run) -> None:
    assert "Mill" in fine(run("running-in", "Mill"))
    assert run("running-in", "Mil").refusals
    assert "tube against plain" in fine(run("past", "exhaust"))
    assert "tube against plain" in fine(run("past", "header"))
    assert "[change-kind]" in run("past", "luck").refusals[0]
    fine(run("past", "camshaft"))


def test_a_sound_book_is_checked_backed_up_exported_and_comes_back(run: Run, bench: Path) -> None:
    run("compare", "plain", "tube", "--keep", "first")
    assert fine(run("book", "check")).startswith("The book is sound.")
    assert fine(run("book", "check", "--no-recompute")).startswith("The book is sound.")
    assert "back-up: " in run("book", "backup", bench / "b.tar").out
    assert run("book", "backup", bench / "b.nothing").refusals
    assert "export: " in run("book", "export", bench / "open").out
    assert run("book", "export", bench / "open").refusals
    assert run("book", "restore", bench / "b.tar", bench / "restored").code == 0
    assert run("book", "import", bench / "open", bench / "imported").code == 0
    assert run("book", "restore", bench / "nothing.tar", bench / "r").refusals
    assert run("book", "import", bench / "nothing", bench / "i").refusals
    assert "traces put together" in fine(run("book", "compact"))
    for name in ("book", "restored", "imported"):
        said = fine(run("book", "check", "--book", bench / name))
        assert said.startswith("The book is sound."), name
        assert "4 pulls, 4 of them count." in run("pulls", "--book", bench / name).out


def test_a_damaged_book_ends_with_one(run: Run, bench: Path) -> None:
    (trace, *_) = sorted((bench / "book" / "traces").rglob("*.parquet"))
    trace.write_bytes(trace.read_bytes()[:-50])
    ran = run("book", "check")
    assert (ran.code, ran.err) == (1, "")
    assert ran.out.startswith("The book is damaged: ")
    assert all(len(line) <= 80 for line in ran.out.splitlines())
    assert "plain-0" in ran.out


def test_an_outdated_result_is_no_damage(run: Run, bench: Path) -> None:
    del bench
    run("compare", "plain", "tube", "--keep", "first")
    run("mark", "tube-3", "void", "--reason", "for a test")
    ran = run("book", "check")
    assert ran.code == 0
    assert "result-outdated" in ran.out


def test_the_environment_names_the_book(run: Run, made: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("FAIRPULL_BOOK", str(made / "book"))
    assert fine(run("pulls")).endswith("4 pulls, 4 of them count.\n")
