"""The comparison's page: verdict on top, its address holds everything, and every number opens."""

from __future__ import annotations

import re
from pathlib import Path
from urllib.parse import parse_qsl, urlsplit

import pytest
from html5lib import HTMLParser
from starlette.testclient import TestClient

from fairpull import book
from fairpull.terms.bench import Sheet
from tests.web.conftest import Site, posted

PAIR = "/compare?of=anvil-log&of=anvil-header"


def _text(html: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html).replace("\u00a0", " ").replace("&nbsp;", " "))


@pytest.mark.parametrize(
    "url",
    [
        "/compare",
        PAIR,
        f"{PAIR}&of=anvil-cam-b&units=metric&band=2000-4000",
        "/compare?of=wren-plain&of=wren-centrifugal&of=wren-screw",
        "/compare?of=anvil-header&of=wren-screw",
        "/compare?of=anvil-lg&of=anvil-header",
    ],
)
def test_every_page_is_valid_and_repeats_no_id(pages: TestClient, url: str) -> None:
    html = pages.get(url).text
    parser = HTMLParser(strict=True)
    parser.parse(html)
    ids = re.findall(r'\sid="([^"]+)"', html)
    assert len(ids) == len(set(ids)), sorted(one for one in ids if ids.count(one) > 1)
    links = set(re.findall(r'href="#([^"]+)"', html))
    assert links <= set(ids)


def test_the_verdict_stands_first_and_every_headline_number_opens(pages: TestClient) -> None:
    html = pages.get(PAIR).text
    verdict = html.index("anvil-header differs from anvil-log")
    assert verdict < html.index('id="chart-torque"') < html.index('id="ask"')
    assert [one.split()[0] for one in re.findall(r"<summary>How (.+?) was made<", html)[:3]] == ["+3.7", "+7.8", "+5.0"]
    assert "correction factors, anvil-log" in html
    assert "average of anvil-header / average of anvil-log - 1" in html


def test_every_row_by_rpm_leads_to_what_each_pull_gave(pages: TestClient) -> None:
    html = pages.get(PAIR).text
    assert 'href="#at-2000"' in html
    block = html[html.index('id="at-2000"') :]
    block = block[: block.index('id="at-2200"')]
    assert block.count('<th scope="row">anvil-log</th>') == 4
    assert block.count('<th scope="row">anvil-header</th>') == 3


def test_without_builds_it_offers_pairs_and_all_builds(pages: TestClient) -> None:
    html = pages.get("/compare").text
    assert "/compare?of=anvil-log&amp;of=anvil-header" in html
    assert html.count('type="checkbox"') == 8


def test_one_build_alone_brings_its_reference(pages: TestClient) -> None:
    html = pages.get("/compare?of=anvil-header").text
    assert "anvil-header differs from anvil-log" in html


def test_the_form_leads_to_the_shortest_address(pages: TestClient) -> None:
    sent = f"{PAIR}&of=&band-low=2000&band-high=4000&smallest=&standard=&units=metric&leave_pull=&leave_reason="
    answer = pages.get(sent, follow_redirects=False)
    assert answer.status_code == 303
    assert answer.headers["location"] == f"{PAIR}&band=2000-4000&units=metric"
    assert pages.get(answer.headers["location"], follow_redirects=False).status_code == 200


def test_a_band_chosen_on_the_page_says_so_and_the_declared_one_does_not(pages: TestClient) -> None:
    assert "was chosen on this page" in _text(pages.get(f"{PAIR}&band=2000-4000").text)
    assert "was chosen on this page" not in _text(pages.get(f"{PAIR}&band=1800-4600").text)
    assert "was chosen on this page" not in _text(pages.get(PAIR).text)


def test_builds_move_up_and_down_and_out(pages: TestClient) -> None:
    html = pages.get(f"{PAIR}&of=anvil-cam-b&band=2000-4000").text
    found = {link.replace("&amp;", "&") for link in re.findall(r'href="(/compare\?[^"]+)"', html)}
    orders = [[value for name, value in parse_qsl(urlsplit(link).query) if name == "of"] for link in found]
    assert ["anvil-header", "anvil-log", "anvil-cam-b"] in orders
    assert ["anvil-log", "anvil-cam-b", "anvil-header"] in orders
    assert ["anvil-log", "anvil-cam-b"] in orders


def test_a_pull_is_left_out_with_a_reason_and_counted_again(pages: TestClient) -> None:
    name = re.findall(r'<option value="([^"]+)">', pages.get(PAIR).text.split('id="leave-pull"')[1])[0]
    refused = pages.get(f"{PAIR}&leave_pull={name}&leave_reason=")
    assert refused.status_code == 422
    assert "without a reason" in refused.text
    done = pages.get(f"{PAIR}&leave_pull={name}&leave_reason=cold+oil")
    assert done.status_code == 200
    assert "leave_out=" in str(done.url)
    assert f"{name}: cold oil" in _text(done.text)
    assert "3 + 3" in _text(done.text)


