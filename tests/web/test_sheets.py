"""Pages of engines, parts, builds and the other sheets: what they show, their forms, what is taken away from them."""

from __future__ import annotations

import csv
import html
import json
import re
import tomllib
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from fairpull.tasks.bench.door import the_book
from fairpull.tasks.bench.sheet_files import keep_sheets, sheet_text
from fairpull.terms.bench import SHEET_KINDS, Sheet
from tests.web.conftest import posted

Site = Callable[[Path], TestClient]
SCRIPT = "<script>alert(1)</script>"


class Fields(HTMLParser):
    """What a browser would send of the page's form."""

    def __init__(self) -> None:
        super().__init__()
        self.found: dict[str, str] = {}
        self._area = self._select = ""
        self._inside = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        if tag == "form":
            self._inside = told.get("method") == "post"
        if not self._inside:
            return
        if tag == "input" and told.get("name"):
            self.found[told["name"]] = told.get("value", "")
        if tag == "textarea":
            self._area = told["name"]
            self.found[self._area] = ""
        if tag == "select":
            self._select = told["name"]
            self.found[self._select] = ""
        if tag == "option" and "selected" in told:
            self.found[self._select] = told["value"]

    def handle_endtag(self, tag: str) -> None:
        self._area = "" if tag == "textarea" else self._area
        self._inside = self._inside and tag != "form"

    def handle_data(self, data: str) -> None:
        if self._area:
            self.found[self._area] += data.removeprefix("\n") if not self.found[self._area] else data


def fields_in(page: str) -> dict[str, str]:
    parser = Fields()
    parser.feed(page)
    return {name: value.replace("\n", "\r\n") for name, value in parser.found.items() if name != "token"}


