"""Clocks of logs: seconds, time of day, date and time, and the date in a preamble."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime

import numpy as np

from fairpull.logs.cells import row_list
from fairpull.terms.arrays import FloatArray
from fairpull.terms.errors import Fault
from fairpull.terms.findings import Finding, Severity

DAY = 86400.0
ELAPSED_START = 60.0  # a colon clock that begins below this counts from the start of the log
OUT_OF_ORDER = 0.05  # share of steps back from which the clock is no clock
PAUSE = 2.0  # [s]
EPOCH_LOW, EPOCH_HIGH = 3e8, 4.5e9  # 1979 to 2112 in seconds
_PARTS = (
    r"^\s*(?:(?P<a>\d{1,4})(?P<k>[-/.])(?P<b>\d{1,2})[-/.](?P<c>\d{1,4})[T ]*)?"
    r"(?:(?P<h>\d{1,3}):(?P<m>\d{2})(?::(?P<s>\d{2}))?(?:[.,](?P<f>\d+))?)?"
    r"\s*(?P<p>[AaPp][Mm])?(?P<z>Z|[-+]\d{2}:?\d{2})?\s*$"
)
_DATE = re.compile(r"(?<!\d)(?P<a>\d{4}|\d{1,2})(?P<mark>[-/.])(?P<b>\d{1,2})(?P=mark)(?P<c>\d{4}|\d{1,2})(?!\d)")
_TIME = re.compile(r"(?<![\d:])(?P<h>\d{1,2}):(?P<m>\d{2})(?::(?P<s>\d{2}(?:[.,]\d+)?))?\s*(?P<p>[AaPp][Mm])?(?![\d:])")
_DATE_WORDS = re.compile(
    r"\b(date|datum|started|start|recorded|created|test time|time|uhrzeit|logged|run)\b", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class Clock:
    """A clock column after reading.

    Attributes:
        seconds: time [s] from the log's own origin, shape (n,), NaN where a cell is no time.
        day: the first row's date, or None.
        of_day: seconds since midnight at the first row, or None where the clock only counts.
        note: how it was read.
        findings: what a tester should know.
    """

    seconds: FloatArray
    day: date | None
    of_day: float | None
    note: str
    findings: tuple[Finding, ...] = ()


def from_text(cells: Sequence[str], where: str) -> Clock | None:
    """Read a clock column written as text.

    Args:
        cells: the column, shape (n,).
        where: file and column, for findings.

    Returns:
        The clock, or None when fewer than half of the filled cells are times.
    """
    import polars as pl

    series = pl.Series(cells, dtype=pl.String)
    fields = series.str.extract_groups(_PARTS).struct.unnest()
    hours, minutes, whole = (_column(fields, name) for name in "hms")
    filled = int((series.str.strip_chars().str.len_bytes() > 0).sum())
    if filled == 0 or np.isfinite(minutes).sum() * 2 < filled:
        return None
    digits = fields["f"].fill_null("0")
    fraction = ("0." + digits).cast(pl.Float64, strict=False).fill_null(0.0).to_numpy()
    three = np.isfinite(whole)
    short = not np.any(three) and fields["f"].null_count() < len(cells)
    seconds = hours * 3600 + minutes * 60 + np.where(three, whole, 0.0) + fraction
    if short:  # 01:12.5 is minutes and seconds
        seconds = hours * 60 + minutes + fraction
    seconds = seconds + _afternoon(fields["p"].to_list(), hours)
    day, days, findings = _days(fields, where)
    return _settle(seconds, days, day, findings, where)


def _column(fields: object, name: str) -> FloatArray:
    import polars as pl

    assert isinstance(fields, pl.DataFrame)  # made above
    array: FloatArray = fields[name].cast(pl.Float64, strict=False).fill_null(float("nan")).to_numpy()
    return array


def _afternoon(words: Sequence[str | None], hours: FloatArray) -> FloatArray:
    if not any(words):
        return np.zeros(len(hours))
    late = np.array([(word or "").lower() == "pm" for word in words])
    early = np.array([(word or "").lower() == "am" for word in words])
    shift = np.where(late & (hours < 12), 12 * 3600.0, 0.0)
    return np.where(early & (hours == 12), -12 * 3600.0, shift)


def _days(fields: object, where: str) -> tuple[date | None, FloatArray, tuple[Finding, ...]]:
    import polars as pl

    assert isinstance(fields, pl.DataFrame)  # made by from_text
    parts = [fields[name].fill_null("") for name in ("a", "k", "b", "c")]
    keys = (parts[0] + "|" + parts[1] + "|" + parts[2] + "|" + parts[3]).to_list()
    known: dict[str, date | None] = {}
    doubtful = False
    for key in dict.fromkeys(keys):
        a, mark, b, c = key.split("|")
        known[key], unsure = read_date(a, b, c, mark) if a else (None, False)
        doubtful = doubtful or unsure
    first = next((known[key] for key in keys if known[key]), None)
    if first is None:
        return None, np.zeros(len(keys)), (_doubtful_date(where),) if doubtful else ()
    offsets = {key: float((day - first).days) if day else 0.0 for key, day in known.items()}
    return first, np.array([offsets[key] for key in keys]), ()


def _midnight(where: str) -> Finding:
    text = "the time of day passes midnight; the rows after it belong to the next day"
    return Finding("clock-over-midnight", Severity.NOTE, where, text, "nothing, if the test ran over midnight")


def _settle(
    seconds: FloatArray, days: FloatArray, day: date | None, findings: tuple[Finding, ...], where: str
) -> Clock:
    good = seconds[np.isfinite(seconds)]
    first = float(good[0])
    if day is None and first < ELAPSED_START:
        return Clock(seconds, None, None, "elapsed time with colons", findings)
    if day is None:
        turns = np.zeros(len(seconds))
        turns[1:] = np.cumsum(np.diff(np.nan_to_num(seconds, nan=first)) < -DAY / 2)
        seconds = seconds + DAY * turns
        if np.any(turns):
            findings = (*findings, _midnight(where))
    else:
        seconds = seconds + DAY * days
    shown = f"{int(first // 3600):02d}:{int(first % 3600 // 60):02d}:{first % 60:04.1f}"
    note = f"time of day, {shown} at the first row" + (f", {day.isoformat()}" if day else ", no date")
    return Clock(seconds - first, day, first, note, findings)


def read_date(a: str, b: str, c: str, mark: str) -> tuple[date | None, bool]:
    """A date out of its three numbers.

    Args:
        a, b, c: the numbers in the order they stood.
        mark: what stood between them; points mean day before month.

    Returns:
        The date or None, and True when day and month could be either way round.
    """
    if len(a) == 4:
        year, month, day, unsure = int(a), int(b), int(c), False
    elif len(c) == 4:
        year, first, second = int(c), int(a), int(b)
        unsure = mark != "." and first <= 12 and second <= 12 and first != second
        day, month = (first, second) if mark == "." or first > 12 else (second, first)
    else:
        return None, True
    if unsure:
        return None, True
    try:
        return date(year, month, day), False
    except ValueError:
        return None, False


def _doubtful_date(where: str) -> Finding:
    return Finding(
        "date-doubtful",
        Severity.NOTE,
        where,
        "day and month of the date can be read either way; the date is taken as unknown",
        "write dates as year-month-day, or give the date by option or in conditions.toml",
    )


def from_preamble(lines: Sequence[str], where: str) -> tuple[date | None, float | None, tuple[Finding, ...]]:
    """Date and time of day in the lines before the header, where they are clear.

    Args:
        lines: preamble lines.
        where: file name for findings.

    Returns:
        Date or None, seconds since midnight or None, findings. Two different dates are no clear date.
    """
    days: set[date] = set()
    times: list[float] = []
    doubtful = False
    for line in lines:
        found, unsure = _dates_in(line)
        doubtful = doubtful or unsure
        days.update(found)
        if found or _DATE_WORDS.search(line):
            times.extend(_times_in(line))
    if len(days) > 1 or (doubtful and not days):
        return None, None, (_doubtful_date(where),)
    unique = set(times)
    return (next(iter(days)) if days else None), (times[0] if len(unique) == 1 else None), ()


def _dates_in(line: str) -> tuple[list[date], bool]:
    found: list[date] = []
    doubtful = False
    for match in _DATE.finditer(line):
        if len(match["a"]) != 4 and len(match["c"]) != 4:
            continue
        day, unsure = read_date(match["a"], match["b"], match["c"], match["mark"])
        doubtful = doubtful or unsure
        if day:
            found.append(day)
    return found, doubtful


def _times_in(line: str) -> list[float]:
    found = []
    for match in _TIME.finditer(line):
        hour = int(match["h"]) % 12 + 12 if (match["p"] or "").lower() == "pm" else int(match["h"])
        if hour < 24 and int(match["m"]) < 60:
            found.append(hour * 3600.0 + int(match["m"]) * 60 + float((match["s"] or "0").replace(",", ".")))
    return found


def started_at(day: date | None, of_day: float | None) -> float | None:
    """Wall-clock start in seconds since 1970, local time taken as UTC.

    Args:
        day: date, or None.
        of_day: seconds since midnight, or None.

    Returns:
        The time, or None when either is unknown.
    """
    if day is None or of_day is None:
        return None
    return datetime(day.year, day.month, day.day, tzinfo=UTC).timestamp() + of_day


def from_numbers(seconds: FloatArray) -> tuple[FloatArray, float | None]:
    """Tell a counter of seconds since 1970 from a counter of the log's own.

    Args:
        seconds: clock [s], shape (n,).

    Returns:
        The clock from the first row on when it was an epoch clock, else unchanged; and the wall-clock start or None.
    """
    good = seconds[np.isfinite(seconds)]
    if len(good) and EPOCH_LOW < good[0] < EPOCH_HIGH:
        return seconds - good[0], float(good[0])
    return seconds, None


def onward(
    seconds: FloatArray, where: str, first_row: int
) -> tuple[FloatArray | None, tuple[Finding, ...], tuple[Fault, ...]]:
    """A clock that only goes forward: steps back are joined on and said; a clock out of order is refused.

    Args:
        seconds: clock [s], shape (n,), at least one finite.
        where: file name.
        first_row: row number in the file of the first sample.

    Returns:
        The clock (None where it never moves), findings, faults.
    """
    good = np.isfinite(seconds)
    steps = np.diff(seconds[good])
    if len(steps) == 0:
        return seconds, (), ()
    if not np.any(steps):
        text = "the clock never moves; read as a table without clock"
        return None, (Finding("time-stuck", Severity.WARNING, where, text, "name another clock column"),), ()
    usual = float(np.median(steps[steps > 0])) if np.any(steps > 0) else 0.0
    index = np.flatnonzero(good)
    back = np.flatnonzero(steps < 0)
    if len(back) == 0:
        return seconds, _uneven(steps, usual, index, where, first_row), ()
    rows = [int(index[place + 1]) + first_row for place in back]
    if len(back) > OUT_OF_ORDER * len(steps):
        fault = Fault(
            "time-out-of-order", where, f"the clock goes back at {row_list(rows)}", "sort the log by its clock"
        )
        return seconds, (), (fault,)
    shifted = seconds.copy()
    for place in back:
        shifted[index[place + 1] :] += usual - steps[place]
    first = seconds[good][0]
    again = bool(np.all(seconds[good][back + 1] <= first + 2 * usual))
    code, said = ("clock-restarts", "starts again") if again else ("time-goes-back", "goes back")
    text = f"the clock {said} at {row_list(rows)}; the parts are put one after the other"
    finding = Finding(code, Severity.WARNING, where, text, "split the file if the parts do not belong together")
    return shifted, (finding,), ()


def _uneven(
    steps: FloatArray, usual: float, index: np.ndarray[tuple[int, ...], np.dtype[np.int64]], where: str, first_row: int
) -> tuple[Finding, ...]:
    found = []
    repeated = float(np.mean(steps == 0.0))
    if repeated > 0.01:
        text = f"{100 * repeated:.0f} % of the rows repeat the time before them: the clock is coarser than the sampling"
        found.append(Finding("time-repeats", Severity.NOTE, where, text, "log the clock with more digits"))
    gaps = np.flatnonzero(steps > max(PAUSE, 20 * usual))
    if len(steps) >= 20 and len(gaps):
        rows = [int(index[place + 1]) + first_row for place in gaps]
        text = f"the clock jumps by up to {np.max(steps):.1f} s at {row_list(rows)}"
        found.append(Finding("time-gap", Severity.NOTE, where, text, "nothing, if the logger was paused"))
    return tuple(found)
