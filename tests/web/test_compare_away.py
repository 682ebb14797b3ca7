"""What is taken away from a comparison is what the command line writes."""

from __future__ import annotations

import csv
import json
import os
import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from fairpull.show.csv_cells import is_number

QUERY = "of=anvil-log&of=anvil-header"


def _cli(book: Path, *words: str) -> str:
    command = [sys.executable, "-m", "fairpull", "compare", "anvil-log", "anvil-header", "--book", str(book), *words]
    done = subprocess.run(command, capture_output=True, text=True, check=True, env={**os.environ, "NO_COLOR": "1"})
    return done.stdout


@pytest.mark.parametrize("system", ["us", "metric"])
def test_the_document_is_the_command_lines_to_the_byte(pages: TestClient, demo_book: Path, system: str) -> None:
    answer = pages.get(f"/compare/json?{QUERY}&units={system}")
    assert answer.content.decode("utf-8") == _cli(demo_book, "--json", "--units", system)
    assert "attachment" in answer.headers["content-disposition"]


def test_the_report_is_the_command_lines_to_the_byte(pages: TestClient, demo_book: Path, tmp_path: Path) -> None:
    path = tmp_path / "report.html"
    _cli(demo_book, "--report", str(path))
    assert pages.get(f"/compare/report?{QUERY}").content == path.read_bytes()


def test_the_table_by_rpm(pages: TestClient) -> None:
    rows = list(csv.reader(StringIO(pages.get(f"/compare/csv?{QUERY}").text)))
    assert rows[0][:3] == ["build", "reference", "rpm"]
    assert {row[0] for row in rows[1:]} == {"anvil-header"}
    assert all(is_number(cell.replace(",", "")) for row in rows[1:] for cell in row[2:11])


@pytest.mark.parametrize("name", ["torque", "fair-1-1"])
def test_a_chart_in_every_kind(pages: TestClient, name: str) -> None:
    for kind, start in (("svg", b"<svg"), ("png", b"\x89PNG"), ("pdf", b"%PDF"), ("csv", b""), ("json", b"{")):
        answer = pages.get(f"/compare/chart/{name}.{kind}?{QUERY}&size=narrow&theme=dark")
        assert answer.status_code == 200
        assert answer.content.startswith(start)


def test_boost_and_views_of_unlike_engines_have_charts(pages: TestClient) -> None:
    blown = pages.get("/compare/chart/boost-1.json?of=wren-plain&of=wren-screw").json()
    assert any(len(rows) > 5 for rows in blown["spec"]["datasets"].values())
    unlike = pages.get("/compare/chart/bmep-at-equal-rpm.json?of=anvil-header&of=wren-screw").json()
    assert unlike["reading"]["rows"]


def test_a_band_can_be_dragged_on_the_live_torque_chart_only(pages: TestClient) -> None:
    live = pages.get(f"/compare/chart/torque.json?{QUERY}").json()
    names = [one["name"] for one in live["spec"]["params"]]
    assert "band" in names
    assert {"at_0", "at_1"} <= set(names)
    assert live["reading"]["fields"][0][1] == "rpm"
    power = pages.get(f"/compare/chart/power.json?{QUERY}").json()
    assert "band" not in [one["name"] for one in power["spec"].get("params", [])]


def test_an_unknown_chart_is_no_page(pages: TestClient) -> None:
    for path in ("/compare/chart/nope.svg", "/compare/chart/torque.exe", "/compare/chart/fair-9-9.svg"):
        assert pages.get(f"{path}?{QUERY}").status_code == 404
    assert pages.get("/compare/json").status_code == 422


def test_a_browser_that_has_the_chart_is_told_so(pages: TestClient) -> None:
    url = f"/compare/chart/torque.json?{QUERY}"
    mark = pages.get(url).headers["etag"]
    assert pages.get(url, headers={"if-none-match": mark}).status_code == 304
    document = json.loads(pages.get(f"/compare/json?{QUERY}").text)
    assert document["schema"] == "fairpull/comparison"
