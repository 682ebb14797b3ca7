"""Every page and picture of a site: begun from known addresses, followed along its own links, each route at least once.

The book is a copy of the demo's with a kept result, a remark, a paper, a log on the table, a check and a back-up: pages
which need something to show have it.
"""

from __future__ import annotations

import atexit
import base64
import re
import shutil
import tempfile
import time
from collections import Counter, deque
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import urldefrag, urljoin, urlsplit

import httpx
from starlette.routing import BaseRoute, Match, Route

from fairpull.tasks.bench.door import the_book
from fairpull.tasks.bench.kept_comparison import compare_kept
from fairpull.tasks.request import CompareRequest
from fairpull.web.pages import PAGES
from tests.web.conftest import Served, token_in

PULL, OTHER = "02-0940-log-baseline", "07-1250-tube-header"
BUILD, AGAINST, BLOWN = "anvil-header", "anvil-log", "wren-screw"
RESULT = "header against log"
BEGIN = (
    "/",
    "/first",
    "/today",
    "/today?big=1",
    "/take",
    "/pulls",
    "/pulls?where=peak+power+%3E+160+hp",
    f"/pulls/{PULL}",
    f"/pulls/{PULL}?units=metric&along=time",
    "/pulls/20-1705-blower-d",
    "/pulls/09-1325-header-third",
    f"/sheets/build/{BUILD}/with?other={AGAINST}",
    *(f"/sheets/{kind}" for kind in ("engine", "part", "build", "session", "check", "question", "duty")),
    *(f"/sheets/{kind}/new" for kind in ("engine", "part", "build", "session", "check", "question", "duty")),
    "/sheets/engine/Anvil",
    "/sheets/engine/Anvil/edit",
    "/sheets/part/cam-b",
    "/sheets/part/iron-head",
    "/sheets/part/iron-head/edit",
    f"/sheets/build/{BUILD}",
    f"/sheets/build/{BUILD}/beside/{AGAINST}",
    "/sheets/session/day-1",
    "/sheets/check/anvil-leakdown",
    "/sheets/question/cam-b",
    "/sheets/duty/hut-carrier",
    "/compare",
    f"/compare?of={AGAINST}&of={BUILD}",
    f"/compare?of={AGAINST}&of={BUILD}&of=anvil-cam-b&band=1800-4600&standard=din-70020&units=metric",
    f"/compare?of=wren-plain&of={BLOWN}",
    f"/compare/json?of={AGAINST}&of={BUILD}",
    f"/compare/csv?of={AGAINST}&of={BUILD}",
    f"/compare/report?of={AGAINST}&of={BUILD}",
    "/purpose",
    f"/purpose?duty=hut-carrier&of={AGAINST}&of={BUILD}",
    "/tune",
    f"/tune?kind=spark&of={AGAINST}",
    f"/tune?kind=jets&of={AGAINST}",
    f"/tune?kind=mixture&of={AGAINST}",
    "/past",
    "/results",
    "/results/header%20against%20log",
    "/find",
    "/find?q=header",
    "/find?q=%3Cscript%3E",
    "/settings",
    "/settings/channels",
    "/settings/channels?q=egt",
    "/settings/check",
    "/cautions",
    "/log-in",
)
FAULTY = (
    "/no-such-page",
    "/pulls/no-such-pull",
    "/sheets/engine/none",
    "/compare?of=none&of=no-such-build",
    "/pulls?where=%28",
)
"""Addresses that are answered by a page that says what is wrong."""
SMALL_PICTURE = base64.b64decode(
    b"iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGNoAAAAggCBd81ytgAAAABJRU5ErkJggg=="
)
MOST_OF_A_ROUTE = 4  # addresses followed beyond those in BEGIN
MOST_PICTURES = 1  # a picture takes its time to draw


@dataclass(frozen=True, slots=True)
class Seen:
    """One answer.

    Attributes:
        url: path and query.
        route: pattern that answered; "" for none.
        status: of the answer.
        kind: its media type.
        text: its text; "" for pictures and files.
        headers: of the answer, names in lower case.
    """

    url: str
    route: str
    status: int
    kind: str
    text: str
    headers: dict[str, str]

    @property
    def page(self) -> bool:
        """Whether it is a whole page of the site; what is handed over as a file is none."""
        handed = self.headers.get("content-disposition", "").startswith("attachment")
        return not handed and self.kind == "text/html" and self.text.lstrip().lower().startswith("<!doctype")


@dataclass(frozen=True, slots=True)
class Walk:
    """All that was seen of a running site."""

    served: Served
    seen: dict[str, Seen]
    unseen: tuple[str, ...] = field(default=())

    def pages(self) -> list[Seen]:
        """Whole pages, one address each."""
        return [one for one in self.seen.values() if one.page]

    def plain(self) -> list[Seen]:
        """The pages of BEGIN and FAULTY that answered as pages, and one of each route that only links lead to."""
        begun = {*BEGIN, *FAULTY}
        told = [one for one in self.pages() if one.url in begun]
        routes = {one.route for one in told}
        return told + [one for one in {one.route: one for one in self.pages() if one.route not in routes}.values()]