@pytest.mark.parametrize(
    ("url", "status", "said"),
    [
        ("/compare?of=anvil-lg&of=anvil-header", 404, "anvil-log"),
        ("/compare?of=anvil-log", 422, "names no reference"),
        (f"{PAIR}&band=4000-2000", 422, "two ascending speeds"),
        (f"{PAIR}&band-low=2000", 422, "both ends"),
        (f"{PAIR}&band=9000-9900", 422, "9"),
        (f"{PAIR}&standard=mine", 404, "sae-j1349"),
        (f"{PAIR}&smallest=nan", 422, "smallest"),
        (f"{PAIR}&seed=-1", 422, "whole number"),
        (f"{PAIR}&step=1", 422, "or more on a page"),
        (f"{PAIR}&step=1e400", 422, "grid"),
        (f"{PAIR}&leave_out=nobody=why", 404, "none of these builds"),
        (f"{PAIR}&leave_out==", 422, "no reason"),
    ],
)
def test_what_cannot_be_is_said_above_the_form_with_what_was_typed(
    pages: TestClient, url: str, status: int, said: str
) -> None:
    answer = pages.get(url)
    assert answer.status_code == status
    assert said in answer.text.replace("&#39;", "'")
    assert 'id="ask"' in answer.text
    for name, value in parse_qsl(urlsplit(url).query):
        if name == "of":
            assert f'name="of" value="{value}"' in answer.text


def test_too_many_builds_are_refused_with_a_split(pages: TestClient) -> None:
    names = "&".join(f"of=b{place}" for place in range(12))
    answer = pages.get(f"/compare?{names}")
    assert answer.status_code == 422
    splits = [one.replace("&amp;", "&") for one in re.findall(r'<li><a href="([^"]+)" class="long">', answer.text)]
    assert [link.count("of=") for link in splits] == [8, 5]
    assert all("of=b0&" in link for link in splits)


def test_hostile_and_long_names_stay_words(site: Site, own_book: Path) -> None:
    name = "<script>alert(1)</script> " + "a very long name of a build " * 5
    with book.open_book(own_book) as kept:
        sheet = kept.sheet("build", "anvil-header")
        kept.keep([Sheet("build", name.strip(), {**sheet.body, "reference": "anvil-log"})])
        for line in kept.pulls(builds=("anvil-header",)):
            kept.move(line.name, name.strip(), "renamed")
    client = site(own_book)
    for url in ("/compare", "/compare?of=anvil-log&of=" + name.strip()):
        html = client.get(url).text
        assert "<script>alert" not in html
        assert "&lt;script&gt;" in html


def test_a_result_is_kept_under_a_name_and_never_written_over(own_pages: TestClient) -> None:
    keep = "/compare/keep?of=anvil-log&of=anvil-header"
    first = posted(own_pages, keep, {"name": "main verdict"}, page=PAIR)
    assert first.status_code == 303
    assert first.headers["location"] == "/results/main%20verdict"
    other = posted(own_pages, f"{keep}&band=2000-4000", {"name": "main verdict"}, page=PAIR)
    assert other.status_code == 422
    assert 'value="main verdict"' in other.text
    empty = posted(own_pages, keep, {"name": " "}, page=PAIR)
    assert empty.status_code == 422
    assert "short name" in empty.text


def test_a_mark_shows_at_once(own_pages: TestClient, own_book: Path) -> None:
    assert "3 + 4" in _text(own_pages.get(PAIR).text)
    with book.open_book(own_book) as kept:
        line = kept.pulls(builds=("anvil-header",), states=("counts",))[0]
        kept.mark(line.name, "set aside", "smoke")
    assert "2 + 4" in _text(own_pages.get(PAIR).text)


def test_every_standard_is_a_link_that_switches(pages: TestClient) -> None:
    html = pages.get(PAIR).text
    assert f"{PAIR}&amp;standard=sae-j607".replace("?of=anvil-log&of", "?of=anvil-log&amp;of") in html
    assert "corrected by sae-j607" in pages.get(f"{PAIR}&standard=sae-j607").text


def test_more_pulls_than_a_page_can_wait_for_are_refused(pages: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("fairpull.web.compare_ask.MOST_PULLS", 6)
    answer = pages.get(PAIR)
    assert answer.status_code == 422
    assert "7 pulls count" in answer.text
