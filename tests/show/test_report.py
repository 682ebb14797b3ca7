"""The report: one file, nothing from outside, everything escaped, and the same story as the other faces."""

from __future__ import annotations

import json
import re
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from fairpull.show.comparison_text import comparison_text
from fairpull.show.facts import day as day_facts
from fairpull.show.facts import difference as difference_facts
from fairpull.show.facts import words
from fairpull.show.jsonface import comparison_to_json
from fairpull.show.report import write_report
from fairpull.terms.comparison import Comparison
from tests.show import days
from tests.show.pages import page

NAMES = ("header", "hostile")


class Reader(HTMLParser):
    """What a browser would make of the page: tags with attributes, and the words outside scripts and styles."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.scripts: list[str] = []
        self._inside = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self._inside = tag if tag in ("script", "style") else self._inside

    def handle_endtag(self, tag: str) -> None:
        self._inside = "" if tag == self._inside else self._inside

    def handle_data(self, data: str) -> None:
        if self._inside == "script":
            self.scripts.append(data)
        elif not self._inside:
            self.words.append(data)


@cache
def read(name: str) -> Reader:
    """The page as read."""
    reader = Reader()
    reader.feed(page(name))
    return reader


def said(name: str) -> str:
    """The page's words, spaces evened out."""
    return " ".join(" ".join(read(name).words).split())


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_loaded_from_anywhere(name: str) -> None:
    for tag, attributes in read(name).tags:
        assert tag not in ("link", "iframe", "object", "embed", "base", "img")
        assert "src" not in attributes
        address = attributes.get("href") or ""
        assert address == "" or address.startswith(("#", "data:text/csv"))
        assert not any(key.startswith("on") for key in attributes)
    styles = re.findall(r"<style>(.*?)</style>", page(name), re.DOTALL)
    assert all("url(" not in one and "@import" not in one for one in styles)
    addresses = set(re.findall(r"https?://[\w./-]+", page(name)))
    assert {one.split("/")[2] for one in addresses} <= {"www.w3.org"}  # names of SVG's own grammar, never fetched
    assert "default-src 'none'" in page(name)


def test_text_from_files_is_never_markup() -> None:
    reader = read("hostile")
    assert [tag for tag, _ in reader.tags].count("script") == 3
    assert days.HOSTILE.replace("\x1b", "") in said("hostile")
    assert "\x1b" not in page("hostile")
    documents = json.loads(reader.scripts[0])
    assert "<script" not in reader.scripts[0]
    assert documents["charts"].keys() == {"torque", "power", "timeline"}


def test_the_page_has_its_bones() -> None:
    tags = read("header").tags
    ids = [attributes["id"] for _, attributes in tags if "id" in attributes]
    assert len(ids) == len(set(ids))
    anchors = {(attributes.get("href") or "")[1:] for tag, attributes in tags if tag == "a"}
    assert {one for one in anchors if not one.startswith("ata:")} <= set(ids)
    assert [tag for tag, _ in tags].count("h1") == 1
    assert dict(tags)["html"] == {"lang": "en"}
    assert "viewport" in {attributes.get("name") for tag, attributes in tags if tag == "meta"}


def test_charts_stand_there_without_javascript() -> None:
    svgs = [attributes for tag, attributes in read("header").tags if tag == "svg"]
    assert len(svgs) == 3
    assert "var(--build-1)" in page("header")
    clips = re.findall(r'<clipPath id="([^"]+)"', page("header"))
    assert len(clips) == len(set(clips))


def test_the_verdict_comes_before_everything_else() -> None:
    day = days.header_day()
    text = said("header")
    assert text.index(day.differences[0].verdict.sentence) < text.index("header against log by rpm")
    assert text.index("+2.6 %") < text.index("Averages over")


def test_cautions_are_there_and_nothing_is_called_safe() -> None:
    text = said("header")
    assert all(one in text for one in words.CAUTIONS)
    assert not re.search(r"\bsafe(ly|ty|r|st)?\b", text, re.IGNORECASE)


def test_sources_that_numbers_name_are_listed_with_how_far_they_were_verified() -> None:
    text = said("header")
    assert "Gaussian Processes for Machine Learning" in text
    assert "not re-read; check before relying on it" in text


def _cells(table: Any) -> list[str]:
    return [cell for row in table.rows for cell in row if cell]


def test_four_faces_tell_one_story() -> None:
    day: Comparison = days.header_day()
    difference = day.differences[0]
    terminal = " ".join(comparison_text(day, "us").split())
    html = said("header")
    document = comparison_to_json(day, "us")
    figures = json.loads(read("header").scripts[0])
    for face in (terminal, html):
        assert difference.verdict.sentence in face
        assert all(finding.code in face for finding in words.all_findings(day))
        for table in (
            difference_facts.by_rpm(day, difference, "us"),
            difference_facts.averages(day, difference, "us"),
            day_facts.pulls(day, "us"),
        ):
            assert all(cell in face for cell in _cells(table))
    assert document["differences"][0]["verdict"]["sentence"] == difference.verdict.sentence
    assert {one["code"] for one in document["findings"]} <= {one.code for one in words.all_findings(day)}
    drawn = {row["at"]: row for row in figures["reading"]["torque"]["rows"]}
    table = difference_facts.by_rpm(day, difference, "us")
    for row in table.rows[1:-1]:
        assert drawn[row[0]]["b0"].startswith(f"{row[1]} (")
        assert drawn[row[0]]["d1"].startswith(f"{row[6]} %")


def test_the_file_appears_whole(tmp_path: Path) -> None:
    path = write_report(days.lone_build(), tmp_path / "new" / "out.html", "metric")
    assert path.read_text(encoding="utf-8").rstrip().endswith("</html>")
    assert [one.name for one in path.parent.iterdir()] == ["out.html"]
