"""Taking in through the pages: looked at first, overruled, then kept as any taking in keeps it; or left."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from fairpull.tasks.bench.door import new_book, the_book
from fairpull.tasks.bench.take import take_files
from fairpull.tasks.bench.take_request import take_options
from fairpull.tasks.weather_words import weather_from_words
from tests.web.conftest import Site, posted
from tests.web.take_pages import (
    GOOD,
    LOG,
    begun,
    fields,
    hand_in,
    names,
    overruled,
    row_of,
    send,
    settled,
    stay_of,
    sweep,
)

AIR = "29.62inHg 68degF 56%"


def test_the_form_offers_builds_and_wants_a_file(own_pages: TestClient) -> None:
    html = own_pages.get("/take?build=anvil-header").text
    assert '<option value="anvil-header" selected>' in html
    answer = posted(own_pages, "/take", {"build": "anvil-header"}, page="/take")
    assert answer.status_code == 422
    assert "no file was chosen" in answer.text
    assert '<option value="anvil-header" selected>' in answer.text


def test_a_messy_file_is_overruled_and_kept_as_take_keeps_it(
    own_pages: TestClient, own_book: Path, tmp_path: Path
) -> None:
    before = names(own_book)
    page = hand_in(own_pages, [("Messy file.csv", sweep())])
    assert "Cannot be kept like this" in page.text
    assert 'value="keep"' not in page.text
    said = {"f0.weather": "29 furlong", "f0.date": "the day after"}
    wrong = send(own_pages, page, "look", {**said, **overruled(page)})
    assert "furlong" in wrong.text
    assert {name: fields(wrong.text)[name] for name in said} == said
    page = send(own_pages, wrong, "look", {"f0.weather": AIR, "f0.date": "2026-05-24"})
    assert "1 pull found" in page.text
    assert names(own_book) == before

    _chart(own_pages, page)
    kept = send(own_pages, page, "keep")
    assert [name for name in names(own_book) if name not in before] == ["Messy-file"]
    assert kept.url.path == "/pulls/Messy-file"
    _same_as_take(own_book, tmp_path)
    gone = own_pages.get(f"/take/{stay_of(page).id}")
    assert 'href="/pulls/Messy-file"' in gone.text
    assert not stay_of(page).files.exists()


def _chart(client: TestClient, page: Any) -> None:
    """The preview marks the pull, with the seconds at which it begins and ends."""
    chart = re.search(r'data-chart="([^"]+)"', page.text)
    assert chart
    spec = client.get(f"{chart[1]}.json").json()["spec"]
    spans = [rows for rows in spec["datasets"].values() if rows and "x2" in rows[0]]
    (pull,) = spans[0]
    assert 2.0 < pull["x"] < 6.0 < 16.0 < pull["x2"] < 17.5
    assert f"{pull['x']:.1f} to {pull['x2']:.1f}" in page.text
    assert client.get(f"{chart[1]}.csv").text.count("\n") > 300
    assert "<svg" in client.get(f"{chart[1]}.svg").text


def _same_as_take(folder: Path, tmp_path: Path) -> None:
    """What the command line keeps of the same file with the same options, in a book of the same sheets."""
    path = tmp_path / "Messy-file.csv"
    path.write_bytes(sweep())
    read = {
        "columns": {"load on arm": "torque", "shaft": "rpm"},
        "units": {"load on arm": "lb-ft"},
        "given": weather_from_words(AIR, "--weather"),
        "date": "2026-05-24",
    }
    with the_book(folder, read_only=True) as kept, new_book(tmp_path / "other", kept.settings()) as other:
        line = kept.pull("Messy-file")
        other.keep([sheet for kind in ("engine", "part", "build") for sheet in kept.sheets(kind)])
        report = take_files(other, [path], LOG, take_options(read))
        assert [(one.name, one.trace) for one in report.kept] == [(line.name, line.trace)]
        assert other.pull(line.name).reading == line.reading
        assert line.reading["read"]["columns"] == read["columns"]
        assert line.origin.path == "Messy-file.csv"


def test_of_three_files_the_bad_is_left_out_and_the_known_is_not_kept_twice(
    own_pages: TestClient, own_book: Path, demo_book: Path
) -> None:
    before = names(own_book)
    known = next((demo_book.parent / "anvil-log").glob("02-*"))
    files = [("a.csv", sweep()), ("known.txt", known.read_bytes()), ("bad.xlsx", b"PK\x03\x04 not at all")]
    page = hand_in(own_pages, files)
    assert page.text.count("Cannot be kept like this") == 2
    assert "In the book already" in page.text
    assert 'href="/pulls/02-0940-log-baseline"' in page.text
    page = send(own_pages, page, "look", {**overruled(page, unit="N m"), "f2.left": "1"})
    assert 'value="keep"' in page.text
    send(own_pages, page, "keep", {"f0.aside": "a warm-up run"})
    assert [name for name in names(own_book) if name not in before] == ["a"]
    with the_book(own_book, read_only=True) as kept:
        assert kept.pull("a").state == "set aside"
        assert "a warm-up run" in kept.pull("a").reason


def test_the_same_bytes_twice_are_said_and_kept_once(own_pages: TestClient, own_book: Path) -> None:
    before = names(own_book)
    page = hand_in(own_pages, [("a.csv", sweep(GOOD)), ("b.csv", sweep(GOOD))])
    assert "The same bytes as a.csv" in page.text
    assert "Keep the pull in the book" in page.text
    send(own_pages, page, "keep")
    assert [name for name in names(own_book) if name not in before] == ["a"]


def test_what_was_changed_since_the_look_is_looked_at_before_it_is_kept(own_pages: TestClient, own_book: Path) -> None:
    before = names(own_book)
    page = hand_in(own_pages, [("good.csv", sweep(GOOD))])
    page = send(own_pages, page, "keep", {"f0.weather": AIR})
    assert "looked at again" in page.text
    assert names(own_book) == before
    send(own_pages, page, "keep")
    assert [name for name in names(own_book) if name not in before] == ["good"]


def test_where_no_build_is_known_everything_else_is_shown(own_pages: TestClient, own_book: Path) -> None:
    with the_book(own_book) as kept:
        kept.set("fitted", "")
    page = hand_in(own_pages, [("good.csv", sweep(GOOD))], build="")
    assert "choose the build that it ran with" in page.text
    assert row_of(page, "torque")
    assert "The air" in page.text
    page = send(own_pages, page, "look", {"build": LOG})
    assert 'value="keep"' in page.text


def test_papers_beside_the_logs_hold_for_them(own_pages: TestClient) -> None:
    toml = b'barometer = "30.1 inHg"\ninlet_temperature = "70 degF"\nhumidity = "40 %"\n'
    page = hand_in(own_pages, [("good.csv", sweep(GOOD)), ("conditions.toml", toml)])
    assert "Beside the logs: conditions.toml" in page.text
    assert "30.1 inHg from conditions.toml" in page.text


def test_a_wide_log_is_overruled_in_words(own_pages: TestClient, own_book: Path) -> None:
    wide = ",".join(["clock [s]", "rpm", *(f"extra {n}" for n in range(700))])
    lines = [wide]
    for row in sweep(GOOD).decode().splitlines()[1:]:
        clock, rpm, torque = row.split(",")
        lines.append(",".join([clock, rpm, *("0" for _ in range(699)), torque]))
    page = hand_in(own_pages, [("wide.csv", "\n".join(lines).encode())])
    assert "302 further columns" in page.text
    page = send(own_pages, page, "look", {"f0.more": "extra 699 = torque in N m\nextra 1 ="})
    assert "1 pull found" in page.text
    assert len(page.text) < 400_000
    shown = fields(page.text)
    assert shown[f"f0.c{row_of(page, 'extra 699')}"] == "torque"
    assert shown[f"f0.u{row_of(page, 'extra 699')}"] == "N m"


def test_a_stay_is_left_and_is_gone(own_pages: TestClient, own_book: Path) -> None:
    before = names(own_book)
    page = hand_in(own_pages, [("a.csv", sweep())])
    stay = stay_of(page)
    assert stay.folder.stat().st_mode & 0o777 == 0o700
    assert fields(own_pages.get(f"/take/{stay.id}").text) == fields(page.text)
    assert send(own_pages, page, "leave").url.path == "/take"
    assert not stay.folder.exists()
    for address in (f"/take/{stay.id}", "/take/nobody", f"/take/{stay.id}/chart/0-0.json"):
        assert own_pages.get(address).status_code == 404
    assert own_pages.get("/take/%00%ff").status_code in (400, 404)
    assert names(own_book) == before


def test_a_look_can_be_cancelled(site: Site, own_book: Path) -> None:
    client: Any = site(own_book)
    works = client.app.state.shop.works
    answer = begun(client, [(f"{n}.csv", sweep(rows=4000)) for n in range(8)])
    id = answer.headers["location"].rpartition("/")[2]
    gone = posted(client, f"/works/{id}/cancel", {})
    assert works.get(id).running.wait(10).cancelled
    assert "Nothing of it was kept" in client.get(gone.headers["location"]).text
    page = client.get(works.get(id).then)
    assert "not looked at to the end" in page.text
    again = send(client, page, "look")
    assert again.text.count("Cannot be kept like this") == 8


def test_another_book_knows_nothing_of_a_stay(own_pages: TestClient, site: Site, demo_book: Path) -> None:
    page = hand_in(own_pages, [("a.csv", sweep())])
    assert site(demo_book).get(f"/take/{stay_of(page).id}").status_code == 404


def test_nothing_changes_without_the_token(own_pages: TestClient) -> None:
    assert own_pages.post("/take", files=[("files", ("a.csv", b"x"))]).status_code == 403
    page = hand_in(own_pages, [("a.csv", sweep())])
    assert own_pages.post(f"/take/{stay_of(page).id}", data={"do": "leave"}).status_code == 403
    assert stay_of(page).folder.is_dir()


@pytest.mark.parametrize("said", ["\x00\ud800 =1+1 <script>alert(1)</script>", "a" * 5000])
def test_whatever_is_typed_comes_back_as_words(own_pages: TestClient, said: str) -> None:
    page = hand_in(own_pages, [("good.csv", sweep(GOOD))])
    said = said.encode("utf-8", "replace").decode()
    fill = dict.fromkeys(fields(page.text), said)
    fill |= {name: value for name, value in fields(page.text).items() if name[-5:] in (".name", ".mark", "token")}
    answer = send(own_pages, page, "look", fill)
    assert answer.status_code in (200, 422)
    assert "<script>alert" not in answer.text
    assert settled(own_pages, own_pages.get(f"/take/{stay_of(page).id}")).status_code == 200
