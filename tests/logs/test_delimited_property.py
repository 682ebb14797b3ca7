"""Any table, written in any of the usual ways, reads back to the same numbers."""

from __future__ import annotations

import math
import tempfile
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fairpull.logs.formats import delimited
from fairpull.logs.options import ReadOptions
from fairpull.logs.table import RawTable

NAMES = ("Time", "Speed", "Torque", "Oil temp", "EGT 1", "Aux")
UNITS = ("s", "rpm", "N m", "°C", "°F", "V")
PREAMBLES: tuple[tuple[str, ...], ...] = (
    (),
    ("# log of the afternoon",),
    ("Operator: somebody", "Date: 2031-05-06", "", "Baro: 29.62 inHg"),
    ("Cell 2", "", "Fuel: regular pump, 91"),
)


@dataclass(frozen=True)
class Style:
    """How a table is written."""

    delimiter: str
    decimal: str
    thousands: str
    encoding: str
    mark: bool
    units: str
    preamble: tuple[str, ...]
    end: str
    trailing: bool


STYLES = st.builds(
    Style,
    delimiter=st.sampled_from((",", ";", "\t", "|", " ")),
    decimal=st.sampled_from((".", ",")),
    thousands=st.sampled_from(("", "", "", "'")),
    encoding=st.sampled_from(("utf-8", "utf-8", "utf-16-le", "utf-16-be", "latin-1")),
    mark=st.booleans(),
    units=st.sampled_from(("none", "bracket", "row")),
    preamble=st.sampled_from(PREAMBLES),
    end=st.sampled_from(("\n", "\r\n")),
    trailing=st.booleans(),
).filter(lambda style: style.delimiter != "," or style.decimal != ",")

NUMBERS = st.one_of(
    st.integers(-9_999_999, 9_999_999).map(float),
    st.floats(-1e7, 1e7, allow_nan=False).map(lambda value: round(value, 3)),
    st.floats(-10, 10, allow_nan=False).map(lambda value: round(value, 5)),
    st.just(math.nan),
)
TABLES = st.integers(2, 6).flatmap(
    lambda width: st.lists(
        st.lists(NUMBERS, min_size=width, max_size=width).filter(
            lambda row: sum(not math.isnan(cell) for cell in row) >= 2
        ),
        min_size=4,
        max_size=30,
    )
)


def cell(value: float, style: Style) -> str:
    """One number as this style writes it."""
    if math.isnan(value):
        return "nan" if style.delimiter == " " else ""
    text = f"{value:.5f}".rstrip("0").rstrip(".") if value != int(value) else f"{int(value)}"
    whole, point, rest = text.partition(".")
    if style.thousands:
        sign, digits = ("-", whole[1:]) if whole.startswith("-") else ("", whole)
        grouped = f"{int(digits):,}".replace(",", style.thousands)
        whole = sign + grouped
    # More than three decimals or a leading zero leave no doubt about the mark; the reader is told by such cells.
    return whole + (style.decimal + rest if point else "")


def written(rows: list[list[float]], style: Style) -> bytes:
    width = len(rows[0])
    names = [name.replace(" ", "_") if style.delimiter == " " else name for name in NAMES[:width]]
    units = [unit.replace(" ", "") for unit in UNITS[:width]]
    if style.units == "bracket":
        names = [f"{name}[{unit}]" for name, unit in zip(names, units, strict=True)]
    lines = [*style.preamble, style.delimiter.join(names)]
    if style.units == "row":
        lines.append(style.delimiter.join(units))
    close = style.delimiter if style.trailing and style.delimiter != " " else ""
    lines += [style.delimiter.join(cell(value, style) for value in row) + close for row in rows]
    text = style.end.join(lines) + style.end
    mark = "\ufeff" if style.mark and style.encoding.startswith("utf") else ""
    if style.encoding.startswith("utf-16"):
        mark = "\ufeff"
    return (mark + text).encode(style.encoding)


def clear(rows: list[list[float]], style: Style) -> bool:
    """Whether the decimal mark can be told: a comma with exactly three digits behind it can be either."""
    if style.decimal == "." and not style.thousands:
        return True
    texts = [cell(value, style) for row in rows for value in row]
    return any(_beyond_doubt(text, style.decimal) for text in texts) or not any(style.decimal in text for text in texts)


def _beyond_doubt(text: str, decimal: str) -> bool:
    whole, mark, rest = text.lstrip("-").partition(decimal)
    return bool(mark) and (len(rest) != 3 or whole == "0" or len(whole.replace("'", "")) > 3)


def loaded(content: bytes) -> RawTable:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.txt"
        path.write_bytes(content)
        opinion = delimited.sniff(path, content[:65536])
        assert opinion.claims, opinion.reason
        return delimited.load(path, ReadOptions())


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(rows=TABLES, style=STYLES)
def test_any_table_in_any_style_reads_back(rows: list[list[float]], style: Style) -> None:
    if not clear(rows, style):
        return
    table = loaded(written(rows, style))
    expected = np.array(rows)
    width = expected.shape[1]
    assert len(table.columns) == width
    for place, name in enumerate(table.columns):
        assert name.replace("_", " ") == NAMES[place]
        assert table.units.get(name, "").replace(" ", "") == (
            "" if style.units == "none" else UNITS[place].replace(" ", "")
        )
        np.testing.assert_allclose(table.values[name], expected[:, place], rtol=1e-12, atol=0, equal_nan=True)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(content=st.binary(min_size=1, max_size=400))
def test_any_bytes_are_judged_without_a_crash(content: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.txt"
        path.write_bytes(content)
        assert delimited.sniff(path, content).reason
