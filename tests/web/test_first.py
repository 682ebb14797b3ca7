"""The first run: from no book at all to a day on the bench."""

from __future__ import annotations

import re
import time
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from fairpull.book import find_book, open_book
from fairpull.tasks.apart.works.demo import MAKING, move_book
from fairpull.tasks.apart.works.demo import work as make_demo
from fairpull.tasks.apart.works.new_book import work as make_empty
from fairpull.tasks.bench.door import the_book
from fairpull.terms.errors import BookRefused
from tests.web.conftest import Site, posted
from tests.web.test_today import valid


def silent(done: int, total: int, what: str) -> None:
    """Nobody listens."""


def ended(client: TestClient, url: str) -> None:
    works = client.app.state.shop.works  # type: ignore[attr-defined]
    entry = works.get(url.rpartition("/")[2])
    until = time.monotonic() + 60
    while not entry.state().ended:
        assert time.monotonic() < until
        time.sleep(0.05)


def test_the_door_leads_to_the_first_page_or_to_today(site: Site, demo_book: Path, tmp_path: Path) -> None:
    for folder, where in ((tmp_path / "none", "/first"), (demo_book, "/today")):
        answer = site(folder).get("/", follow_redirects=False)
        assert (answer.status_code, answer.headers["location"]) == (303, where)


def test_the_page_says_what_the_book_is_and_offers_two(site: Site, tmp_path: Path) -> None:
    text = site(tmp_path / "none").get("/first").text
    valid(text)
    assert "The bench book keeps every pull" in text
    assert text.count('<form method="post" action="/first">') == 2
    assert not re.search(r'<input[^>]+type="text"', text)  # where it lies is never typed here
    assert str(tmp_path) not in text


def test_with_a_book_it_leads_on(pages: TestClient) -> None:
    text = pages.get("/first").text
    valid(text)
    assert 'href="/today"' in text
    assert 'action="/first"' not in text


def test_an_empty_book_is_made_and_opened(site: Site, tmp_path: Path) -> None:
    client = site(tmp_path / "book")
    answer = posted(client, "/first", {"what": "empty", "units": "metric"}, page="/first")
    assert answer.status_code == 303
    ended(client, answer.headers["location"])
    with the_book(tmp_path / "book", read_only=True) as kept:
        assert kept.settings()["units"] == "metric"
    assert client.get("/", follow_redirects=False).headers["location"] == "/today"
    assert "no-build" in client.get("/today").text


@pytest.mark.parametrize("data", [{"what": "empty"}, {"what": "other", "units": "us"}, {"units": "x", "what": "demo"}])
def test_a_choice_that_is_none_is_refused_with_the_form(site: Site, tmp_path: Path, data: dict[str, str]) -> None:
    answer = posted(site(tmp_path / "none"), "/first", data, page="/first")
    assert answer.status_code == 422
    valid(answer.text)
    assert 'role="alert"' in answer.text
    assert not (tmp_path / "none").exists()


def test_a_book_is_not_made_twice(pages: TestClient) -> None:
    answer = posted(pages, "/first", {"what": "demo", "units": "us"})
    assert answer.status_code == 422


def test_the_demo_lands_where_the_book_is_wanted(tmp_path: Path) -> None:
    folder = tmp_path / "book"
    told: list[str] = []
    made = make_demo({"folder": str(folder), "units": "metric"}, lambda done, total, what: told.append(what))
    assert made == {"book": str(folder), "pulls": 20}
    assert len(told) >= 20
    assert find_book(folder) == folder
    assert not (folder / MAKING).exists()
    with open_book(folder) as kept:
        assert kept.settings()["units"] == "metric"
        assert kept.check().findings == ()
    with pytest.raises(BookRefused):
        make_demo({"folder": str(folder)}, silent)
    with pytest.raises(BookRefused):
        make_empty({"folder": str(folder), "units": "us"}, silent)


def test_other_peoples_files_are_never_moved_over(tmp_path: Path) -> None:
    folder = tmp_path / "mine"
    (folder / "originals").mkdir(parents=True)
    (folder / "originals" / "letter.txt").write_text("keep me", "utf-8")
    with pytest.raises(BookRefused):
        make_demo({"folder": str(folder)}, silent)
    assert (folder / "originals" / "letter.txt").read_text("utf-8") == "keep me"
    made = tmp_path / "made"
    (made / "originals").mkdir(parents=True)
    with pytest.raises(OSError, match="not empty"):
        move_book(made, folder)
