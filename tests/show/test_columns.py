"""How columns share a line: words are broken at hyphens and underscores, and inside only when nothing else helps."""

from __future__ import annotations

import pytest

from fairpull.show import columns, terminal
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.table import words as text


@pytest.mark.parametrize(
    ("given", "width", "lines"),
    [
        ("02-0940-log-baseline", 14, ["02-0940-log-", "baseline"]),
        ("anvil-header", 9, ["anvil-", "header"]),
        ("exhaust_temperature_1", 12, ["exhaust_", "temperature_", "1"]),
        ("with 95 % confidence", 7, ["with", "95 %", "confide", "nce"]),
        ("-0.4 to -0.1", 4, ["-0.4", "to", "-0.1"]),
        ("one two", 20, ["one two"]),
        ("", 5, [""]),
        ("two\nlines", 9, ["two", "lines"]),
    ],
)
def test_words_break_where_they_may(given: str, width: int, lines: list[str]) -> None:
    assert columns.wrap(given, width) == lines


@pytest.mark.parametrize("width", [1, 2, 5, 9, 30])
def test_no_line_is_longer_and_no_letter_is_lost(width: int) -> None:
    given = "every pull (of a-day) lies/stands_in one_very_long_name_of_a_file and 95 % more"
    lines = columns.wrap(given, width)
    if width >= 4:
        assert max(map(len, lines)) <= width
    assert "".join("".join(lines).split()) == "".join(given.split())


def test_further_lines_hang() -> None:
    assert columns.wrap("one two three four", 9, 2) == ["one two", "three", "four"]


def test_the_widest_column_gives_way_first() -> None:
    assert columns.shares([5, 30, 20], [5, 4, 4], 40) == [5, 18, 17]
    assert columns.shares([5, 30, 20], [5, 4, 4], 60) == [5, 30, 20]
    assert sum(columns.shares([50, 60, 70], [50, 60, 70], 40)) <= 40


TABLE = Table(
    "t",
    "Pulls",
    (text("build"), text("pull"), Column("vapour", "inHg", spare=True), *(Column(f"n{n}", "rpm/s") for n in range(5))),
    tuple(("anvil-header", "10-1420-header-filter-new", "0.44", *(["12,345.6"] * 5)) for _ in range(2)),
)


def test_a_spare_column_is_left_out_only_where_there_is_no_room() -> None:
    narrow = terminal.draw(terminal.table(TABLE), width=80)
    wide = terminal.draw(terminal.table(TABLE), width=120)
    assert "vapour" not in narrow
    assert "vapour" in wide
    assert "10-1420-header-filter-new" in wide
    assert "anvil-hea\n" not in narrow
    assert max(len(line) for line in narrow.splitlines()) <= 80
