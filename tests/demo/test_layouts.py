"""The files are as messy as a shop's."""

from __future__ import annotations

import json
from pathlib import Path

import polars as pl

from fairpull.demo import DemoDay

LEAST_CHANNELS = 30


def _tabbed_head(path: Path) -> tuple[list[str], list[str]]:
    lines = path.read_bytes().decode("cp1252").split("\r\n")
    return lines[5].split("\t"), lines[6].split("\t")


def test_tabbed_text_has_preamble_names_units_marker_and_dashes(demo_day: DemoDay) -> None:
    text = demo_day.pulls[2].read_bytes().decode("cp1252")
    names, units = _tabbed_head(demo_day.pulls[2])
    assert text.startswith("Larchyard engine shop")
    assert "Date: 05/23/2026    Start: 09:40:" in text
    assert len(names) == len(units) >= LEAST_CHANNELS
    assert dict(zip(names, units, strict=True))["Torque"] == "lb-ft"
    assert {"degF", "inHg", "psi", "lb/hr", "cfm"} <= set(units)
    assert {"Fuel A", "Fuel B"} <= set(names)
    assert "\n# marker" in text
    assert "----" in text


def test_comma_text_has_mark_and_a_comma_too_many(demo_day: DemoDay) -> None:
    content = demo_day.pulls[10].read_bytes()
    lines = content.decode("utf-8-sig").split("\r\n")
    assert content.startswith(b"\xef\xbb\xbf")
    assert all(line.endswith(",") for line in lines[5:-1])
    assert len(lines[5].split(",")) > LEAST_CHANNELS


def test_wide_text_is_utf16_with_thousands_marks(demo_day: DemoDay) -> None:
    content = demo_day.pulls[12].read_bytes()
    assert content.startswith(b"\xff\xfe")
    row = content.decode("utf-16").split("\r\n")[1500].split("\t")
    assert len(row) >= LEAST_CHANNELS
    assert row[1][1] == ","
    assert float(row[1].replace(",", "")) > 1000
    assert "n/a" in content.decode("utf-16")


def test_metric_text_is_latin1_with_decimal_commas_and_a_second_header(demo_day: DemoDay) -> None:
    content = demo_day.pulls[3].read_bytes()
    lines = content.decode("latin-1").split("\n")
    heads = [line for line in lines if line.startswith("Clock")]
    assert b"[\xb0C]" in content
    assert len(heads) == 2
    assert heads[0] == heads[1]
    columns = heads[0].split(";")
    assert len(columns) >= LEAST_CHANNELS
    assert not any("arometer" in column for column in columns)
    row = lines[10].split(";")
    assert row[0].startswith("09:55:")
    assert "," in row[3]
    assert "." not in lines[10]
    assert lines[-2] == "--- end of record ---"
    assert any(line.startswith("Maximum;") for line in lines[-5:])


def test_columnar_table_has_units_in_its_names_and_a_stamp(demo_day: DemoDay) -> None:
    table = pl.read_parquet(demo_day.pulls[4])
    assert table.width >= LEAST_CHANNELS
    assert {"brake_torque_Nm", "inlet_air_temp_degC", "barometer_hPa", "egt_6_degC"} <= set(table.columns)
    assert str(table["timestamp"][0]).startswith("2026-05-23 10:10:")
    assert any(series.null_count() for series in table)


def test_json_lines_leave_out_what_did_not_come(demo_day: DemoDay) -> None:
    rows = [json.loads(line) for line in demo_day.pulls[5].read_text().splitlines()]
    widths = {len(row) for row in rows}
    assert max(widths) >= LEAST_CHANNELS
    assert len(widths) > 1
    assert "Torque [lb-ft]" in rows[0]


def test_controller_log_has_its_own_clock_and_no_torque(demo_day: DemoDay) -> None:
    head, *rows = demo_day.controller.read_text().splitlines()
    assert head.startswith("Time [s],RPM [rpm],")
    assert "orque" not in head
    first, second = (float(row.split(",")[0]) for row in rows[:2])
    assert round(second - first, 6) == 0.05
    assert first > 400  # its clock runs since the key was turned
