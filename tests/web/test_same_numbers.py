"""The same numbers, to the digit, on page, terminal, document and report of the same comparison."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from functools import cache
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from fairpull.show import digits, scale
from fairpull.show.facts import words
from fairpull.terms.comparison import Estimate

CASES = [
    ("anvil-log", "anvil-header", "us"),
    ("anvil-log", "anvil-header", "metric"),
    ("anvil-header", "wren-screw", "us"),
]
NUMBER = re.compile(r"[+-]?\d[\d,]*(?:\.\d+)?")
Rows = list[list[str]]


def flat(html: str) -> str:
    """Words of a page, blanks made one."""
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", html)).replace("\u00a0", " ")).strip()


def table_under(html: str, anchor: str) -> Rows:
    """Cells of the body of the first table after a heading with this id."""
    after = html[html.index(f'id="{anchor}"') :]
    body = after[after.index("<tbody>") : after.index("</tbody>")]
    rows = re.findall(r"<tr>(.*?)</tr>", body, re.DOTALL)
    return [[flat(cell) for cell in re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.DOTALL)] for row in rows]


def pairs_under(html: str, anchor: str) -> dict[str, str]:
    """Terms and values of the first list after a heading with this id."""
    after = html[html.index(f'id="{anchor}"') :]
    listed = after[: after.index("</dl>")]
    found = re.findall(r"<dt>(.*?)</dt>\s*<dd>(.*?)</dd>", listed, re.DOTALL)
    return {flat(name): flat(value) for name, value in found}


def facts_of(html: str) -> list[tuple[str, str]]:
    """Numbers under the first verdict."""
    after = html[html.index('class="facts"') :]
    found = re.findall(r"<dt>(.*?)</dt>\s*<dd>(.*?)</dd>", after[: after.index("</dl>")], re.DOTALL)
    return [(flat(name), flat(value)) for name, value in found]


@cache
def run(book: Path, reference: str, other: str, system: str, *words_: str) -> str:
    """``fairpull compare`` in a wide terminal."""
    command = [sys.executable, "-m", "fairpull", "compare", reference, other, "--book", str(book)]
    command += ["--units", system, *words_]
    env = {**os.environ, "NO_COLOR": "1", "COLUMNS": "200"}
    return subprocess.run(command, capture_output=True, text=True, check=True, env=env).stdout


def estimate(given: dict[str, Any]) -> Estimate:
    """A number of the document, whole."""
    unit = given.get("unit", "1")
    return Estimate(
        given["value"], given["low"], given["high"], unit, given.get("how", ""), given.get("at_least", False)
    )


@pytest.mark.parametrize(("reference", "other", "system"), CASES)
def test_page_and_report_show_the_same(pages: TestClient, reference: str, other: str, system: str) -> None:
    query = f"of={reference}&of={other}&units={system}"
    page, report = pages.get(f"/compare?{query}").text, pages.get(f"/compare/report?{query}").text
    assert facts_of(page) == facts_of(report)
    assert len(facts_of(page)) == 6
    for anchor in ("by-rpm", "builds", "peaks", "standards", "pulls"):
        assert table_under(page, anchor) == table_under(report, anchor), anchor
        assert table_under(page, anchor)
    for anchor in ("averages", "spans", "shape", "noise"):
        assert pairs_under(page, anchor) == pairs_under(report, anchor), anchor
    sentence = re.search(r'<p class="sentence">(.*?)</p>', report, re.DOTALL)
    assert sentence is not None
    assert flat(sentence[1]) in flat(page)


@pytest.mark.parametrize(("reference", "other", "system"), CASES)
def test_the_terminal_shows_the_same(
    pages: TestClient, demo_book: Path, reference: str, other: str, system: str
) -> None:
    page = pages.get(f"/compare?of={reference}&of={other}&units={system}").text
    shown = re.sub(r"\s+", " ", run(demo_book, reference, other, system))
    lines = [" ".join(line.split()) for line in run(demo_book, reference, other, system).splitlines()]
    for name, value in pairs_under(page, "averages").items():
        assert f"{name} {value}" in shown
    for row in table_under(page, "by-rpm"):
        assert " ".join(cell for cell in row if cell) in lines
    for row in table_under(page, "builds"):
        assert " ".join(row) in lines
    sentence = re.search(r'<p class="sentence">(.*?)</p>', page, re.DOTALL)
    assert sentence is not None
    assert flat(sentence[1]) in shown


@pytest.mark.parametrize(("reference", "other", "system"), CASES)
def test_the_document_rounds_to_the_same(
    pages: TestClient, demo_book: Path, reference: str, other: str, system: str
) -> None:
    page = pages.get(f"/compare?of={reference}&of={other}&units={system}").text
    document = json.loads(run(demo_book, reference, other, system, "--json"))
    difference = document["differences"][0]
    averages = pairs_under(page, "averages")
    for name, key in (("torque", "mean_torque"), ("power", "mean_power"), ("area under power", "area_ratio")):
        assert averages[name] == words.with_interval(estimate(difference[key]), system, signed=True)
    assert averages["torque, per cent"] == words.with_interval(estimate(difference["mean_ratio"]), system, signed=True)
    at = dict(zip(difference["axis"]["values"], range(len(difference["axis"]["values"])), strict=True))
    for row in table_under(page, "by-rpm"):
        place = at[float(row[0].replace(",", ""))]
        for cell, values in zip(row[3:6], _band(difference["torque"], place), strict=True):
            assert cell == _same_places(scale.scalar(values, "N m", system), cell)
        for cell, values in zip(row[6:9], _band(difference["ratio"], place), strict=True):
            assert cell == _same_places(100.0 * values, cell)


def _band(given: dict[str, Any], place: int) -> list[float]:
    """Mean, low and high at one place of a band of the document."""
    mean = next(name for name in ("mean", "value", "values") if name in given)
    names = [mean, "low", "high"]
    return [float(given[name][place]) for name in names]


def _same_places(value: float, cell: str) -> str:
    """A number of the document to as many places as the page's cell has."""
    places = len(cell.partition(".")[2])
    return digits.number(value, places, signed=True)
