"""Measure the pages and print.

python -m benchmarks.pages                 with a book of 10,000 pulls: 1.5 GB of disk, some minutes
python -m benchmarks.pages --pulls 1000    with a smaller one
python -m benchmarks.pages --book FOLDER   with a book that is there already
"""

from __future__ import annotations

import argparse
import shutil
import socket
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from typing import Any
from urllib.parse import quote_plus

from benchmarks import book_maker
from benchmarks.table import machine
from fairpull.tasks.demo_day import run_demo

PULLS = 10_000
REPEATS = 9
BUILDS = 36
PAGE, QUICK = 0.300, 0.150  # [s] at the median
INTERACTIVE = 1.5  # [s]
MOST_BYTES = 1_500_000
ROW = "{:<46}{:>9}{:>9}{:>9}{:>8}{:>9}"
SERVE = """
import sys, uvicorn
from pathlib import Path
from fairpull.web.app import create_app
from fairpull.web.shop import Shop
port = int(sys.argv[2])
uvicorn.run(create_app(Shop(Path(sys.argv[1]), port=port)), port=port, log_level="error")
"""
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = ("--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update")


@dataclass(frozen=True, slots=True)
class Timed:
    """One page: how long its HTML took, first and then, and how large it is.

    Attributes:
        what: for people.
        first: of the first request [s].
        then: of those after it [s].
        size: bytes of the HTML as sent, packed.
        target: of the median [s].
    """

    what: str
    first: float
    then: tuple[float, ...]
    size: int
    target: float

    def row(self) -> str:
        """A line of the table."""
        told = "met" if median(self.then) < self.target else "NOT MET"
        times = [f"{1e3 * one:.0f} ms" for one in (median(self.then), max(self.then), self.first)]
        return ROW.format(self.what[:45], *times, f"{self.size / 1e3:.1f} kB"[:8], told)


@contextmanager
def served(book: Path) -> Iterator[str]:
    """The pages of a book from a process of its own, on a free port of this machine; gives the address."""
    with socket.create_server(("127.0.0.1", 0)) as found:
        port = found.getsockname()[1]
    process = subprocess.Popen([sys.executable, "-c", SERVE, str(book), str(port)])
    try:
        until = time.monotonic() + 60.0
        while time.monotonic() < until:
            try:
                socket.create_connection(("127.0.0.1", port), 0.2).close()
                break
            except OSError:
                time.sleep(0.02)
        yield f"http://127.0.0.1:{port}"
    finally:
        process.terminate()
        process.wait(20)


def fetch(address: str) -> tuple[float, int, int]:
    """Seconds until the whole answer is there, its size as sent, and its status."""
    asked = urllib.request.Request(address, headers={"accept-encoding": "gzip"})
    begun = time.perf_counter()
    try:
        with urllib.request.urlopen(asked, timeout=600) as answer:
            content = answer.read()
            return time.perf_counter() - begun, len(content), answer.status
    except urllib.error.HTTPError as error:
        return time.perf_counter() - begun, len(error.read()), error.code


def timed(site: str, what: str, path: str, repeats: int) -> Timed | None:
    """A page by its HTML; None where it does not answer well, which is told."""
    first, size, status = fetch(site + path)
    if status >= 400:
        print(f"{path}: {status}", file=sys.stderr)
        return None
    then = tuple(fetch(site + path)[0] for _ in range(repeats))
    return Timed(what, first, then, size, QUICK if path.startswith(("/today", "/find")) else PAGE)


def addresses(pulls: int) -> list[tuple[str, str]]:
    """What is looked at in the made book: for people, and its path."""
    two = "of=Anvil-cam-a-header-1&of=Anvil-cam-b-header-1"
    where = quote_plus("boost > 0.3 bar and peak power > 150 hp")
    return [
        ("Today", "/today"),
        ("Today in big numbers", "/today?big=1"),
        ("Find a part", "/find?q=cam-b"),
        ("Find a word that nearly all pulls have", "/find?q=Anvil"),
        ("Find by a condition", f"/find?q={where}"),
        (f"list of {pulls} pulls", "/pulls"),
        ("list with two conditions", f"/pulls?where={where}"),
        ("one pull", f"/pulls/{_pull(pulls // 2)}"),
        ("Take in", "/take"),
        ("list of builds", "/sheets/build"),
        ("a build", "/sheets/build/Anvil-cam-b-log"),
        ("an engine", "/sheets/engine/Anvil"),
        ("two builds side by side", "/sheets/build/Anvil-cam-b-log/beside/Anvil-cam-a-log"),
        ("Compare, nothing chosen", "/compare"),
        (f"Compare two builds of {pulls // BUILDS} pulls each", f"/compare?{two}"),
        ("Purpose, nothing chosen", "/purpose"),
        ("Tune, nothing chosen", "/tune"),
        ("Past work", "/past"),
        ("Results", "/results"),
        ("Settings", "/settings"),
        ("Channels", "/settings/channels"),
        ("Cautions", "/cautions"),
    ]


