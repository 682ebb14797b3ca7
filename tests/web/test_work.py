"""The page of long work: progress, its end, its faults, and its being cancelled."""

from __future__ import annotations

import threading
import time
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from fairpull.tasks.apart import registry
from fairpull.tasks.apart.running import State
from fairpull.terms.errors import Fault
from tests.web.conftest import Site, posted


class Stub:
    """A running work that stands where the test says."""

    def __init__(self, state: State) -> None:
        self._state = state
        self.cancelled = threading.Event()

    def state(self) -> State:
        """Where it stands."""
        return self._state

    def cancel(self) -> None:
        """It ends at once."""
        self.cancelled.set()
        self._state = State(ended=True, cancelled=True)

    def wait(self, timeout: float | None = None) -> State:
        """It never takes long."""
        return self._state


def put(client: TestClient, state: State, then: str = "/pulls") -> Stub:
    """A work of the id "abc" in a state."""
    stub: Any = Stub(state)
    app: Any = client.app
    app.state.shop.works._entries["abc"] = registry.Entry("abc", "Reading <files>", then, stub)
    made: Stub = stub
    return made


def test_progress_is_shown_and_asked_for_again_every_second(pages: TestClient) -> None:
    put(pages, State(done=2, total=5, saying="reading <b>.csv"))
    html = pages.get("/works/abc").text
    assert 'value="2" max="5"' in html
    assert "reading &lt;b&gt;.csv" in html
    assert "Reading &lt;files&gt;" in html
    assert 'data-hx-trigger="every 1s"' in html
    assert "<noscript><meta" in html
    part = pages.get("/works/abc", headers={"hx-request": "true"}).text
    assert part.lstrip().startswith('<div id="work"')
    assert "<html" not in part


def test_of_unknown_length_no_share_is_claimed(pages: TestClient) -> None:
    put(pages, State(saying="looking"))
    assert "max=" not in pages.get("/works/abc").text.split("<progress")[1].split(">")[0]


def test_its_end_leads_on(pages: TestClient) -> None:
    put(pages, State(ended=True, result={"then": "/today?x=1"}))
    answer = pages.get("/works/abc", follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/today?x=1")
    part = pages.get("/works/abc", headers={"hx-request": "true"}, follow_redirects=False)
    assert (part.status_code, part.headers["hx-redirect"]) == (200, "/today?x=1")


def test_faults_are_told_with_their_remedies_and_a_way_back(pages: TestClient) -> None:
    put(pages, State(ended=True, faults=(Fault("bad", "a.csv", "no speed", "name the column"),)), then="/take")
    html = pages.get("/works/abc").text
    assert "no speed" in html
    assert "name the column" in html
    assert 'href="/take"' in html
    assert "every 1s" not in html


def test_cancelling(pages: TestClient) -> None:
    stub = put(pages, State(total=3))
    answer = posted(pages, "/works/abc/cancel", {})
    assert answer.status_code == 303
    assert stub.cancelled.is_set()
    assert "Nothing of it was kept" in pages.get(answer.headers["location"]).text


def test_no_such_work(pages: TestClient) -> None:
    assert pages.get("/works/nobody").status_code == 404
    assert posted(pages, "/works/nobody/cancel", {}).status_code == 404


def test_a_real_work_is_seen_to_its_end(site: Site, demo_book: Path, tmp_path: Path) -> None:
    client: Any = site(demo_book)
    given = {"book": str(demo_book), "target": str(tmp_path / "copy.tar")}
    id = client.app.state.shop.works.start("backup", given, "Backing up", "/today")
    until = time.monotonic() + 30
    while (answer := client.get(f"/works/{id}", follow_redirects=False)).status_code == 200:
        assert time.monotonic() < until
        assert "It could not be done" not in answer.text
        time.sleep(0.1)
    assert answer.headers["location"] == "/today"
    assert (tmp_path / "copy.tar").is_file()
