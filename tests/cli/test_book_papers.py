"""Commands that show what the book keeps: settings, sheets, papers, kept results, one pull and its judgements."""

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


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory, catalogues: Catalogues) -> Path:
    """A book of two builds, two pulls each."""
    folder = tmp_path_factory.mktemp("papers")
    with catalogues.used(), shop.make_book(folder / "book") as kept:
        for n, (build, gain) in enumerate((("plain", 1.0), ("tube", 1.04), ("plain", 1.001), ("tube", 1.041))):
            take_files(kept, [shop.sweep(folder / f"{build}-{n}.csv", f"10:{5 * n:02d}:00", gain=gain)], build)
    return folder


@pytest.fixture
def bench(made: Path, tmp_path: Path, catalogues: Catalogues, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A working folder with that book in it, to write into."""
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
    """Its output as JSON with a schema."""
    assert (ran.code, ran.err) == (0, ""), ran
    found: dict[str, Any] = json.loads(ran.out)
    assert found["schema"].startswith("fairpull/")
    return found


@pytest.mark.usefixtures("bench")
def test_looking_at_a_setting_leaves_it(run: Run) -> None:
    fine(run("book", "set", "units", "metric"))
    for _ in range(2):
        assert fine(run("book", "set", "units")) == "units: metric\n"
    assert fine(run("book", "set", "units", "--default")) == "units: us\n"
    fine(run("book", "set", "units", "metric"))
    assert fine(run("book", "set", "units", "")) == "units: us\n"
    told = fine(run("book", "set")).splitlines()
    assert len(told) == 7
    assert "fitted: (nothing said)" in told
    assert "session: (none)" in told
    assert "[no-such-setting]" in run("book", "set", "colour").refusals[0]


@pytest.mark.usefixtures("bench")
def test_another_standard_is_in_every_list_at_once(run: Run) -> None:
    before = fine(run("pulls"))
    assert "corrected to SAE J1349 where" in " ".join(before.split())
    assert fine(run("book", "set", "standard", "din-70020")) == "standard: din-70020\n4 pulls corrected again\n"
    after = fine(run("pulls"))
    assert "corrected to DIN 70020 where" in " ".join(after.split())
    assert after.splitlines()[4] != before.splitlines()[4]
    assert "din-70020, factor" in fine(run("pull", "plain-0"))
    assert fine(run("book", "check")).startswith("The book is sound.")


@pytest.mark.usefixtures("bench")
def test_a_kept_result_is_listed_shown_and_not_written_over(run: Run) -> None:
    assert "No result is kept yet" in fine(run("results"))
    kept = fine(run("compare", "plain", "tube", "--keep", "first"))
    assert "kept as first" in kept.splitlines()[-1]
    assert "kept as first" in fine(run("compare", "plain", "tube", "--keep", "first"))
    verdict = "tube differs from plain"
    listed = " ".join(fine(run("results")).split())
    assert listed.startswith("first: comparison of plain, tube, 20")
    assert verdict in listed
    shown = fine(run("results", "first"))
    assert verdict in " ".join(shown.split())
    with open_book(Path.cwd(), read_only=True) as kept_book:
        stored = kept_book.result("first")
        hashes = list(stored.traces.values())
    assert all(one in shown.replace("\n  ", "") for one in hashes)
    assert "sae-j1349" in shown
    assert "tube against plain: +4.0 % (" in shown
    assert "2,000" in shown
    assert document(run("results", "first", "--json")) == json.loads(stored.result)
    refusal = run("compare", "plain", "tube", "--band", "2500-4000 rpm", "--keep", "first").refusals[0]
    assert "[result-there]" in refusal
    assert "plain, tube" in refusal
    run("mark", "tube-3", "void", "--reason", "for a test")
    assert "[result-there]" in run("compare", "plain", "tube", "--keep", "first").refusals[0]
    assert "kept as second" in fine(run("compare", "plain", "tube", "--keep", "second"))
    assert "first" in run("results", "frist").refusals[0]
    assert "[json-needs-name]" in run("results", "--json").refusals[0]


def test_papers_beside_sheets_and_pulls_are_shown_and_come_out_again(run: Run, bench: Path) -> None:
    (bench / "plug.jpg").write_bytes(b"a picture")
    fine(run("attach", bench / "plug.jpg", "--about", "build:tube", "--note", "plug 3"))
    fine(run("remark", "build:tube", "dialled in twice", "--by", "M."))
    shown = fine(run("sheets", "show", "build", "tube"))
    assert "M.: dialled in twice" in shown
    assert "plug.jpg plug 3" in shown
    (place,) = [line.strip() for line in shown.splitlines() if line.startswith("  originals/")]
    assert (bench / "book" / place).read_bytes() == b"a picture"
    assert "dialled in twice" in fine(run("papers", "build:tube"))
    told = run("papers", "build:tube", "--out", bench / "out")
    assert told.out.splitlines()[-1] == str(bench / "out" / "plug.jpg")
    assert (bench / "out" / "plug.jpg").read_bytes() == b"a picture"
    assert "[file-there]" in run("papers", "build:tube", "--out", bench / "out").refusals[0]
    found = document(run("papers", "build:tube", "--json"))
    assert found["attachments"][0]["place"] == place
    assert fine(run("papers", "3")) == "no papers beside pull plain-2\n"
    assert "tube" in run("papers", "build:tub").refusals[0]
    fine(run("attach", bench / "plug.jpg", "--about", "4"))
    assert "originals/" in fine(run("pull", "tube-3"))


@pytest.mark.usefixtures("bench")
def test_a_pull_is_named_by_its_number_and_tells_its_judgements(run: Run) -> None:
    assert fine(run("pull", "3")).startswith("plain-2: counts; ")
    assert "plain-0, plain-2" in run("pull", "plain").refusals[0]
    assert fine(run("mark", "3", "void", "--reason", "fan belt", "--by", "K. L.")) == (
        "plain-2: void, fan belt\n  before: counts to its end\n"
    )
    said = fine(run("mark", "plain-2", "counts", "--valid-to", "4500"))
    assert said == "plain-2: counts up to 4,500 rpm\n  before: void, fan belt\n"
    assert fine(run("mark", "plain-2", "counts")) == "plain-2: counts up to 4,500 rpm\n  as before\n"
    assert "[limit-outside-pull]" in run("mark", "plain-2", "counts", "--valid-to", "9000rpm").refusals[0]
    history = fine(run("pull", "plain-2")).partition("Judgements")[2].splitlines()[1:]
    told = [line.split(": ", 1)[1] for line in history if line.startswith("20")]
    assert told[:3] == ["counts", "void, fan belt (K. L.)", "counts up to 4,500 rpm"]


@pytest.mark.usefixtures("bench")
def test_a_move_says_from_where_and_not_to_itself(run: Run) -> None:
    said = fine(run("move", "1", "tube", "--reason", "wrong header written down"))
    assert said.startswith("plain-0: tube, ")
    assert "before: plain, counts to its end" in said
    assert "[moved-to-itself]" in run("move", "plain-0", "tube", "--reason", "again").refusals[0]


SESSION = """date = "2031-05-07"
brake = "water brake"
notes = "a long note about the load cell, the water, the weather, the belt and everything else that was about"
[dead_weights]
unit = "lb-ft"
hung = [0, 50, 100, 150, 200, 250, 300, 0, 50, 100, 150, 200, 250, 300]
read = [0.1, 50.1, 100.2, 150.3, 200.3, 250.4, 300.5, 0.1, 50.1, 100.2, 150.3, 200.3, 250.4, 300.5]
"""
DUTY = """[[band]]
speed = "2500-4000 rpm"
weight = 1.0
[site]
altitude = "7200 ft"
temperature = "41 degF"
humidity = "50 %"
"""


def test_every_sheet_fits_the_terminal_and_comes_as_json(run: Run, bench: Path) -> None:
    leak = 'what = "leakdown"\nvalues = ["4 %", "35 %", "4 %", "5 %", "6 %", "4 %", "5 %", "6 %", "4 %", "5 %"]\n'
    for name, text in (("wednesday", SESSION), ("haul", DUTY), ("leak", leak)):
        (bench / f"{name}.toml").write_text(text, "utf-8")
    fine(run("sheets", "add", *(bench / f"{name}.toml" for name in ("wednesday", "haul", "leak"))))
    assert "250.4" in fine(run("sheets", "show", "session", "wednesday"))
    assert "41 degF" in fine(run("sheets", "show", "duty", "haul"))
    assert "leakdown-high" in fine(run("sheets", "show", "check", "leak"))
    assert "4.241" in fine(run("sheets", "show", "engine", "Mill", "--units", "metric"))
    assert "hung = [" in run("sheets", "show", "session", "wednesday", "--toml").out
    found = document(run("sheets", "show", "check", "leak", "--json"))
    assert found["body"]["values"][1] == "35 %"
    assert found["findings"][0]["code"].startswith("leakdown")
    checked = document(run("book", "check", "--json"))
    assert (checked["sound"], checked["looked_at"]["pulls"]) == (True, 4)


@pytest.mark.usefixtures("bench")
def test_a_damaged_book_as_json_ends_with_one(run: Run) -> None:
    (trace, *_) = sorted((Path.cwd() / "traces").rglob("*.parquet"))
    trace.write_bytes(trace.read_bytes()[:-50])
    ran = run("book", "check", "--json")
    assert ran.code == 1
    assert json.loads(ran.out)["sound"] is False
