"""A spreadsheet never computes a word of the program's CSV, and numbers come through unharmed."""

from __future__ import annotations

import csv
import os
import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fairpull.show.csv_cells import cell, csv_text, is_number

HOSTILE = ("=1+1", "+cmd|'/c calc'!A0", "-2+3", "@SUM(A1)", "\t=1", "\r=1", "  =1", "\u00a0=1", "\uff1dA1", "\ufeff=1")


@pytest.mark.parametrize("text", HOSTILE)
def test_what_would_be_a_formula_gets_an_apostrophe(text: str) -> None:
    assert cell(text).startswith("'")
    assert cell(text).lstrip("'").strip()[-1] == text[-1]


@pytest.mark.parametrize(
    "text", ["-3.5", "+12", "1,234.5", "-1,234", "3e-05", "-1.5E+3", "0", ".5", "anvil-log", "a=b", "12:40", ""]
)
def test_numbers_and_plain_words_stay_as_they_are(text: str) -> None:
    assert cell(text) == text


@pytest.mark.parametrize("text", ["-", "+", "-1-1", "+1+1", "--1", "-1,23", "1e", "-e5", "-1\n2", "."])
def test_what_only_looks_like_a_number_is_none(text: str) -> None:
    assert not is_number(text)


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_every_number_comes_back(value: float) -> None:
    assert float(cell(f"{value:.17g}")) == value
    assert float(cell(f"{value:+.6g}")) == float(f"{value:.6g}")


@given(st.text(max_size=40))
def test_no_cell_begins_with_what_begins_a_formula(text: str) -> None:
    made = cell(text)
    assert is_number(made.strip()) or not made.lstrip().startswith(("=", "+", "-", "@", "\t", "\r", "\n"))


@given(st.lists(st.text(alphabet=st.characters(exclude_categories=["Cs"]), max_size=12), min_size=2, max_size=4))
def test_cells_stay_in_their_columns(row: list[str]) -> None:
    (back,) = csv.reader(StringIO(csv_text(row, []), newline=""))
    assert back == [cell(one) for one in row]


def test_hostile_build_names_reach_no_spreadsheet(tmp_path: Path) -> None:
    """``fairpull compare --pictures`` of files whose build is named as a formula."""
    names = ("=HYPERLINK(1)", "@SUM(A1:A9)")
    words = []
    for place, name in enumerate(names):
        for pull in range(2):
            log = tmp_path / f"{place}-{pull}.csv"
            rows = [f"{rpm},{200 + 8 * place + pull - ((rpm - 3000) / 400) ** 2}" for rpm in range(1800, 4600, 20)]
            log.write_text("rpm,torque [N m]\n" + "\n".join(rows) + "\n", encoding="utf-8")
        words.append(f"{name.replace('=', '')}={tmp_path}/{place}-*.csv")
    out = tmp_path / "pictures"
    command = [sys.executable, "-m", "fairpull", "compare", *words, "--pictures", str(out), "--step", "100rpm"]
    done = subprocess.run(command, capture_output=True, text=True, check=False, env={**os.environ, "NO_COLOR": "1"})
    assert done.returncode == 0, done.stderr
    tables = sorted(out.glob("*.csv"))
    assert tables
    cells = [one for table in tables for row in csv.reader(StringIO(table.read_text())) for one in row]
    assert any("SUM(A1:A9)" in one for one in cells)
    assert not [one for one in cells if one.startswith(("=", "+", "-", "@")) and not is_number(one)]