def _pull(number: int) -> str:
    """Name of a pull of the made book."""
    builds = [sheet.name for sheet in book_maker.sheets() if sheet.kind == "build"]
    return f"{builds[number % len(builds)]}-{number}"


def loads(site: str, path: str) -> list[tuple[str, float, int, int]]:
    """A page in a browser: what, seconds until it can be used, bytes received, requests; cold, and loaded again."""
    from playwright.sync_api import sync_playwright

    found = []
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        browser.new_context().new_page().goto("about:blank")  # the browser itself is up
        for turn in ("server just begun, browser's cache empty", "browser's cache empty"):
            context = browser.new_context(viewport={"width": 1280, "height": 900})
            page = context.new_page()
            found.append((f"compare page: {turn}", *_load(context, page, site + path)))
            if turn.startswith("browser"):
                found.append(("compare page: again in the same browser", *_load(context, page, site + path)))
            context.close()
        browser.close()
    return found


def _load(context: Any, page: Any, address: str) -> tuple[float, int, int]:
    session = context.new_cdp_session(page)
    sizes: list[float] = []
    session.on("Network.loadingFinished", lambda told: sizes.append(told["encodedDataLength"]))
    session.send("Network.enable")
    begun = time.perf_counter()
    page.goto(address, wait_until="commit")
    page.wait_for_selector("html[data-ready=yes]", timeout=60_000)
    seconds = time.perf_counter() - begun
    page.wait_for_load_state("networkidle")
    session.detach()
    return seconds, int(sum(sizes)), len(sizes)


def main(argv: Sequence[str] | None = None) -> int:
    """Make the books, measure and print the tables.

    Args:
        argv: words after the program's name; None takes the process's own.

    Returns:
        0: a missed target is told, not an error.
    """
    parser = argparse.ArgumentParser(prog="python -m benchmarks.pages", description="The pages of a large book.")
    parser.add_argument("--pulls", type=int, default=PULLS, help="pulls of the book (default %(default)s)")
    parser.add_argument("--repeats", type=int, default=REPEATS, help="requests of each page (default %(default)s)")
    parser.add_argument("--book", type=Path, default=None, help="a book of book_maker that is there already")
    asked = parser.parse_args(argv)
    about = machine()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        if asked.book is None:
            book_maker.make(folder / "many", book_maker.Shape(asked.pulls)).close()
        results = large_book(asked.book or folder / "many", asked.pulls, asked.repeats)
        browsed = in_browser(folder) if CHROMIUM else []
    print(about)
    print(f"\nA book of {asked.pulls} pulls: HTML over loopback, gzip, {asked.repeats} requests after the first.\n")
    print(ROW.format("page", "median", "slowest", "first", "size", "").rstrip())
    print("-" * 90)
    for one in results:
        print(one.row())
    print("\nThe demo's book in Chromium, 1280 px.\n")
    for what, seconds, size, requests in browsed:
        told = "met" if seconds < INTERACTIVE and size < MOST_BYTES else "NOT MET"
        print(f"{what:<58}{seconds:>7.2f} s{size / 1e6:>8.3f} MB{requests:>4} requests  {told}")
    return 0


def large_book(book: Path, pulls: int, repeats: int) -> list[Timed]:
    """The HTML of every page of a large book."""
    with served(book) as site:
        fetch(f"{site}/settings")  # imports of the first request are not the page's
        found = [timed(site, what, path, repeats) for what, path in addresses(pulls)]
    return [one for one in found if one is not None]


def in_browser(folder: Path) -> list[tuple[str, float, int, int]]:
    """The compare page of the demo's book in a browser."""
    demo = run_demo(folder / "demo", 1)
    with served(demo.book) as site:
        return loads(site, "/compare?of=anvil-log&of=anvil-header")


if __name__ == "__main__":
    raise SystemExit(main())
