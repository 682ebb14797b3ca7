"""The preview of an offered file: both quantities, the pulls that were found, and gaps that stay gaps."""

from __future__ import annotations

import json
from typing import Any

import pytest

from fairpull.show import chart_preview
from fairpull.show.chart_theme import DARK, LIGHT, NARROW, WIDE
from fairpull.show.pictures import render
from fairpull.terms.offered import OfferedPull, OfferedRecording

Spec = dict[str, Any]


def offered(**more: Any) -> OfferedRecording:
    pulls = tuple(
        OfferedPull(f"p{n}", "sweep", 0, 9, 10, start, start + 3.0, (2000.0, 4000.0), (100.0, 300.0))
        for n, start in enumerate((1.0, 6.0))
    )
    given = {
        "along": tuple(float(n) for n in range(10)),
        "rpm": tuple(2000.0 + 100 * n for n in range(10)),
        "torque": (None, *(200.0 + n for n in range(9))),
        "clocked": True,
        "pulls": pulls,
    }
    return OfferedRecording("log \x07one", "trace", 10, **{**given, **more})


def rows(spec: Spec, panel: int, kind: str) -> list[Spec]:
    layers = [one for one in spec["vconcat"][panel]["layer"] if one["mark"]["type"] == kind]
    found: list[Spec] = spec["datasets"][layers[0]["data"]["name"]] if layers else []
    return found


def test_both_quantities_are_drawn_and_gaps_stay() -> None:
    spec = chart_preview.preview(offered(), LIGHT, WIDE, "metric")
    assert [row["value"] for row in rows(spec, 0, "line")] == [2000.0 + 100 * n for n in range(10)]
    assert [row["value"] for row in rows(spec, 1, "line")][:2] == [None, 200.0]
    assert spec["title"] == ["log one: as read, 2 pulls found"]


def test_pulls_are_shaded_where_they_are_and_named() -> None:
    spec = chart_preview.preview(offered(), LIGHT, WIDE)
    for panel in (0, 1):
        assert [(row["x"], row["x2"]) for row in rows(spec, panel, "rect")] == [(1.0, 4.0), (6.0, 9.0)]
    assert [row["said"] for row in rows(spec, 0, "text")] == ["pull 1", "pull 2"]


def test_us_units_are_shown() -> None:
    spec = chart_preview.preview(offered(), LIGHT, WIDE, "us")
    assert rows(spec, 1, "line")[1]["value"] == pytest.approx(200.0 / 1.3558179483314004)
    assert chart_preview.table(offered(), "us").splitlines()[0] == '"time, s","speed, rpm","torque, lb-ft"'


def test_the_table_has_every_point() -> None:
    lines = chart_preview.table(offered(), "metric").splitlines()
    assert len(lines) == 11
    assert lines[1] == "0.000,2000.0,"
    assert lines[2] == "1.000,2100.0,200.0"


@pytest.mark.parametrize(
    "given", [offered(), offered(along=(), rpm=(), torque=(), pulls=()), offered(rpm=(None,) * 10, pulls=())]
)
def test_it_can_be_drawn_whatever_was_read(given: OfferedRecording) -> None:
    for theme, size in ((LIGHT, WIDE), (DARK, NARROW)):
        spec = chart_preview.preview(given, theme, size)
        json.dumps(spec, allow_nan=False)
        assert render(spec, "svg").startswith(b"<svg")