class Links(HTMLParser):
    """Addresses that a page names: links, pictures, charts, forms that only ask, parts that are fetched."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note what a tag names."""
        told = {name: value or "" for name, value in attrs}
        for name in ("href", "src", "data-hx-get"):
            if told.get(name) and tag not in ("link", "script"):
                self.found.append(told[name])
        if tag == "source" and told.get("srcset"):
            self.found.append(told["srcset"])
        if told.get("data-chart"):
            query = told.get("data-query", "")
            self.found.append(f"{told['data-chart']}.json?{query}{'&' if query else ''}theme=light&size=narrow")


def links(page: Seen) -> Iterator[str]:
    """Addresses on this site that a page names, as path and query."""
    parser = Links()
    parser.feed(page.text)
    for found in parser.found:
        there = urlsplit(urldefrag(urljoin(page.url, found)).url)
        if not there.netloc and not there.scheme:
            yield f"{there.path}?{there.query}" if there.query else there.path


def routes() -> list[BaseRoute]:
    """All routes of all pages, in the order in which they are tried."""
    return [route for router in PAGES for route in router.routes]


def route_of(url: str) -> str:
    """Pattern of the route that answers a GET of this address; "" for none."""
    path = httpx.URL(f"http://site{url}").path
    scope = {"type": "http", "path": path, "root_path": "", "method": "GET", "headers": []}
    for route in routes():
        if isinstance(route, Route) and route.matches(scope)[0] is Match.FULL:
            return route.path
    return ""


def readable() -> set[str]:
    """Patterns of all routes that answer to GET."""
    return {one.path for one in routes() if isinstance(one, Route) and "GET" in (one.methods or ())}


@cache
def walked(demo_book: Path) -> Walk:
    """Walk through all pages of a copy of the demo's book, once a test process.

    Args:
        demo_book: folder of the demo's book.

    Returns:
        What was seen; the site is served until the process ends.
    """
    folder = Path(tempfile.mkdtemp(prefix="fairpull-walk-"))
    book = Path(shutil.copytree(demo_book, folder / "book"))
    paper = folder / "plenum.png"
    paper.write_bytes(SMALL_PICTURE)
    with the_book(book) as kept:
        kept.attach(paper, ("pull", PULL), note="plenum, before")
        kept.attach(paper, ("build", BUILD), note="header, on the bench")
    compare_kept([AGAINST, BUILD], CompareRequest(), book=str(book), keep=RESULT)
    served = Served(book)
    served.__enter__()
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    atexit.register(served.__exit__)
    with httpx.Client(base_url=served.address, timeout=60.0) as client:
        begun = [*BEGIN, *FAULTY, *_made(client, served, demo_book)]
        seen = _follow(client, begun)
    fine = {one.route for one in seen.values() if one.status < 400}
    return Walk(served, seen, tuple(sorted(readable() - fine)))


def _made(client: httpx.Client, served: Served, demo_book: Path) -> Iterator[str]:
    """Addresses of things that are made by a form: a check, a back-up, a file on the table, a remark."""
    token = token_in(client.get("/settings").text)

    def post(url: str, data: dict[str, str], files: dict[str, Path] | None = None) -> str:
        sent = {name: (path.name, path.read_bytes()) for name, path in (files or {}).items()}
        headers = {"origin": str(client.base_url).rstrip("/")}
        answer = client.post(url, data={"token": token, **data}, files=sent or None, headers=headers)
        return str(answer.headers.get("location", ""))

    post(f"/pulls/{PULL}/remark", {"text": "Air filter was new.", "by": "bench"})
    work = post("/settings/check", {"depth": "files"})
    yield work
    backup = served.shop.works.get(post("/settings/backup", {}).rpartition("/")[2])
    if backup is not None:
        backup.running.wait(60.0)
        yield backup.next_page()
    log = next(demo_book.parent.glob("anvil-log/02-*"))
    stay = post("/take", {"build": AGAINST}, {"files": log})
    if stay:
        yield stay
        for _ in range(100):
            said = client.get(stay)
            if said.status_code != 303:
                break
            stay = said.headers["location"]
            yield stay
            time.sleep(0.1)


def _follow(client: httpx.Client, begun: list[str]) -> dict[str, Seen]:
    waiting = deque(dict.fromkeys(url for url in begun if url))
    known = set(waiting)
    counts: Counter[str] = Counter()
    seen: dict[str, Seen] = {}
    while waiting:
        url = waiting.popleft()
        seen[url] = here = fetched(client, url)
        found = [*links(here)] if here.page else []
        if "location" in here.headers:
            found.append(here.headers["location"])
        for link in found:
            route = route_of(link)
            ending = re.search(r"\.(svg|png|pdf|json|csv)(?:\?|$)", link)
            key = f"{route} {ending[1] if ending else ''}"
            most = MOST_PICTURES if ending else MOST_OF_A_ROUTE
            if link not in known and counts[key] < most:
                counts[key] += 1
                known.add(link)
                waiting.append(link)
    return seen


def fetched(client: httpx.Client, url: str) -> Seen:
    """One answer as it is kept."""
    answer = client.get(url, follow_redirects=False)
    kind = answer.headers.get("content-type", "").split(";")[0]
    text = answer.text if kind.startswith("text/") else ""
    headers = {name.lower(): value for name, value in answer.headers.items()}
    return Seen(url, route_of(url), answer.status_code, kind, text, headers)
