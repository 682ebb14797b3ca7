"""Settings, channels, checks and back-ups as pages."""

from __future__ import annotations

import io
import re
import tarfile
import time
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from fairpull.tasks.bench import last_check
from fairpull.tasks.bench.door import house_settings, the_book
from fairpull.tasks.bench.own_channels import OwnName, own_names, write_own_names
from fairpull.terms.bench import BookCheck
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.glossary import BY_NAME
from tests.web.conftest import posted


def house(folder: Path) -> dict[str, str]:
    with the_book(folder, read_only=True) as kept:
        return house_settings(kept)


def worked(client: TestClient, answer: Any, seconds: float = 60.0) -> Any:
    """Wait for the work that an answer leads to; its entry."""
    assert answer.status_code == 303
    page, _, id = answer.headers["location"].rpartition("/")
    assert page == "/works"
    entry = client.app.state.shop.works.get(id)  # type: ignore[attr-defined]
    until = time.monotonic() + seconds
    while not entry.state().ended and time.monotonic() < until:
        time.sleep(0.05)
    assert entry.state().ended
    return entry


def test_the_page_shows_what_is_set_and_what_could_be(pages: TestClient) -> None:
    html = pages.get("/settings").text
    assert '<option value="us" selected>' in html
    for word in (
        "SAE J1349",
        "anvil-header",
        "day-1",
        "Smallest difference worth having",
        "fairpull book export FOLDER",
    ):
        assert word in html
    assert "whoever sits at it may read and write" in html


def test_changes_are_saved_and_the_page_says_so(own_pages: TestClient, own_book: Path) -> None:
    typed = {"units": "metric", "band": "1800-4600 rpm", "smallest": "2 %", "grid": "200 rpm", "fitted": "anvil-header"}
    answer = posted(own_pages, "/settings", typed)
    assert (answer.status_code, answer.headers["location"]) == (303, "/settings?saved=yes")
    assert {key: house(own_book)[key] for key in typed} == typed
    html = own_pages.get(answer.headers["location"]).text
    assert "Saved." in html
    assert '<option value="metric" selected>' in html
    again = posted(own_pages, "/settings", {**typed, "band": ""})
    assert again.status_code == 303
    assert house(own_book)["band"] == ""


def test_a_refusal_stands_beside_its_field_and_keeps_what_was_typed(own_pages: TestClient, own_book: Path) -> None:
    before = house(own_book)
    typed = {"units": "metric", "grid": "<b>5</b> kg", "band": "4600-1800", "fitted": "none such", "smallest": "3 %"}
    answer = posted(own_pages, "/settings", typed)
    assert answer.status_code == 422
    assert house(own_book) == before
    html = answer.text
    assert 'value="&lt;b&gt;5&lt;/b&gt; kg"' in html
    assert "<b>5" not in html
    assert 'value="4600-1800"' in html
    assert 'value="3 %"' in html
    assert '<option value="metric" selected>' in html
    assert '<option value="none such" selected>' in html
    for key in ("grid", "band", "fitted"):
        assert re.search(
            rf'name="{key}"[^>]*aria-describedby="about-{key} wrong-{key}-1"[^>]*aria-invalid="true"', html
        )
        assert f'id="wrong-{key}-1"' in html
    assert 'id="wrong-smallest-1"' not in html


def test_another_standard_is_long_work_that_corrects_every_pull(own_pages: TestClient, own_book: Path) -> None:
    with the_book(own_book, read_only=True) as kept:
        before = {line.name: line.summary["peak_power"] for line in kept.pulls()}
    entry = worked(own_pages, posted(own_pages, "/settings", {"standard": "sae-j607", "smallest": "2 %"}))
    assert entry.state().faults == ()
    assert entry.next_page() == "/settings?saved=standard"
    assert (house(own_book)["standard"], house(own_book)["smallest"]) == ("sae-j607", "2 %")
    with the_book(own_book, read_only=True) as kept:
        after = {line.name: line.summary["peak_power"] for line in kept.pulls()}
    assert all(after[name] > value for name, value in before.items())


