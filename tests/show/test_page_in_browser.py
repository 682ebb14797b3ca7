"""The report in a real Chromium: nothing is fetched, charts answer, phones and dark rooms are served."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.show import pages

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
)

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine"),
]


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """One Chromium for all pages."""
    sync_api = pytest.importorskip("playwright.sync_api")
    with sync_api.sync_playwright() as play:
        opened = play.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        yield opened
        opened.close()


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One report whose names try to be markup."""
    path = tmp_path_factory.mktemp("report") / "report.html"
    path.write_text(pages.page("hostile"), encoding="utf-8")
    return path


def open_page(browser: Any, report: Path, width: int, scheme: str, *, script: bool = True) -> tuple[Any, list[str]]:
    """The page with what it asked for, what it complained of, and what popped up."""
    context = browser.new_context(
        viewport={"width": width, "height": 900}, color_scheme=scheme, offline=True, java_script_enabled=script
    )
    page = context.new_page()
    seen: list[str] = []
    page.on("request", lambda asked: seen.append(asked.url))
    page.on("pageerror", lambda error: seen.append(str(error)))
    page.on("console", lambda message: seen.append(message.text) if message.type in ("error", "warning") else None)
    page.on("dialog", lambda dialog: seen.append(f"dialog: {dialog.message}"))
    page.goto(report.as_uri())
    if script:
        page.wait_for_selector("html[data-ready=yes]", timeout=60_000)
    return page, seen


@pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (390, "dark")])
def test_it_opens_without_a_network_and_fits(browser: Any, report: Path, width: int, scheme: str) -> None:
    page, seen = open_page(browser, report, width, scheme)
    assert seen == [report.as_uri()]
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.locator("figure.drawn .live svg").count() == 3
    widest = page.evaluate("Math.max(...[...document.querySelectorAll('.live svg')].map(one => one.clientWidth))")
    assert widest <= width
    dark = page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(21, 24, 28)"
    assert dark is (scheme == "dark")
    page.context.close()


def test_the_pointer_and_the_keyboard_read_values(browser: Any, report: Path) -> None:
    page, _ = open_page(browser, report, 1280, "light")
    page.locator("#chart-torque").scroll_into_view_if_needed()
    box = page.locator("#chart-torque .live svg").bounding_box()
    page.mouse.move(box["x"] + 300, box["y"] + 200)
    page.mouse.move(box["x"] + 304, box["y"] + 204)
    page.wait_for_selector("#vg-tooltip-element.visible", timeout=10_000)
    told = page.inner_text("#vg-tooltip-element")
    assert "rpm" in told
    assert "log, lb-ft" in told
    assert "undefined" not in told
    page.focus("#read-torque")
    before = page.inner_text("#chart-torque output")
    page.keyboard.press("ArrowRight")
    after = page.inner_text("#chart-torque output")
    assert before != after
    assert "log, lb-ft" in after
    page.context.close()


def test_without_javascript_and_on_paper_the_still_pictures_stand(browser: Any, report: Path) -> None:
    page, _ = open_page(browser, report, 1280, "light", script=False)
    assert page.locator("figure .still svg").first.is_visible()
    assert not page.locator("figure .reader").first.is_visible()
    page.context.close()
    page, _ = open_page(browser, report, 1280, "light")
    assert not page.locator("figure .still svg").first.is_visible()
    page.emulate_media(media="print")
    assert page.locator("figure .still svg").first.is_visible()
    assert not page.locator("nav").is_visible()
    page.context.close()


def test_one_figure_alone_prints_on_one_page(browser: Any, report: Path) -> None:
    page, _ = open_page(browser, report, 1280, "light")
    page.evaluate(
        "document.body.classList.add('one-figure'); document.getElementById('chart-torque').classList.add('taken')"
    )
    for landscape in (True, False):
        paper = page.pdf(format="A4", landscape=landscape)
        assert paper.count(b"/Type /Page\n") + paper.count(b"/Type /Page ") == 1
    page.context.close()
