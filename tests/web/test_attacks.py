"""Attacks on a running server: each is refused or harmless, and the book is sound afterwards."""

from __future__ import annotations

import asyncio
import csv
import io
import re
import shutil
import socket
import threading
import zipfile
from collections import Counter, deque
from collections.abc import Iterator
from contextlib import contextmanager
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from urllib.parse import quote, urljoin, urlsplit

import httpx
import pytest

from fairpull.show.csv_cells import STARTS, is_number
from fairpull.tasks.bench.door import the_book
from fairpull.tasks.bench.recompute import whole_check
from fairpull.tasks.bench.take import take_files
from fairpull.tasks.shop.passwords import set_password
from fairpull.web.app import Pages, create_app
from fairpull.web.guard import server
from fairpull.web.shop import Shop
from tests.tasks.bench.shop import sweep
from tests.web.conftest import token_in
from tests.web.guard.hostile import BUILDS, ENGINE, SESSION, make_hostile_book

READER, WRITER = "the brake is wet", "the dyno is dry"
READERS = 1000
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = ("--no-sandbox", "--disable-gpu", "--disable-background-networking", "--no-first-run", "--disable-sync")


class Site:
    """A running server of its own thread."""

    def __init__(self, folder: Path, *, network: bool = False) -> None:
        self.bound = server.bind("127.0.0.1", 0)
        self.port = server.port_of(self.bound)
        self.address = f"http://127.0.0.1:{self.port}"
        self.shop = Shop(folder, port=self.port, open_to_network=network)
        self.app: Pages = create_app(self.shop)

    @contextmanager
    def running(self) -> Iterator[Site]:
        ready = threading.Event()
        server._more_files()
        made = server.server_for(self.app, ready.set)
        thread = threading.Thread(target=lambda: made.run(sockets=[self.bound]))
        thread.start()
        assert ready.wait(30)
        try:
            yield self
        finally:
            made.should_exit = True
            thread.join(30)
            self.shop.close()

    def client(self, **headers: str) -> httpx.Client:
        return httpx.Client(base_url=self.address, headers=headers, timeout=60, trust_env=False)

    def routes(self) -> list[tuple[str, str]]:
        """Method and address of every route, its blanks filled in."""
        described: dict[str, dict[str, Any]] = self.app.openapi()["paths"]
        return [
            (method.upper(), re.sub(r"\{[^}]*\}", "x", path))
            for path, methods in described.items()
            for method in methods
        ]

    def raw(self, first: str, *lines: str) -> bytes:
        """The beginning of the answer to a request that no client would send."""
        with socket.create_connection(("127.0.0.1", self.port), timeout=30) as line:
            line.sendall("\r\n".join([first, *lines, "Connection: close", "", ""]).encode("latin-1"))
            return b"".join(iter(lambda: line.recv(65536), b""))


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The book with hostile names; with passwords."""
    folder = tmp_path_factory.mktemp("hostile")
    make_hostile_book(folder / "book", folder / "logs")
    set_password(folder / "book", "reads", READER)
    set_password(folder / "book", "writes", WRITER)
    return folder / "book"


@pytest.fixture(scope="module")
def site(book: Path) -> Iterator[Site]:
    with Site(book).running() as running:
        yield running


@pytest.fixture(scope="module")
def network(book: Path) -> Iterator[Site]:
    with Site(book, network=True).running() as running:
        yield running


@pytest.fixture(scope="module", autouse=True)
def _the_book_is_sound_after_all_of_them(book: Path) -> Iterator[None]:
    yield
    with the_book(book) as kept:
        found = whole_check(kept, lambda *_: None)
    assert [one for one in found.findings if one.severity.value == "fault"] == []


# ---- who asks, and from where


@pytest.mark.parametrize("path", ["/", "/today", "/static/pages.css", "/no-such-page"])
@pytest.mark.parametrize(
    "host", ["rebound.example", "rebound.example:{port}", "127.0.0.1:1", "localhost.rebound.example"]
)
def test_another_name_of_this_machine_reads_nothing(site: Site, path: str, host: str) -> None:
    with site.client(host=host.format(port=site.port)) as client:
        answer = client.get(path)
    assert answer.status_code == 421
    assert "fairpull-theme" not in answer.text
    assert "set-cookie" not in answer.headers


def test_no_route_changes_anything_for_another_site_or_without_the_own_token(site: Site) -> None:
    unsafe = [(method, path) for method, path in site.routes() if method != "GET"]
    assert len(unsafe) > 5
    own = {"origin": site.address}
    with site.client() as client, site.client() as other:
        token = token_in(client.get("/settings").text)
        foreign = token_in(other.get("/settings").text)
        for method, path in unsafe:

            def refused(headers: dict[str, str], data: dict[str, str], method: str = method, path: str = path) -> bool:
                try:
                    answer = client.request(method, path, headers=headers, data=data)
                except httpx.ReadError:  # refused before the body was read: the line may be cut; the page comes again
                    answer = client.request(method, path, headers=headers, data=data)
                return answer.status_code == 403 and "no-store" in answer.headers["cache-control"]

            good = {"token": token}
            for origin in (
                "null",
                "http://rebound.example",
                "http://127.0.0.1:1",
                site.address.replace("http", "https"),
            ):
                assert refused({"origin": origin}, good), (method, path, origin)
            assert refused({}, good), (method, path)
            assert refused({"sec-fetch-site": "cross-site"}, good), (method, path)
            for wrong in ({}, {"token": ""}, {"token": foreign}, {"token": token[::-1]}):
                assert refused(own, wrong), (method, path, wrong)
            assert refused({**own, "x-token": foreign}, {}), (method, path)


def test_the_same_token_in_our_own_form_is_taken(site: Site) -> None:
    with site.client(origin=site.address) as client:
        token = token_in(client.get("/settings").text)
        answer = client.post("/log-out", data={"token": token})
    assert answer.status_code == 303


def test_another_site_puts_no_answer_into_its_pages(site: Site) -> None:
    with site.client(
        **{"sec-fetch-site": "cross-site", "sec-fetch-mode": "no-cors", "sec-fetch-dest": "script"}
    ) as client:
        assert {client.get(path).status_code for method, path in site.routes() if method == "GET"} == {403}


# ---- roles


def log_in(site: Site, client: httpx.Client, password: str) -> httpx.Response:
    token = token_in(client.get("/log-in").text)
    return client.post("/log-in", data={"token": token, "password": password, "next": "/settings"})


def test_on_a_network_nobody_sees_a_page_without_a_log_in(network: Site) -> None:
    with network.client(origin=network.address) as client:
        for method, path in network.routes():
            if path in ("/log-in", "/log-out"):
                continue
            answer = client.request(method, path)
            assert answer.status_code in (303, 401), (method, path)
            assert "Mill" not in answer.text
        assert client.get("/static/pages.css").status_code == 200


def test_who_reads_changes_nothing(network: Site) -> None:
    with network.client(origin=network.address) as client:
        answer = log_in(network, client, READER)
        assert (answer.status_code, answer.headers["location"]) == (303, "/settings")
        token = token_in(client.get("/settings").text)
        assert client.get("/today").status_code == 200
        unsafe = [
            (method, path) for method, path in network.routes() if method != "GET" and not path.startswith("/log-")
        ]
        assert len(unsafe) > 5
        for method, path in unsafe:
            answer = client.request(method, path, data={"token": token})
            assert answer.status_code == 403, (method, path)
            assert "read only" in answer.text


def test_who_writes_is_let_in_and_out_again(network: Site) -> None:
    with network.client(origin=network.address) as client:
        before = client.get("/log-in").cookies
        answer = log_in(network, client, WRITER)
        flags = [{part.split("=")[0] for part in one.split("; ")} for one in answer.headers.get_list("set-cookie")]
        assert len(flags) == 2
        assert all({"HttpOnly", "SameSite", "Path"} <= one for one in flags)
        assert not set(before.values()) & set(client.cookies.values())
        stale = dict(client.cookies)
        page = client.get("/settings")
        assert page.status_code == 200
        assert client.post("/log-out", data={"token": token_in(page.text)}).status_code == 303
        assert client.get("/settings").status_code == 303
    with network.client() as thief:
        assert (
            thief.get("/settings", headers={"cookie": "; ".join(f"{k}={v}" for k, v in stale.items())}).status_code
            == 303
        )


def test_the_log_in_leads_to_no_other_site(network: Site) -> None:
    with network.client(origin=network.address) as client:
        for way in ("//rebound.example", "http://rebound.example/", "/\\rebound.example", "javascript:alert(1)"):
            page = client.get("/log-in", params={"next": way}).text
            assert "rebound" not in page
            assert "javascript:" not in page
            data = {"token": token_in(page), "password": WRITER, "next": way}
            assert client.post("/log-in", data=data).headers["location"] == "/"


def test_guessing_is_slowed_and_readers_do_not_notice(network: Site) -> None:
    """Last of this server: its only client address is this machine's."""
    with network.client(origin=network.address) as client, network.client(origin=network.address) as reader:
        assert log_in(network, reader, READER).status_code == 303
        token = token_in(client.get("/log-in").text)
        found: Counter[int] = Counter()
        for number in range(60):
            answer = client.post("/log-in", data={"token": token, "password": f"guess number {number}"})
            found[answer.status_code] += 1
            if answer.status_code == 429:
                assert int(answer.headers["retry-after"]) >= 1
        assert found[422] <= 8
        assert found[429] >= 52
        assert reader.get("/today").status_code == 200


