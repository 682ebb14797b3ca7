"""Sites for the tests of pages: the demo's book to read, copies to write into, a client, a served one."""

from __future__ import annotations

import re
import shutil
import socket
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import uvicorn
from starlette.testclient import TestClient

from fairpull.tasks.demo_day import DemoResult
from fairpull.web.app import create_app
from fairpull.web.shop import Shop

BASE = "http://127.0.0.1:8700"
TOKEN = re.compile(r'name="token" value="([^"]+)"')

Site = Callable[[Path], TestClient]


@pytest.fixture(scope="session")
def demo_book(demo_in_files: DemoResult) -> Path:
    """Folder of the demo's book; nobody writes into it."""
    return demo_in_files.book


@pytest.fixture
def own_book(demo_book: Path, tmp_path: Path) -> Path:
    """A copy of the demo's book, to write into."""
    return Path(shutil.copytree(demo_book, tmp_path / "own-book"))


@pytest.fixture
def site() -> Iterator[Site]:
    """Makes a client of the pages of a book's folder (which may be empty)."""
    opened: list[tuple[TestClient, Shop]] = []

    def make(folder: Path) -> TestClient:
        shop = Shop(folder)
        client = TestClient(create_app(shop), base_url=BASE, raise_server_exceptions=True)
        opened.append((client, shop))
        return client

    yield make
    for client, shop in opened:
        client.close()
        shop.close()


@pytest.fixture
def pages(site: Site, demo_book: Path) -> TestClient:
    """A client of the demo's book."""
    return site(demo_book)


@pytest.fixture
def own_pages(site: Site, own_book: Path) -> TestClient:
    """A client of a book of one's own."""
    return site(own_book)


def token_in(html: str) -> str:
    """The anti-forgery token of a page's forms."""
    found = TOKEN.search(html)
    assert found, "no form with a token on this page"
    return found[1]


def posted(client: TestClient, url: str, data: dict[str, Any], *, page: str = "", **more: Any) -> Any:
    """A form sent as a browser sends it: with the token of the page that holds it.

    Args:
        client: of the site.
        url: where the form goes.
        data: its fields.
        page: that holds the form; "" for the settings, which every book has.
        more: for the client, e.g. files.

    Returns:
        The answer; redirects are not followed.
    """
    token = token_in(client.get(page or "/settings").text)
    headers = {"origin": str(client.base_url).rstrip("/")}
    return client.post(url, data={"token": token, **data}, headers=headers, follow_redirects=False, **more)


class Served:
    """Pages on a port of this machine, for browsers."""

    def __init__(self, folder: Path) -> None:
        self.socket = socket.create_server(("127.0.0.1", 0))
        self.port = self.socket.getsockname()[1]
        self.address = f"http://127.0.0.1:{self.port}"
        self.shop = Shop(folder, port=self.port)
        config = uvicorn.Config(create_app(self.shop), log_level="error", server_header=False)
        self.server = uvicorn.Server(config)
        self.thread = threading.Thread(target=self.server.run, kwargs={"sockets": [self.socket]}, daemon=True)

    def __enter__(self) -> Served:
        self.thread.start()
        until = time.monotonic() + 30
        while not self.server.started and time.monotonic() < until:
            time.sleep(0.02)
        return self

    def __exit__(self, *_: object) -> None:
        self.server.should_exit = True
        self.thread.join(10)
        self.shop.close()
        self.socket.close()


@pytest.fixture(scope="session")
def served(demo_book: Path) -> Iterator[Served]:
    """The demo's book, served to browsers; nobody writes into it."""
    with Served(demo_book) as running:
        yield running
