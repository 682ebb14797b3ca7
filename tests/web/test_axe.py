"""Every page under axe in a real Chromium: at a desk and on a phone, in light and in dark."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.show.test_page_in_browser import FLAGS
from tests.web.all_pages import Walk, walked

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
DESK, PHONE = 1280, 390
HEAVY = {"serious", "critical"}
LONGEST_WAIT = 30_000  # [ms]

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine"),
]


@pytest.fixture(scope="module")
def walk(demo_book: Path) -> Walk:
    """All pages, served."""
    return walked(demo_book)


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """One Chromium for all pages."""
    sync_api = pytest.importorskip("playwright.sync_api")
    with sync_api.sync_playwright() as play:
        opened = play.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        yield opened
        opened.close()


def ready(page: Any) -> None:
    """Wait until what is in sight is live; pages without charts are ready at once."""
    if page.locator("figure[data-chart]").count():
        page.wait_for_selector("html[data-ready=yes]", timeout=LONGEST_WAIT)


def issues(page: Any, axe: Any) -> list[tuple[str, str]]:
    """What axe finds on an open page: weight, and what with the first places."""
    found = axe.run(page).response["violations"]
    places = ("; ".join(node["html"][:140] for node in one["nodes"][:3]) for one in found)
    return [(one["impact"], f"{one['id']}: {place}") for one, place in zip(found, places, strict=True)]


@pytest.mark.parametrize(("width", "schemes"), [(DESK, ("light", "dark")), (PHONE, ("dark", "light"))])
def test_axe_finds_nothing_serious_and_no_page_is_wider_than_its_screen(
    browser: Any, walk: Walk, width: int, schemes: tuple[str, str], capsys: pytest.CaptureFixture[str]
) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    heavy: list[str] = []
    light: list[str] = []
    wide: list[str] = []
    complaints: list[str] = []
    for turn, scheme in enumerate(schemes):
        context = browser.new_context(viewport={"width": width, "height": 900}, color_scheme=scheme)
        page = context.new_page()
        page.on("pageerror", lambda error: complaints.append(str(error)))
        for one in walk.plain()[turn::2]:  # each page once at this width, half of them in each scheme
            page.goto(walk.served.address + one.url)
            ready(page)
            for weight, said in issues(page, axe):
                (heavy if weight in HEAVY else light).append(f"{one.url} at {width} px, {scheme}: {weight}: {said}")
            if page.evaluate("document.documentElement.scrollWidth") > width:
                wide.append(one.url)
        context.close()
    with capsys.disabled():
        for said in light:
            sys.stderr.write(f"{said}\n")
    assert heavy == []
    assert wide == []
    assert complaints == []
