"""A long table: one line a row, numbers whole, words cut to the width."""

from __future__ import annotations

import pytest

from fairpull.show.facts.table import Column, Table, words
from fairpull.show.long_list import CUT, long_list

COLUMNS = (Column("#"), words("name"), Column("power", "hp"), words("spare", ""), words("told"))


def table(rows: int, name: str = "a-name-that-is-rather-long-for-a-pull") -> Table:
    row = (name, "1,234.5", "x", "set aside: heat-soak, and more to be said of it")
    return Table("t", "Pulls", COLUMNS, tuple((str(n), *row) for n in range(rows)), "What must be known to read it.")


@pytest.mark.parametrize("width", [60, 80, 120])
def test_no_line_is_longer_and_no_number_is_cut(width: int) -> None:
    lines = long_list(table(3), width).splitlines()
    assert max(map(len, lines)) <= width
    assert all("1,234.5" in line for line in lines[4:7])
    assert lines[0] == "Pulls"
    assert (CUT in lines[4]) == (width < 120)


def test_what_fits_is_not_cut() -> None:
    assert CUT not in long_list(table(2, "short"), 120)


def test_text_that_would_steer_a_terminal_is_plain() -> None:
    assert "\x1b" not in long_list(table(1, "a\x1b[31mred"), 80)
