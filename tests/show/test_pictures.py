"""Charts as files to take away."""

from __future__ import annotations

import csv
import struct
from io import StringIO
from pathlib import Path

import pytest

from fairpull.show.chart_csv import chart_csv
from fairpull.show.csv_cells import cell
from fairpull.show.pictures import picture, write_pictures
from fairpull.terms.errors import UnknownName
from tests.show import days


def test_png_svg_and_pdf_are_what_they_say() -> None:
    day = days.header_day()
    png = picture(day, "timeline", "png")
    assert png.startswith(b"\x89PNG")
    width, height = struct.unpack(">II", png[16:24])
    assert width > 1640 > height > 500
    assert picture(day, "timeline", "svg", size="narrow").startswith(b"<svg")
    assert picture(day, "timeline", "pdf", theme="dark").startswith(b"%PDF")


def test_svg_escapes_what_came_from_files() -> None:
    drawn = picture(days.hostile_day(), "timeline", "svg").decode()
    assert "<script" not in drawn
    assert "&lt;script&gt;" in drawn


def test_csv_holds_the_comparisons_numbers() -> None:
    day = days.header_day()
    difference = day.differences[0]
    rows = list(csv.DictReader(StringIO(chart_csv("torque", day, "metric"))))
    at = {float(row["rpm"]): row for row in rows}
    n = int(difference.rpm.searchsorted(3000.0))
    assert float(at[3000.0]["header against log [%]"]) == pytest.approx(100.0 * difference.ratio[n], rel=1e-5)
    assert float(at[3000.0]["header against log low [N m]"]) == pytest.approx(difference.torque_low[n], rel=1e-5)
    assert at[1600.0]["header [N m]"] == ""
    assert float(at[1600.0]["maker's rating declared [N m]"]) == pytest.approx(day.declared[0].torque[0], rel=1e-5)
    lines = list(csv.DictReader(StringIO(chart_csv("timeline", day, "us"))))
    assert [one["pull"] for one in lines] == [row.pull for row in day.pulls]


@pytest.mark.parametrize(("text", "kept"), [("=1+1", "'=1+1"), ("-log", "'-log"), ("log", "log"), ("a\x1b[0m", "a[0m")])
def test_no_cell_is_taken_for_a_formula(text: str, kept: str) -> None:
    assert cell(text) == kept


@pytest.mark.parametrize(
    ("name", "kind", "theme", "code"),
    [
        ("pie", "png", "light", "chart-unknown"),
        ("torque", "gif", "light", "picture-unknown"),
        ("torque", "csv", "sepia", "theme-unknown"),
    ],
)
def test_what_does_not_exist_is_refused_with_what_does(name: str, kind: str, theme: str, code: str) -> None:
    with pytest.raises(UnknownName) as refused:
        picture(days.header_day(), name, kind, theme=theme)
    assert [fault.code for fault in refused.value.faults] == [code]
    assert "one of:" in refused.value.faults[0].remedy


def test_a_folder_of_pictures(tmp_path: Path) -> None:
    written = write_pictures(days.header_day(), tmp_path / "charts", kinds=("csv",))
    assert [path.name for path in written] == ["torque.csv", "power.csv", "timeline.csv"]
    assert all(path.read_bytes() for path in written)
