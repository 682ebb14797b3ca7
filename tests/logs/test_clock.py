"""Clocks: seconds, time of day, dates, midnight, restarts, and what cannot be told."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import numpy as np
import pytest

from fairpull.logs import clock
from tests.logs.small_log import GOOD, ROWS, TIME, codes, read, refused

MAY_6 = datetime(2031, 5, 6, tzinfo=UTC).timestamp()


def of_day(seconds: float) -> str:
    return f"{int(seconds // 3600) % 24:02d}:{int(seconds // 60) % 60:02d}:{seconds % 60:04.1f}"


@pytest.mark.parametrize(
    ("cells", "seconds", "first"),
    [
        (["10:15:02.5", "10:15:03", "10:16:00.25"], [0, 0.5, 57.75], 36902.5),
        (["10:15:02,5", "10:15:03,0"], [0, 0.5], 36902.5),
        (["1:05:00 PM", "1:05:01 PM"], [0, 1], 47100.0),
        (["12:00:00 am", "12:00:02 am"], [0, 2], None),
        (["00:00:00.1", "00:00:00.2", "00:01:00.2"], [0.1, 0.2, 60.2], None),
        (["00:12.5", "01:00.0"], [12.5, 60.0], None),
        (["23:59:59", "00:00:01"], [0, 2], 86399.0),
    ],
)
def test_clocks_with_colons(cells: list[str], seconds: list[float], first: float | None) -> None:
    read_clock = clock.from_text(cells, "x")
    assert read_clock is not None
    np.testing.assert_allclose(read_clock.seconds, seconds, atol=1e-9)
    assert read_clock.of_day == first


@pytest.mark.parametrize(
    ("cell", "day"),
    [
        ("2031-05-06 10:15:00", date(2031, 5, 6)),
        ("2031-05-06T10:15:00Z", date(2031, 5, 6)),
        ("06.05.2031 10:15:00", date(2031, 5, 6)),
        ("25/05/2031 10:15:00", date(2031, 5, 25)),
        ("05/25/2031 10:15:00", date(2031, 5, 25)),
        ("05/06/2031 10:15:00", None),
    ],
)
def test_dates_are_read_where_they_are_clear(cell: str, day: date | None) -> None:
    read_clock = clock.from_text([cell, cell], "x")
    assert read_clock is not None
    assert read_clock.day == day
    assert (day is None) == ("date-doubtful" in {finding.code for finding in read_clock.findings})


def test_words_are_no_clock() -> None:
    assert clock.from_text(["warm", "up", "10:00:00"], "x") is None
    assert clock.from_text(["", ""], "x") is None


@pytest.mark.parametrize(
    ("lines", "day", "seconds"),
    [
        (["Date: 2031-05-06", "Time: 09:40:12"], date(2031, 5, 6), 34812.0),
        (["Recorded 6.5.2031 2:05 PM"], date(2031, 5, 6), 50700.0),
        (["Date: 05/06/2031"], None, None),
        (["made 2031-05-06", "calibrated 2031-05-01"], None, None),
        (["Baro: 29.62 inHg", "Operator: somebody"], None, None),
    ],
)
def test_the_lines_before_the_header(lines: list[str], day: date | None, seconds: float | None) -> None:
    assert clock.from_preamble(lines, "x")[:2] == (day, seconds)


def test_a_date_time_column_gives_the_start(tmp_path: Path) -> None:
    cells = [f"2031-05-06 {of_day(36000 + t)}" for t in TIME]
    found = read(tmp_path, {"Time": cells, **{k: v for k, v in GOOD.items() if k != "Time [s]"}})
    assert found.started_at == MAY_6 + 36000
    np.testing.assert_allclose(found.channels["time"], TIME, atol=1e-6)


@pytest.mark.parametrize(("options", "before"), [({"date": "2031-05-06"}, ""), ({}, "Date: 2031-05-06\n")])
def test_a_time_of_day_with_a_date_from_elsewhere(options: dict[str, str], before: str, tmp_path: Path) -> None:
    columns: dict[str, list[str] | list[float]] = {"Time": [of_day(36000 + t) for t in TIME]}
    columns.update({k: v for k, v in GOOD.items() if k != "Time [s]"})
    assert read(tmp_path, columns).started_at is None
    assert read(tmp_path, columns, before, **options).started_at == MAY_6 + 36000


def test_counters_since_1970_and_milliseconds(tmp_path: Path) -> None:
    rest = {k: v for k, v in GOOD.items() if k != "Time [s]"}
    found = read(tmp_path, {"Timestamp": [f"{MAY_6 + t:.3f}" for t in TIME], **rest})
    assert found.started_at == MAY_6
    np.testing.assert_allclose(found.channels["time"], TIME, atol=1e-6)
    found = read(tmp_path, {"Time [ms]": [f"{1000 * t:.0f}" for t in TIME], **rest})
    np.testing.assert_allclose(found.channels["time"], TIME, atol=1e-12)
    found = read(tmp_path, {"Time": [f"{1000 * t:.0f}" for t in TIME], **rest})
    np.testing.assert_allclose(found.channels["time"], TIME, atol=1e-12)
    assert "unit-assumed" in codes(found)


def test_a_restart_is_joined_and_said(tmp_path: Path) -> None:
    half = ROWS // 2
    again = [*TIME[:half], *[t - TIME[half] for t in TIME[half:]]]
    found = read(tmp_path, GOOD | {"Time [s]": again})
    np.testing.assert_allclose(found.channels["time"], TIME, atol=1e-9)
    (finding,) = (finding for finding in found.findings if finding.code == "clock-restarts")
    assert f"row {half + 2}" in finding.text


def test_a_clock_out_of_order_is_refused(tmp_path: Path) -> None:
    shuffled = [TIME[(7 * at) % ROWS] for at in range(ROWS)]
    assert set(refused(tmp_path, GOOD | {"Time [s]": shuffled})) == {"time-out-of-order"}


def test_no_clock_is_a_table(tmp_path: Path) -> None:
    found = read(tmp_path, {key: values for key, values in GOOD.items() if key != "Time [s]"})
    assert found.kind == "table"
    assert codes(found) == {"no-clock"}


def test_a_wrong_date_option_is_refused(tmp_path: Path) -> None:
    assert set(refused(tmp_path, GOOD, date="6 May")) == {"date-unreadable"}
