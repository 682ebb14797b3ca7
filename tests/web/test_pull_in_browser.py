"""The channels' one cursor, in a real Chromium: pointer and keyboard move it through every panel at once."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest

from fairpull.tasks.bench.door import the_book
from tests.web.conftest import Served

pytestmark = pytest.mark.browser
SEEN = '#chart-channels .live svg [opacity="0.9"]'  # a rule and a number in each panel


@pytest.fixture
def page(chromium: str) -> Iterator[Any]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        yield browser.new_page(viewport={"width": 1280, "height": 900})
        browser.close()


def test_the_cursor_goes_through_all_panels_by_pointer_and_by_keyboard(
    page: Any, served: Served, demo_book: Path
) -> None:
    with the_book(demo_book, read_only=True) as kept:
        name = kept.pulls()[1].name
    said: list[str] = []
    page.on("pageerror", lambda error: said.append(str(error)))
    page.goto(f"{served.address}/pulls/{quote(name)}?by=time&channels=torque&channels=lambda&channels=oil_temperature")
    page.locator("#chart-curve.drawn").wait_for()
    page.locator("#chart-channels").scroll_into_view_if_needed()
    page.locator("#chart-channels.drawn.read").wait_for()
    page.wait_for_timeout(500)
    page.locator("#chart-channels .live").hover(position={"x": 500, "y": 60})
    page.locator(SEEN).nth(5).wait_for(state="attached")
    assert page.locator(SEEN).count() == 6
    page.mouse.move(5, 5)
    page.locator(SEEN).first.wait_for(state="detached")
    page.locator("#read-channels").press("ArrowRight")
    page.locator(SEEN).nth(5).wait_for(state="attached")
    assert page.locator(SEEN).count() == 6
    assert "lambda" in page.locator("#chart-channels output").inner_text()
    assert said == []