# ---- addresses


WAYS_OUT = (
    *("/../../../etc/passwd", "/static/../../../../etc/passwd", "/static/%2e%2e/%2e%2e/etc/passwd"),
    *("/static/..%2f..%2f..%2fetc%2fpasswd", "/static/..%5c..%5cetc%5cpasswd", "/static//etc/passwd"),
    *("/static/%2Fetc%2Fpasswd", "/static/pages.css%00.png", "/pulls/..%2f..%2fbook.toml", "/pulls/%2fetc%2fpasswd"),
    *(
        "//etc/passwd",
        "http://rebound.example/etc/passwd",
        "/sheets/..%2f/x",
        "/static/C:%5cx",
        "/static/~root/.profile",
    ),
    *("/static/%ff", "/static/%c0%ae%c0%ae/x", "/static/%252e%252e/%252e%252e/etc/passwd", "/pulls/" + "a" * 9000),
)


@pytest.mark.parametrize("path", WAYS_OUT)
def test_no_address_leads_out_of_the_pages(site: Site, path: str) -> None:
    answer = site.raw(f"GET {path} HTTP/1.1", f"Host: 127.0.0.1:{site.port}")
    assert re.match(rb"HTTP/1.1 4\d\d", answer), answer[:60]
    assert b"root:" not in answer
    assert b"fairpull bench book" not in answer
    assert b"content-security-policy" in answer


