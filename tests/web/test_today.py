"""Today: what was pulled, the verdict, the next step; live, and readable from across the room."""

from __future__ import annotations

import time
from pathlib import Path

import html5lib
import pytest
from starlette.testclient import TestClient

from fairpull.show.bench_text import pull_table
from fairpull.show.comparison_text import comparison_text
from fairpull.tasks.bench import watch as watching
from fairpull.tasks.bench.compare_builds import compare_builds
from fairpull.tasks.bench.door import new_book, the_book
from fairpull.terms.bench import SET_ASIDE
from fairpull.terms.looking import NextStep
from fairpull.web.pages.today import address
from fairpull.web.shop import Shop
from tests.web.conftest import Site

FIRST_DAY = "/today?day=2026-05-23"
HTMX = {"hx-request": "true"}
HOSTILE = '<script>alert("x")</script>'


def valid(text: str) -> None:
    parser = html5lib.HTMLParser(strict=False, tree=html5lib.getTreeBuilder("etree"), namespaceHTMLElements=False)
    tree = parser.parse(text)
    assert parser.errors == []
    ids = [one.get("id") for one in tree.iter() if one.get("id")]
    assert len(ids) == len(set(ids))
    for one in tree.iter():
        assert "style" not in one.attrib
        assert not any(str(name).startswith("on") for name in one.attrib)


def shop_of(client: TestClient) -> Shop:
    shop: Shop = client.app.state.shop  # type: ignore[attr-defined]
    return shop


def poll_of(text: str) -> str:
    return text.split('id="bench-day" data-hx-get="')[1].split('"')[0].replace("&amp;", "&")


@pytest.mark.parametrize("url", ["/today", FIRST_DAY, "/today?big=1", FIRST_DAY + "&big=1", "/today?day=2001-01-01"])
@pytest.mark.parametrize("units", ["us", "metric"])
def test_every_form_of_it_is_valid_html(pages: TestClient, url: str, units: str) -> None:
    answer = pages.get(
        url, params={"units": units} | dict(one.split("=") for one in url.partition("?")[2].split("&") if one)
    )
    assert answer.status_code == 200
    valid(answer.text)


def test_where_nothing_was_pulled_today_it_says_so(pages: TestClient) -> None:
    text = pages.get("/today").text
    assert "Nothing was pulled today" in text
    assert "24 May 2026" in text
    assert 'rel="prev" href="/today?day=2026-05-23"' in text


def test_newest_first_findings_before_numbers(pages: TestClient) -> None:
    text = pages.get(FIRST_DAY).text
    names = ["12-1610", "11-1428", "10-1420", "09-1325", "08-1305", "07-1250", "02-0940", "01-0910"]
    places = [text.index(f'href="/pulls/{name}') for name in names]
    assert places == sorted(places)
    starved = text[text.index('href="/pulls/09-1325') : text.index('href="/pulls/08-1305')]
    assert starved.index("set aside") < starved.index("sign-fuel-starvation") < starved.index("Peak torque")


@pytest.mark.parametrize("units", ["us", "metric"])
def test_the_numbers_are_those_of_the_list(pages: TestClient, demo_book: Path, units: str) -> None:
    text = pages.get(FIRST_DAY, params={"day": "2026-05-23", "units": units}).text
    with the_book(demo_book, read_only=True) as kept:
        lines = kept.pulls_page(most=60)[0]
    assert lines
    for line in lines:
        table = pull_table([line], units)
        row = table.rows[0]
        if row[3] in text:
            assert f"{row[4]} {table.columns[4].unit} at {row[5]} rpm" in text


def test_the_verdict_is_the_one_of_the_comparison(pages: TestClient, demo_book: Path) -> None:
    """On the first day the engine went back to the log manifold: the header is the question."""
    text = pages.get(FIRST_DAY).text
    with the_book(demo_book, read_only=True) as kept:
        made = compare_builds(kept, ("anvil-log", "anvil-header"))
    sentence = made.comparison.differences[0].verdict.sentence
    assert sentence.replace("'", "&#39;") in text
    assert sentence in comparison_text(made.comparison, width=2000)
    assert "/compare?of=anvil-log&amp;of=anvil-header" in text


def test_big_numbers_are_few_and_the_same(pages: TestClient) -> None:
    small, big = pages.get(FIRST_DAY).text, pages.get(FIRST_DAY + "&big=1").text
    assert len(big) < len(small) / 2
    number = big.split('class="big-number">')[1].split("<")[0]
    assert f"{number} lb-ft" in small
    assert big.count('<span class="big-number') == 3
    assert 'class="big-verdict" data-verdict="differs">differs<' in big
    assert 'data-rule="' in big


