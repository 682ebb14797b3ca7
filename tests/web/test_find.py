"""Find and the list of pulls."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import quote

import pytest
from starlette.testclient import TestClient

from fairpull.show.bench_text import pull_table
from fairpull.tasks.bench.door import the_book
from fairpull.tasks.bench.lists import find_pulls
from tests.web.conftest import Site
from tests.web.test_today import HOSTILE, valid

ODD = [
    "%",
    "_",
    "'",
    '"',
    "\\",
    "\u202e",
    HOSTILE,
    "a" * 390,
    "((((",
    "a = ",
    "> 5",
    "date > 99999-1-1",
]


@pytest.mark.parametrize(
    "q", ["", "header", "zzzz", "anvil-haeder", "heat-soak", "peak power > 150 hp", "peak powr > 1 hp", *ODD]
)
def test_every_answer_is_valid_and_escaped(pages: TestClient, q: str) -> None:
    answer = pages.get("/find?q=" + quote(q, errors="surrogatepass"))
    assert answer.status_code == 200
    valid(answer.text)
    assert "<script>alert" not in answer.text


def test_hits_by_kind_with_links_and_the_words_marked(pages: TestClient) -> None:
    text = pages.get("/find?q=header").text
    assert 'href="/sheets/build/anvil-header"' in text
    assert 'href="/pulls/07-1250-tube-header"' in text
    assert "<mark>header</mark>" in text


def test_one_kind_in_full(pages: TestClient) -> None:
    some = pages.get("/find?q=anvil").text
    rest = some.split('">All ')[0].rpartition('href="')[2].replace("&amp;", "&")
    assert rest.startswith("/find?q=anvil&kind=")
    text = pages.get(rest).text
    assert text.count('<h2 id="found-') == 1
    assert text.count("<li>") > some[some.index(f'id="found-{rest.rpartition("=")[2]}"') :].split("</ul>")[0].count(
        "<li>"
    )


def test_a_search_sentence_leads_to_its_pulls(pages: TestClient, demo_book: Path) -> None:
    asked = "peak power > 150 hp and state = counts"
    text = pages.get("/find", params={"q": asked}).text
    with the_book(demo_book, read_only=True) as kept:
        found = find_pulls(kept, asked)
    assert f"{len(found)} pulls that fit" in text
    address = text.split("pulls that fit")[0].rpartition('href="')[2].split('"')[0].replace("&amp;", "&")
    listed = pages.get(address).text
    assert f"{len(found)} pulls, newest" in listed
    assert all(line.name in listed for line in found)


def test_nothing_found_offers_names_and_says_how(pages: TestClient) -> None:
    text = pages.get("/find?q=anvil-haeder").text
    assert 'href="/sheets/build/anvil-header"' in text
    assert "How to look" in text


def test_without_a_book_both_lead_to_the_first_page(site: Site, tmp_path: Path) -> None:
    client = site(tmp_path / "none")
    for url in ("/find?q=x", "/pulls"):
        assert client.get(url, follow_redirects=False).headers["location"] == "/first"


@pytest.mark.parametrize("units", ["us", "metric"])
def test_the_list_is_that_of_the_terminal(pages: TestClient, demo_book: Path, units: str) -> None:
    text = pages.get(f"/pulls?units={units}").text
    valid(text)
    with the_book(demo_book, read_only=True) as kept:
        table = pull_table(find_pulls(kept), units)
    for row in table.rows:
        assert all(cell in text for cell in (row[3], row[4], row[6].rstrip("*\u00a0")))
    assert 'href="/pulls/02-0940-log-baseline"' in text


def test_the_list_by_build_and_state(pages: TestClient) -> None:
    text = pages.get("/pulls?build=anvil-header&state=set+aside").text
    assert "09-1325" in text
    assert "11-1428" in text
    assert "10-1420" not in text
    assert "<option selected>anvil-header" in text


def test_the_list_by_pages(pages: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("fairpull.web.pages.pulls_list.LINES", 8)
    seen: list[str] = []
    url = "/pulls"
    while url:
        text = pages.get(url).text
        seen += [one.split('"')[0] for one in text.split('href="/pulls/')[1:]]
        url = text.split('rel="next" href="')[1].split('"')[0] if 'rel="next"' in text else ""
    assert len(seen) == len(set(seen)) == 20
    assert seen[0].startswith("20-")
    assert seen[-1].startswith("01-")


@pytest.mark.parametrize(
    "query",
    ["where=peak+powr+%3E+5", "build=nobody", "state=fine", "from=-1", "from=x", "where=%01", "where=build+%3D+anvil"],
)
def test_what_cannot_be_understood_is_refused_in_place(pages: TestClient, query: str) -> None:
    answer = pages.get(f"/pulls?{query}")
    assert answer.status_code == 422
    valid(answer.text)
    assert 'role="alert"' in answer.text


def test_far_behind_the_end_there_is_nothing(pages: TestClient) -> None:
    assert "No pull fits" in pages.get("/pulls?from=9999999999").text