def words_of(page: str) -> str:
    """What can be read of a page, without its tags."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).split())


@pytest.mark.parametrize("kind", SHEET_KINDS)
def test_lists_lead_to_every_sheet(pages: TestClient, demo_book: Path, kind: str) -> None:
    listed = pages.get(f"/sheets/{kind}").text
    with the_book(demo_book, read_only=True) as kept:
        names = [one.name for one in kept.sheets(kind)]
    for name in names:
        assert f'href="/sheets/{kind}/{name}"' in listed
        page = pages.get(f"/sheets/{kind}/{name}")
        assert page.status_code == 200
        assert f'<h1 class="long">{name}</h1>' in page.text


def test_the_list_says_how_often_a_part_is_used(pages: TestClient) -> None:
    said = words_of(pages.get("/sheets/part").text)
    assert "tube-header exhaust design tubular, primary diameter 1.38 in, primary length 42 in 2 5 1" in said
    assert "cam-b" not in pages.get("/sheets/part?part=exhaust").text


def test_a_build_shows_what_it_is_and_where_to_go(pages: TestClient) -> None:
    page = pages.get("/sheets/build/anvil-cam-b").text
    said = words_of(page)
    assert 'href="/compare?of=anvil-header&amp;of=anvil-cam-b"' in page
    assert 'href="/pulls?build=anvil-cam-b&amp;state=counts"' in page
    assert "2 counted pulls" in said
    assert "intake valve lift 0.440 in -> 0.480 in" in said
    assert "mean piston speed at peak power of anvil-cam-b 3,087 ft/min" in said
    assert "Source: Heywood (1988)" in said


def test_computed_values_in_both_unit_systems(pages: TestClient) -> None:
    us, metric = (words_of(pages.get(f"/sheets/engine/Anvil?units={system}").text) for system in ("us", "metric"))
    # pi / 4 x 3.455^2 x 3.900 x 6 = 219.38 in3 = 3.595 L
    assert "displacement 219.4 in3" in us
    assert "displacement 3.595 L" in metric
    assert "bore 3.455 in 87.76 mm" in metric
    assert "in your units" not in words_of(pages.get("/sheets/part/cam-b?units=us").text)


@pytest.mark.parametrize("kind", SHEET_KINDS)
def test_a_form_that_nobody_touched_makes_no_version(own_pages: TestClient, own_book: Path, kind: str) -> None:
    with the_book(own_book, read_only=True) as kept:
        names = [one.name for one in kept.sheets(kind)]
    for name in names:
        url = f"/sheets/{kind}/{name}/edit"
        answer = posted(own_pages, url, fields_in(own_pages.get(url).text))
        assert answer.headers["location"] == f"/sheets/{kind}/{name}?saved=unchanged"
    with the_book(own_book, read_only=True) as kept:
        assert {one.version for one in kept.sheets(kind)} == {1}


def test_duplicate_and_change_tells_what_was_changed(own_pages: TestClient) -> None:
    url = "/sheets/part/new?from=cam-b"
    typed = fields_in(own_pages.get(url).text)
    assert typed["name"] == "cam-b-2"
    answer = posted(own_pages, url, typed | {"name": "cam-c", "intake_valve_lift": "0.500 in"})
    assert answer.status_code == 303
    said = words_of(own_pages.get(answer.headers["location"]).text)
    assert "Kept as a new sheet." in said
    assert "Changed against cam-b" in said
    assert "intake valve lift 0.480 in 0.500 in +0.02 in" in said


def test_an_edit_is_a_new_version_and_the_old_one_stays(own_pages: TestClient) -> None:
    url = "/sheets/part/jets-68/edit"
    answer = posted(own_pages, url, fields_in(own_pages.get(url).text) | {"main": "69"})
    assert answer.headers["location"] == "/sheets/part/jets-68?saved=changed"
    said = words_of(own_pages.get(answer.headers["location"]).text)
    assert "version 2 of 2" in said
    assert "main 68 -> 69" in said
    assert "version 1 of 2" in words_of(own_pages.get("/sheets/part/jets-68?version=1").text)
    beside = words_of(own_pages.get("/sheets/part/jets-68/beside/jets-68?version=1&to=2").text)
    assert "main 68 69 +1" in beside
    text = own_pages.get("/sheets/part/jets-68.toml?version=1").text
    assert tomllib.loads(text)["main"] == "68"


def test_all_faults_at_once_and_what_was_typed_stays(own_pages: TestClient) -> None:
    url = "/sheets/part/new?part=head"
    typed = {
        "name": "cam-a",
        "intake_valve": "17",
        "material": f'iron "{SCRIPT}"',
        "notes": "first\nsecond",
        "more": 'flow = [["in", "cfm"], [0.1, 5], ["<b>", 6]]',
    }
    answer = posted(own_pages, url, typed)
    assert answer.status_code == 422
    again = fields_in(answer.text)
    assert {name: again[name].replace("\r\n", "\n") for name in typed} == typed
    said = words_of(answer.text)
    for part in ("there is a part of this name", "a length is wanted", "flow, row 3, lift", "flow stands without it"):
        assert part in said
    assert SCRIPT not in answer.text
    assert answer.text.count('aria-invalid="true"') == 4
    for described in re.findall(r'aria-describedby="([^"]+)"', answer.text):
        assert all(f'id="{one}"' in answer.text for one in described.split())


def test_a_part_is_made_on_the_way_to_a_build(own_pages: TestClient) -> None:
    edit = own_pages.get("/sheets/build/anvil-log/edit").text
    assert 'href="/sheets/part/new?back=anvil-log"' in edit
    url = "/sheets/part/new?part=jets&back=anvil-log"
    answer = posted(own_pages, url, fields_in(own_pages.get(url).text) | {"name": "jets-72", "main": "72"})
    assert answer.headers["location"] == "/sheets/build/anvil-log/edit?fit=jets-72"
    assert fields_in(own_pages.get(answer.headers["location"]).text)["parts.jets"] == "jets-72"
    assert fields_in(own_pages.get("/sheets/build/new?fit=jets-72").text)["parts.jets"] == "jets-72"


def test_the_way_back_stays_on_this_site(own_pages: TestClient) -> None:
    url = "/sheets/part/new?part=jets&back=https%3A%2F%2Felsewhere"
    answer = posted(own_pages, url, {"name": "jets-73", "main": "73"})
    assert answer.headers["location"] == "/sheets/build/https%3A%2F%2Felsewhere/edit?fit=jets-73"


def test_side_by_side_shows_only_what_differs(pages: TestClient) -> None:
    url = "/sheets/build/anvil-log/beside/anvil-header"
    said = words_of(pages.get(url).text)
    assert "exhaust log-manifold tube-header" in said
    assert "iron-head" not in said.replace("Show", "")
    every = words_of(pages.get(f"{url}?all=1").text)
    assert "head iron-head iron-head the same" in every
    assert "Only what differs" in every
    answer = pages.get("/sheets/build/anvil-log/with?other=anvil-header", follow_redirects=False)
    assert answer.headers["location"] == url


def test_charts_and_files(pages: TestClient) -> None:
    page = pages.get("/sheets/part/iron-head").text
    assert 'data-chart="/sheets/part/iron-head/chart/flow"' in page
    live = json.loads(pages.get("/sheets/part/iron-head/chart/flow.json").text)
    drawn = [row["value"] for rows in live["spec"]["datasets"].values() for row in rows if "said" in row]
    assert sorted(drawn)[-1] == pytest.approx(143.0)
    assert live["reading"]["rows"][0]["intake"] == "47.0 cfm"
    lines = [*csv.reader(pages.get("/sheets/part/iron-head/chart/flow.csv?units=metric").text.splitlines())]
    assert lines[0][1] == "lift [mm]"
    assert float(lines[1][2]) == pytest.approx(22.18, abs=0.01)
    for url in ("/sheets/part/cam-b/chart/cam.svg", "/sheets/build/anvil-log/chart/cam.svg?theme=dark&size=narrow"):
        assert pages.get(url).text.startswith("<svg")
    assert pages.get("/sheets/part/cam-b/chart/flow.svg").status_code == 404
    assert pages.get("/sheets/part/cam-b/chart/cam.exe").status_code == 404


def test_the_text_is_that_of_the_command(pages: TestClient, demo_book: Path) -> None:
    answer = pages.get("/sheets/part/cam-b.toml")
    with the_book(demo_book, read_only=True) as kept:
        assert answer.text == sheet_text(kept.sheet("part", "cam-b"))
    assert answer.headers["content-disposition"].startswith("attachment")


def test_papers_and_remarks(own_pages: TestClient, own_book: Path, tmp_path: Path) -> None:
    paper = tmp_path / "lobe <b>.png"
    paper.write_bytes(b"\x89PNG lobe")
    with the_book(own_book) as kept:
        laid = kept.attach(paper, ("part", "cam-a"), note="worn")
    page = own_pages.get("/sheets/part/cam-a").text
    assert f"/sheets/part/cam-a/papers/{laid.sha256}" in page
    assert "lobe &lt;b&gt;.png" in page
    answer = own_pages.get(f"/sheets/part/cam-a/papers/{laid.sha256}")
    assert answer.content == b"\x89PNG lobe"
    assert answer.headers["content-disposition"].startswith("attachment")
    for url in (
        f"/sheets/part/cam-b/papers/{laid.sha256}",
        f"/sheets/part/cam-a/papers/{'A' * 64}",
    ):
        assert own_pages.get(url).status_code == 404
    url = "/sheets/part/cam-a/remark"
    assert posted(own_pages, url, {"text": f"{SCRIPT} mind it", "by": "K. L."}).status_code == 303
    page = own_pages.get("/sheets/part/cam-a").text
    assert SCRIPT not in page
    assert "mind it" in page
    refused = posted(own_pages, url, {"text": "  ", "by": "K. L."})
    assert refused.status_code == 422
    assert 'value="K. L."' in refused.text


def test_hostile_names_and_values_are_only_words(site: Site, own_book: Path) -> None:
    name = f'{SCRIPT} "a/b" & c'
    with the_book(own_book) as kept:
        body = {"kind": "jets", "main": SCRIPT, "notes": "=1+1", "label": '" onload="x'}
        keep_sheets(
            kept, [Sheet("part", name, body), Sheet("build", name, {"engine": "Anvil", "parts": {"jets": name}})]
        )
    client = site(own_book)
    quoted = re.search(r'href="(/sheets/part/[^"]*script[^"]*)"', client.get("/sheets/part").text)
    assert quoted
    for url in (
        quoted[1],
        f"{quoted[1]}/edit",
        f"{quoted[1]}/beside/jets-68",
        f"/sheets/part/new?from={quoted[1][13:]}",
    ):
        answer = client.get(url)
        assert answer.status_code == 200, url
        assert SCRIPT not in answer.text
        assert "alert(1)" in answer.text
        assert 'label" onload' not in answer.text
    assert client.get(f"{quoted[1]}.toml").status_code == 200
    assert client.get("/sheets/build").status_code == 200


@pytest.mark.parametrize(
    "url",
    [
        "/sheets/wheel",
        "/sheets/wheel/new",
        "/sheets/part/none",
        "/sheets/part/none/edit",
        "/sheets/part/new?part=wheel",
        "/sheets/part/new?from=none",
        "/sheets/build/new?fit=none",
        "/sheets/part/cam-a?version=7",
        "/sheets/part/cam-a?version=x",
        "/sheets/part/cam-a/beside/none",
        "/sheets/part/cam-a/with",
        "/sheets/part/etc%2fpasswd",
        "/sheets/part/none.toml",
    ],
)
def test_what_is_not_there_is_said_so(pages: TestClient, url: str) -> None:
    assert pages.get(url).status_code == 404