@pytest.mark.parametrize(("chosen", "mark"), [("dark", 'data-theme="dark"'), ("light", 'data-theme="light"')])
def test_light_and_dark_are_a_choice_of_this_screen(own_pages: TestClient, chosen: str, mark: str) -> None:
    answer = posted(own_pages, "/settings/look", {"look": chosen})
    assert answer.status_code == 303
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "samesite=lax" in cookie.lower()
    html = own_pages.get("/settings").text
    assert mark in html
    assert re.search(rf'value="{chosen}" checked', html)
    assert posted(own_pages, "/settings/look", {"look": "auto"}).status_code == 303
    assert "data-theme" not in own_pages.get("/settings").text
    assert posted(own_pages, "/settings/look", {"look": "pink; path=/"}).status_code == 422


def test_the_glossary_lists_every_channel_and_can_be_searched(pages: TestClient) -> None:
    html = pages.get("/settings/channels").text
    assert all(f'id="channel-{name}"' in html for name in BY_NAME)
    assert "-150 to 3,690 lb-ft" in html
    found = pages.get("/settings/channels", params={"q": "egt"}).text
    assert 'id="channel-exhaust_temperature"' in found
    assert 'id="channel-torque"' not in found
    nothing = pages.get("/settings/channels", params={"q": '"><script>'}).text
    assert "No channel has all of these words" in nothing
    assert "<script>" not in nothing


def rows(*cells: tuple[str, str, str]) -> dict[str, Any]:
    return {key: [one[number] for one in cells] for number, key in enumerate(("name", "channel", "unit"))}


def test_own_names_are_added_changed_and_removed(own_pages: TestClient, own_book: Path) -> None:
    page = "/settings/channels"
    added = posted(
        own_pages,
        page,
        {"mark": "", **rows(("Ch07 Brk", "torque", "N m"), ("Spare <1>", "leave aside", ""), ("", "", ""))},
        page=page,
    )
    assert (added.status_code, added.headers["location"]) == (303, "/settings/channels?saved=yes")
    found = own_names(own_book)
    assert found.rows == (OwnName("Ch07 Brk", "torque", "N m"), OwnName("Spare <1>", "leave aside"))
    html = own_pages.get(added.headers["location"]).text
    assert 'value="Spare &lt;1&gt;"' in html
    assert found.mark in html
    changed = posted(
        own_pages,
        page,
        {"mark": found.mark, "remove": "2", **rows(("Ch07 Brk", "power", "hp"), ("Spare <1>", "leave aside", ""))},
        page=page,
    )
    assert changed.status_code == 303
    assert own_names(own_book).rows == (OwnName("Ch07 Brk", "power", "hp"),)


def test_a_refusal_stands_in_its_row_under_the_number_shown(own_pages: TestClient, own_book: Path) -> None:
    page = "/settings/channels"
    sent = rows(("A", "torque", ""), ("", "", ""), ("B", "torqe", ""), ("C", "power", "degC"), ("A", "rpm", ""))
    answer = posted(own_pages, page, {"mark": "", "remove": "1", **sent}, page=page)
    assert answer.status_code == 422
    html = answer.text
    assert re.search(r'id="channel-3"[^>]*value="torqe"[^>]*aria-describedby="wrong-channel-3"', html)
    assert re.search(r'id="unit-4"[^>]*value="degC"[^>]*aria-describedby="wrong-unit-4"', html)
    assert re.search(r'name="remove" value="1" checked', html)
    assert "nearest: torque" in html
    assert html.count('id="wrong-') == 2
    assert own_names(own_book).rows == ()