# ---- uploads


@pytest.fixture
def uploads(site: Site) -> httpx.Client:
    assert ("POST", "/take") in site.routes()
    return site.client(origin=site.address)


def upload(client: httpx.Client, name: str, content: bytes) -> httpx.Response:
    token = token_in(client.get("/take").text)
    return client.post("/take", data={"token": token}, files={"files": (name, content)})


def all_files(folder: Path) -> set[Path]:
    return {
        path
        for path in folder.parent.rglob("*")
        if path.is_file() and path.suffix not in (".sqlite-wal", ".sqlite-shm")
    }


@pytest.mark.parametrize(
    "name",
    ["../../evil.csv", "/tmp/evil.csv", "..\\..\\evil.csv", "a\x00.csv", "C:\\evil.csv", ".", "..", "", "a" * 3000],
)
def test_a_files_name_is_no_path(uploads: httpx.Client, book: Path, name: str) -> None:
    with uploads as client:
        answer = upload(client, name, b"rpm,torque [N m]\n1000,1\n")
    assert answer.status_code < 500
    assert not any("evil" in str(path) for path in all_files(book.parent))
    assert not Path("/tmp/evil.csv").exists()


def bomb(size: int) -> bytes:
    """A workbook that is small until it is opened."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        archive.writestr("[Content_Types].xml", "<Types/>")
        with archive.open("xl/worksheets/sheet1.xml", "w", force_zip64=True) as sheet:
            for _ in range(size // 1_000_000):
                sheet.write(b" " * 1_000_000)
    return held.getvalue()


def test_a_bomb_is_refused_and_the_server_goes_on(uploads: httpx.Client) -> None:
    with uploads as client:
        answer = upload(client, "sweep.xlsx", bomb(600_000_000))
        assert answer.status_code < 500
        assert client.get("/today").status_code == 200


@pytest.mark.parametrize("path", ["/take", "/settings", "/log-in", "/first"])
def test_a_claim_of_ten_gigabytes_is_refused_unread(site: Site, path: str) -> None:
    lines = (f"Host: 127.0.0.1:{site.port}", f"Origin: {site.address}", "Content-Length: 10000000000")
    assert site.raw(f"POST {path} HTTP/1.1", *lines).startswith(b"HTTP/1.1 413")


# ---- words that try to be something else


class Look(HTMLParser):
    """What of a page could run, and where it leads."""

    def __init__(self) -> None:
        super().__init__()
        self.runs: list[str] = []
        self.links: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        own = (given.get("src") or "").startswith("/static/")
        if tag in ("iframe", "object", "embed", "base") or (
            tag == "script" and not own and given.get("type") in (None, "module")
        ):
            self.runs.append(f"<{tag} {attrs}>")
        for name, value in given.items():
            if name.startswith(("on", "hx-on")) or name == "style":
                self.runs.append(f"{tag} {name}={value}")
            if name in ("href", "src", "action", "data-chart", "hx-get"):
                if re.match(r"\s*(javascript|data|vbscript):", value or "", re.IGNORECASE):
                    self.runs.append(f"{tag} {name}={value}")
                elif name == "href":
                    self.links.append(value or "")
            if name == "src" and value == "x":
                self.runs.append("the picture of a hostile name")


def walked(site: Site, most: int = 80) -> dict[str, httpx.Response]:
    """Answers of the pages that links lead to, not more than a few of each kind."""
    begin = [
        "/today",
        "/pulls",
        "/find?q=alert",
        "/settings",
        "/settings/channels",
        "/sheets/build",
        "/sheets/engine",
        "/past",
    ]
    begin += [f"/sheets/build/{quote(BUILDS[0], safe='')}", f"/sheets/engine/{quote(ENGINE, safe='')}"]
    begin += [f"/sheets/session/{quote(SESSION, safe='')}", f"/find?q={quote(BUILDS[1])}", "/compare?of=<script>&of=x"]
    begin += [f"/compare?{both()}", f"/pulls?where={quote(BUILDS[0])}", "/no/<script>alert(1)</script>", "/results"]
    seen: dict[str, httpx.Response] = {}
    kinds: Counter[str] = Counter()
    left = deque(begin)
    with site.client() as client:
        while left and len(seen) < most:
            url = left.popleft()
            kind = re.sub(r"%[^/]*|[^/]*%[^/]*", "*", urlsplit(url).path)
            if url in seen or (kinds[kind] >= 3 and url not in begin):
                continue
            kinds[kind] += 1
            seen[url] = client.get(url, follow_redirects=True)
            if seen[url].headers.get("content-type", "").startswith("text/html"):
                look = Look()
                look.feed(seen[url].text)
                left += [
                    urljoin(url, link).partition("#")[0]
                    for link in look.links
                    if urlsplit(urljoin(url, link)).netloc == ""
                ]
    return seen


def both() -> str:
    return "&".join(f"of={quote(build, safe='')}" for build in BUILDS)


@pytest.fixture(scope="module")
def seen(site: Site) -> dict[str, httpx.Response]:
    return walked(site)


def test_hostile_words_are_text_on_every_page(seen: dict[str, httpx.Response]) -> None:
    shown = 0
    for url, answer in seen.items():
        assert answer.status_code < 500, url
        handed = answer.headers.get("content-disposition", "").startswith("attachment")
        if handed or not answer.headers.get("content-type", "").startswith("text/html"):
            continue
        look = Look()
        look.feed(answer.text)
        assert look.runs == [], url
        assert not re.search(r"&gt; 49\b", answer.text), url  # a template would have computed it
        shown += "&lt;script&gt;alert(" in answer.text or "&lt;img src=x" in answer.text
    assert shown > 10
    assert len(seen) > 25


def test_what_is_handed_over_opens_as_a_file(seen: dict[str, httpx.Response]) -> None:
    handed = {url: one for url, one in seen.items() if "content-disposition" in one.headers}
    assert handed
    for url, answer in handed.items():
        said = answer.headers["content-disposition"]
        assert said.startswith("attachment"), url
        assert "<" not in said, url
        assert "sandbox" in answer.headers["content-security-policy"], url


@pytest.mark.browser
@pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine")
def test_in_a_real_browser_nothing_hostile_runs(site: Site, seen: dict[str, httpx.Response]) -> None:
    sync_api = pytest.importorskip("playwright.sync_api")
    pages = [
        url
        for url, answer in seen.items()
        if answer.headers.get("content-type", "").startswith("text/html")
        and "content-disposition" not in answer.headers
    ]
    told: list[str] = []

    def dismissed(dialog: Any) -> None:
        told.append(f"dialog {dialog.message}")
        dialog.dismiss()

    with sync_api.sync_playwright() as play:
        opened = play.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        page = opened.new_context().new_page()
        page.on("dialog", dismissed)
        page.on("request", lambda asked: told.append(asked.url) if "rebound" in urlsplit(asked.url).netloc else None)
        page.on("console", lambda line: told.append(line.text) if "Content Security Policy" in line.text else None)
        page.on("pageerror", lambda error: told.append(f"script: {error}"))
        for url in pages[:20]:
            page.goto(site.address + url, wait_until="load")
        page.goto(f"{site.address}/compare?{both()}", wait_until="networkidle")
        opened.close()
    assert told == []


def test_cells_of_a_csv_are_no_formulas(site: Site) -> None:
    with site.client() as client:
        texts = [client.get(f"/compare/csv?{both()}").text]
        page = client.get(f"/compare?{both()}").text
        charts = sorted(set(re.findall(r'"(/compare/chart/[^"?]+)\.svg', page)))
        texts += [client.get(f"{chart}.csv?{both()}").text for chart in charts]
    assert any("cmd|" in text for text in texts)
    for text in texts:
        for row in csv.reader(io.StringIO(text)):
            risky = [one for one in row if one.lstrip().startswith(STARTS) and not is_number(one.strip())]
            assert risky == []


# ---- many at once


async def _read(client: httpx.AsyncClient, path: str) -> int:
    return (await client.get(path)).status_code


async def _crowd(site: Site, paths: list[str]) -> Counter[int]:
    limits = httpx.Limits(max_connections=READERS, max_keepalive_connections=0)
    async with httpx.AsyncClient(base_url=site.address, limits=limits, timeout=180, trust_env=False) as client:
        return Counter(await asyncio.gather(*(_read(client, path) for path in paths)))


@pytest.mark.slow
def test_a_thousand_readers_during_a_take_in_are_all_answered(site: Site, book: Path, tmp_path: Path) -> None:
    taken: list[str] = []

    def take_in() -> None:
        for number in range(3):
            log = sweep(tmp_path / f"late-{number}.csv", f"15:{number}0:00", gain=1.01 + number / 100)
            with the_book(book) as kept:
                taken.extend(line.name for line in take_files(kept, [log], BUILDS[0]).kept)

    paths = [("/today", "/pulls", "/find?q=day", "/settings")[number % 4] for number in range(READERS)]
    thread = threading.Thread(target=take_in)
    thread.start()
    found = asyncio.run(_crowd(site, paths))
    thread.join(60)
    assert len(taken) == 3
    assert sum(found.values()) == READERS
    assert set(found) <= {200, 429}, found
    assert found[200] > READERS * 0.9
    with site.client() as client:
        assert all(quote(name, safe="") in client.get("/pulls").text for name in taken)