def test_it_asks_every_few_seconds_and_hears_nothing_when_nothing_changed(
    own_pages: TestClient, own_book: Path
) -> None:
    text = own_pages.get("/today").text
    assert 'role="status" aria-live="polite"' in text
    url = poll_of(text)
    assert own_pages.get(url, headers=HTMX).status_code == 204
    with the_book(own_book) as kept:
        kept.mark("20-1705-blower-d", SET_ASIDE, "the belt slipped")
    changed = own_pages.get(url, headers=HTMX)
    assert changed.status_code == 200
    assert changed.text.lstrip().startswith('<div id="bench-day"')
    assert "the belt slipped" in changed.text
    assert 'hx-swap-oob="innerHTML:#live-said"' in changed.text
    assert own_pages.get(poll_of(changed.text), headers=HTMX).status_code == 204
    assert "<html" in own_pages.get(url).text  # the same address without the script is the whole page


def test_a_day_that_was_asked_for_stands_still(pages: TestClient) -> None:
    assert "hx-trigger" not in pages.get(FIRST_DAY).text


def test_many_pulls_are_compared_after_the_page_has_come(pages: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("fairpull.tasks.bench.today.QUICK", 1)
    text = pages.get(FIRST_DAY).text
    valid(text)
    assert 'hx-trigger="load"' in text
    plain = text.split('">Work it out</a>')[0].rpartition('href="')[2].replace("&amp;", "&")
    assert "differs from anvil-log" in pages.get(plain).text


@pytest.mark.parametrize("day", ["2026-13-01", "yesterday", "\u202e", "0000-00-00", "2026-05-23x"])
def test_a_day_that_is_none_is_refused(pages: TestClient, day: str) -> None:
    answer = pages.get("/today", params={"day": day})
    assert answer.status_code == 422
    assert "2026-05-23" in answer.text


@pytest.mark.parametrize("day", ["0001-01-01", "9999-12-31"])
def test_the_ends_of_the_calendar_are_days(pages: TestClient, day: str) -> None:
    assert pages.get("/today", params={"day": day}).status_code == 200


def test_an_empty_book_says_what_comes_first(site: Site, tmp_path: Path) -> None:
    new_book(tmp_path / "book").close()
    for url in ("/today", "/today?big=1"):
        text = site(tmp_path / "book").get(url).text
        valid(text)
        assert 'data-rule="no-build"' in text
        assert '/sheets/engine/new"' in text


def test_without_a_book_it_leads_to_the_first_page(site: Site, tmp_path: Path) -> None:
    answer = site(tmp_path / "none").get("/today", follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/first")


def test_what_a_watched_folder_brings_appears_by_itself(
    own_pages: TestClient, demo_in_files: object, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(watching, "EVERY", 0.02)
    monkeypatch.setattr("fairpull.tasks.bench.arrivals.QUIET", 0.1)
    inbox = tmp_path / f"inbox{HOSTILE[:8]}"
    inbox.mkdir()
    shop_of(own_pages).watch(inbox, "anvil-header")
    url = poll_of(own_pages.get("/today").text)
    (inbox / "bad<b>.csv").write_text("no log\n", "utf-8")
    until, text = time.monotonic() + 20, ""
    while "bad&lt;b&gt;" not in text:
        assert time.monotonic() < until
        time.sleep(0.1)
        answer = own_pages.get(url, headers=HTMX)
        if answer.status_code == 200:
            text, url = answer.text, poll_of(answer.text)
    assert "bad&lt;b&gt;.csv" in text
    assert "<b>" not in text
    assert "<script>" not in text
    assert 'data-rule="refused"' in text
    assert 'href="#came"' in text
    valid(own_pages.get("/today").text)


def test_every_place_of_a_step_has_an_address() -> None:
    places = {
        ("take",): "/take",
        ("pull", "a/b"): "/pulls/a%2Fb",
        ("build", "x y"): "/take?build=x%20y",
        ("edit", "x"): "/sheets/build/x/edit",
        ("new", "engine"): "/sheets/engine/new",
        ("sheets", "build"): "/sheets/build",
        ("compare", "a", "b&c"): "/compare?of=a&of=b%26c",
        ("here", "came"): "#came",
    }
    for place, expected in places.items():
        assert address(NextStep("", "", "", place)) == expected
