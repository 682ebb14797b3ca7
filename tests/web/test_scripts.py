"""Little script of ours, none of it inside pages, nothing from outside, and every page reads without any."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree.ElementTree import Element

import html5lib
import pytest

import fairpull
from tests.web.all_pages import Walk, walked

PACKAGE = Path(fairpull.__file__).parent
MOST_LINES = 300  # of script, in all
LEAST_WORDS = 30  # signs that a page says without script
OUTSIDE = re.compile(r"""(?:https?:)?//[\w.-]+""")
HANDLER = re.compile(r"""\son[a-z]+\s*=\s*["']|\sstyle\s*=|<style|javascript:|hx-on|\|\s*safe\b""", re.IGNORECASE)
INLINE = re.compile(r"<script(?![^>]*\ssrc=)", re.IGNORECASE)
PLACES = (
    "href",
    "src",
    "srcset",
    "action",
    "formaction",
    "poster",
    "data-chart",
    "data-library",
    "data-hx-get",
    "data-hx-post",
)


@pytest.fixture(scope="module")
def walk(demo_book: Path) -> Walk:
    """All pages."""
    return walked(demo_book)


def tree_of(text: str) -> Element:
    """A page as a browser builds it."""
    tree: Element = html5lib.parse(text, namespaceHTMLElements=False)
    return tree


def words(element: Element | None) -> str:
    """The text of an element without that of scripts and styles."""
    if element is None:
        return ""
    skipped = {id(one) for kind in ("script", "style", "noscript", "template") for one in element.iter(kind)}
    said = [(one.text or "") + " " for one in element.iter() if id(one) not in skipped]
    said += [(one.tail or "") + " " for one in element.iter() if one is not element]
    return " ".join("".join(said).split())


def test_scripts_of_ours_are_short() -> None:
    lines = {path.name: len(path.read_text("utf-8").splitlines()) for path in PACKAGE.rglob("*.js")}
    assert lines
    assert sum(lines.values()) < MOST_LINES, lines


def test_templates_hold_no_script_style_or_handler() -> None:
    wrong = []
    for path in sorted((PACKAGE / "web" / "templates").glob("*.html")):
        for number, line in enumerate(path.read_text("utf-8").splitlines(), start=1):
            if HANDLER.search(line) or INLINE.search(line) or OUTSIDE.search(line):
                wrong.append(f"{path.name}:{number}: {line.strip()[:100]}")
    assert wrong == []


def test_pages_hold_no_script_style_or_handler_and_name_no_other_site(walk: Walk) -> None:
    wrong: list[str] = []
    for page in walk.pages():
        for one in tree_of(page.text).iter():
            names = [name for name in one.attrib if name.startswith("on") or name == "style"]
            wrong += [f"{page.url}: {one.tag} {name}" for name in names]
            if one.tag == "style" or (one.tag == "script" and (one.get("src") is None or (one.text or "").strip())):
                wrong.append(f"{page.url}: inline {one.tag}")
            wrong += [
                f"{page.url}: {name}={one.get(name)}"
                for name in PLACES
                if OUTSIDE.match(one.get(name, "").strip()) or one.get(name, "").strip().startswith("javascript:")
            ]
    assert wrong == []


def test_style_sheets_name_no_other_site(walk: Walk) -> None:
    sheets = {
        one.get("href", "")
        for page in walk.pages()[:3]
        for one in tree_of(page.text).iter("link")
        if one.get("rel") == "stylesheet"
    }
    assert sheets
    for place in sheets:
        name = place.partition("?")[0].rpartition("/")[2]
        path = PACKAGE / "web" / "static" / name
        if path.exists():
            text = path.read_text("utf-8")
            assert not re.search(r"url\(|@import", text), name


def test_every_answer_carries_the_policy(walk: Walk) -> None:
    for one in walk.seen.values():
        policy = one.headers.get("content-security-policy", "")
        assert "default-src 'none'" in policy, one.url
        assert "unsafe" not in policy, one.url
        if one.page:
            assert "script-src 'self'" in policy, one.url
        assert one.headers["x-content-type-options"] == "nosniff", one.url


def test_every_page_has_its_landmarks(walk: Walk) -> None:
    wrong: list[str] = []
    for page in walk.pages():
        tree = tree_of(page.text)
        html = tree if tree.tag == "html" else tree.find(".//html")
        titles = [words(one) for one in tree.iter("title")]
        counts = {
            "lang": int(html is not None and html.get("lang") == "en"),
            "title": len(titles),
            "h1": len(list(tree.iter("h1"))),
            "main": len(list(tree.iter("main"))),
            "skip link": sum(one.get("href") == "#main" for one in tree.iter("a")),
        }
        wrong += [f"{page.url}: {count} {what}" for what, count in counts.items() if count != 1]
        if not titles or len(titles[0]) < 5:
            wrong.append(f"{page.url}: title {titles}")
    assert wrong == []


def test_every_page_reads_without_script(walk: Walk) -> None:
    wrong: list[str] = []
    for page in walk.pages():
        tree = tree_of(page.text)
        said = words(next(tree.iter("main"), None))
        if len(said) < LEAST_WORDS:
            wrong.append(f"{page.url}: only {said!r}")
        wrong += [
            f"{page.url}: {figure.get('id')} has no still picture"
            for figure in tree.iter("figure")
            if figure.get("data-chart") and not any(one.get("src") and one.get("alt") for one in figure.iter("img"))
        ]
        wrong += [f"{page.url}: link {words(one)!r} leads nowhere" for one in tree.iter("a") if not one.get("href")]
        wrong += [
            f"{page.url}: form {form.get('action')} cannot be sent"
            for form in tree.iter("form")
            if not any(one.tag == "button" or one.get("type") == "submit" for one in form.iter())
        ]
    assert wrong == []