def test_a_change_of_somebody_else_is_not_lost(own_pages: TestClient, own_book: Path) -> None:
    page = "/settings/channels"
    write_own_names(own_book, [OwnName("Theirs", "torque")], "")
    answer = posted(own_pages, page, {"mark": "", **rows(("Mine", "power", ""))}, page=page)
    assert answer.status_code == 422
    assert "somebody changed it" in answer.text
    assert 'value="Mine"' in answer.text
    assert [one.column for one in own_names(own_book).rows] == ["Theirs"]


def test_a_broken_file_is_told_and_never_written_over(own_pages: TestClient, own_book: Path) -> None:
    place = own_book / "channels.toml"
    place.write_text('"A" = "no_such_channel"', "utf-8")
    html = own_pages.get("/settings/channels").text
    assert "cannot be read" in html
    assert "no_such_channel" in html
    answer = posted(own_pages, "/settings/channels", {"mark": "", **rows(("Mine", "power", ""))})
    assert answer.status_code == 422
    assert place.read_text("utf-8") == '"A" = "no_such_channel"'


@pytest.mark.parametrize(
    "data",
    [
        {},
        {"name": ["a", "b"], "channel": "torque", "unit": ""},
        {"mark": "x" * 500, **rows(("a", "torque", ""))},
        {"mark": "", **rows(("a" * 5000, "t" * 5000, "u" * 5000))},
        {
            "mark": "",
            "remove": ["-1", "x", "9" * 900],
            **rows(("\x00", "\ud800".encode("utf-8", "replace").decode(), "\u202e")),
        },
        {"mark": "", **rows(*[(f"c{number}", "torque", "") for number in range(400)])},
    ],
)
def test_strange_forms_are_refused_or_harmless(own_pages: TestClient, own_book: Path, data: dict[str, Any]) -> None:
    answer = posted(own_pages, "/settings/channels", data)
    assert answer.status_code in (303, 400, 422)
    assert own_names(own_book).rows == ()


def test_a_check_is_started_shown_and_remembered(own_pages: TestClient, own_book: Path) -> None:
    assert "No check was made" in own_pages.get("/settings/check").text
    entry = worked(own_pages, posted(own_pages, "/settings/check", {"depth": "files"}))
    assert entry.state().faults == ()
    assert entry.next_page() == "/settings/check"
    html = own_pages.get("/settings/check").text
    assert "The book is sound." in html
    assert "files and rows only" in html
    found = Finding("original-missing", Severity.FAULT, "original <x>", "The file is not there.", "Put it back.")
    last_check.remember(own_book, BookCheck((found,), {"originals": 7}), whole=True)
    html = own_pages.get("/settings/check").text
    assert "The book is damaged: 1 fault." in html
    assert "original &lt;x&gt;" in html
    assert "originals were read and results computed again" in html


def test_a_back_up_is_made_in_a_private_place_and_taken_away(own_pages: TestClient, own_book: Path) -> None:
    entry = worked(own_pages, posted(own_pages, "/settings/backup", {"target": "/etc/passwd", "file": "../x.tar"}))
    assert entry.state().faults == ()
    there = entry.next_page()
    assert re.fullmatch(r"/settings/backup/[\w-]{20,}", there)
    html = own_pages.get(there).text
    assert "It is made" in html
    answer = own_pages.get(f"{there}/file")
    assert answer.status_code == 200
    assert answer.headers["content-disposition"].startswith("attachment")
    with tarfile.open(fileobj=io.BytesIO(answer.content)) as archive:
        names = archive.getnames()
    assert "files/book.sqlite" in names
    assert not any("shop.toml" in name for name in names)


@pytest.mark.parametrize("id", ["x", "..%2f..%2fbook.toml", "%00", "a" * 64, "a" * 65, "%F0%9F%98%80"])
def test_other_ids_are_no_back_up(pages: TestClient, id: str) -> None:
    for address in (f"/settings/backup/{id}", f"/settings/backup/{id}/file"):
        assert pages.get(address).status_code in (400, 404, 422)
