"""Delimited text in all its shapes: delimiters, marks, headers, what follows the data, what cannot be read."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from fairpull import logs
from fairpull.logs import dialect
from fairpull.logs.formats import delimited
from fairpull.logs.headers import find_header, name_and_unit
from fairpull.logs.numbers import is_clock, is_number, marks_of
from fairpull.logs.options import ReadOptions
from fairpull.logs.table import RawTable
from fairpull.terms.errors import ReadRefused

ROWS = [(0.1 * at, 2000.5 + 40 * at, 200.25 + at % 7) for at in range(30)]


def load(folder: Path, text: str | bytes) -> RawTable:
    path = folder / "log.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8"))
    return delimited.load(path, ReadOptions())


def body(delimiter: str = ",", decimal: str = ".") -> str:
    lines = [delimiter.join(f"{cell:.2f}" for cell in row).replace(".", decimal) for row in ROWS]
    return "\n".join(lines) + "\n"


def check(table: RawTable, names: tuple[str, ...] = ("t", "n", "M")) -> None:
    assert table.columns == names
    for place, name in enumerate(names):
        np.testing.assert_allclose(table.values[name], np.array(ROWS)[:, place], atol=5e-3)


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|", " ", "   ", ":", "~", "^", "!"])
def test_any_delimiter(delimiter: str, tmp_path: Path) -> None:
    check(load(tmp_path, delimiter.join(("t", "n", "M")) + "\n" + body(delimiter)))


@pytest.mark.parametrize(
    "header",
    [
        "t [s],n [1/min],M [N m]",
        "t (s),n (1/min),M (N m)",
        "t / s,n / 1/min,M / N m",
        "t,n,M\ns,1/min,N m",
        "t,n,M\n[s],[1/min],[N m]",
        "t,n,M\n\ns,1/min,N m\n",
        "# t,n,M\n# s,1/min,N m",
        '"t","n","M"\n"s","1/min","N m"',
        "Cell 2\nOperator,somebody\nBaro,29.62,inHg\n\nt,n,M\ns,1/min,N m",
        "\ufefft [s],n [1/min],M [N m]",
    ],
)
def test_names_and_units_wherever_they_stand(header: str, tmp_path: Path) -> None:
    table = load(tmp_path, header + "\n" + body())
    check(table)
    assert [table.units[name] for name in table.columns] == ["s", "1/min", "N m"]


def test_names_with_blanks_over_columns_of_blanks(tmp_path: Path) -> None:
    header = "   Time    Speed   Torque (lb-ft)   Oil Temp (F)\n"
    lines = [f"   {t:.2f}    {n:.2f}   {m:.2f}   205" for t, n, m in ROWS]
    table = load(tmp_path, header + "\n".join(lines) + "\n")
    assert table.columns == ("Time", "Speed", "Torque", "Oil Temp")
    assert table.units == {"Torque": "lb-ft", "Oil Temp": "F"}


def test_a_percent_sign_in_the_cells(tmp_path: Path) -> None:
    lines = [f"{t:.2f},{n:.2f},99.5%" for t, n, _ in ROWS]
    table = load(tmp_path, "t,n,throttle\n" + "\n".join(lines) + "\n")
    assert set(table.values["throttle"]) == {99.5}


def test_the_lines_before_are_kept_and_the_row_is_known(tmp_path: Path) -> None:
    table = load(tmp_path, "Cell 2\nBaro: 29.62 inHg\n\nt,n,M\n" + body())
    assert table.preamble == ("Cell 2", "Baro: 29.62 inHg")
    assert table.first_data_row == 5


@pytest.mark.parametrize("mark", ["'", " ", "\u00a0", "."])
def test_thousands_marks_with_a_decimal_comma(mark: str, tmp_path: Path) -> None:
    lines = [f"{t:.2f};{n:,.2f};{m:.2f}".replace(",", "x").replace(".", ",").replace("x", mark) for t, n, m in ROWS]
    check(load(tmp_path, "t;n;M\n" + "\n".join(lines) + "\n"))


def test_english_thousands_in_quotes(tmp_path: Path) -> None:
    lines = [f'{t:.2f},"{n:,.2f}",{m:.2f}' for t, n, m in ROWS]
    check(load(tmp_path, "t,n,M\n" + "\n".join(lines) + "\n"))


def test_a_late_other_mark_is_refused_with_its_row(tmp_path: Path) -> None:
    lines = body(";", ",").splitlines()
    lines[25] = lines[25].replace(",", ".")
    with pytest.raises(ReadRefused) as error:
        load(tmp_path, "t;n;M\n" + "\n".join(lines) + "\n")
    assert error.value.faults[0].code == "decimal-mixed"
    assert "row 27" in error.value.faults[0].seen


def test_types_are_not_guessed_from_the_first_rows(tmp_path: Path) -> None:
    """Whole numbers first, decimals after the head that the layout was judged by."""
    many = "".join(f"{at},{2000 + at},{200 if at < 15000 else 200.5}\n" for at in range(20000))
    table = load(tmp_path, "t,n,M\n" + many)
    assert table.values["M"][-1] == 200.5
    late = load(
        tmp_path, "t,n,M,note\n" + many.replace("\n", ",\n").replace("19000,21000,200.5,", "19000,21000,200.5,popped")
    )
    assert late.texts["note"][19000] == "popped"
    assert late.values["M"][19000] == 200.5


@pytest.mark.parametrize(
    ("tail", "code"),
    [
        ("End of log\n", "rows-dropped"),
        ("\n\nPeak torque,206.25\n", "rows-dropped"),
        ("t,n,M\n" + body(), "header-repeated"),
        ("3.0,32", "rows-ragged"),
        ("3.0,3200,201,7,8\n", "rows-ragged"),
    ],
)
def test_what_follows_the_data_is_left_out_and_said(tail: str, code: str, tmp_path: Path) -> None:
    table = load(tmp_path, "t,n,M\n" + body() + tail)
    assert code in {finding.code for finding in table.findings}
    doubled = 2 if code == "header-repeated" else 1
    np.testing.assert_allclose(table.values["n"], [row[1] for row in ROWS] * doubled)


def test_missing_cells(tmp_path: Path) -> None:
    lines = body().splitlines()
    lines[3], lines[4], lines[5] = "0.3,N/A,203.25", "0.4,,204.25", "0.5,---,205.25"
    table = load(tmp_path, "t,n,M\n" + "\n".join(lines) + "\n")
    assert np.flatnonzero(np.isnan(table.values["n"])).tolist() == [3, 4, 5]
    assert table.findings == ()


def test_empty_columns_and_trailing_delimiters(tmp_path: Path) -> None:
    table = load(tmp_path, "t,n,,M,\n" + body().replace("\n", ",\n").replace(",20", ",,20"))
    assert "columns-empty" in {finding.code for finding in table.findings}
    assert table.columns[0] == "t"


def test_a_comma_as_delimiter_and_as_decimal_mark_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ReadRefused) as error:
        load(tmp_path, "t,n,M\n" + body(",", ","))
    assert error.value.faults[0].code == "more-cells-than-names"


def test_columns_without_names_can_be_mapped(tmp_path: Path) -> None:
    path = tmp_path / "bare.csv"
    path.write_text(body(), "utf-8")
    with pytest.raises(ReadRefused) as error:
        logs.read(path)
    assert error.value.faults[0].code == "no-header"
    columns = {"column 1": "time", "column 2": "rpm", "column 3": "torque"}
    (found,) = logs.read(path, ReadOptions(columns=columns, units={"torque": "N m"}))
    assert found.channels["rpm"][0] == 2000.5


def test_blank_lines_between_rows(tmp_path: Path) -> None:
    check(load(tmp_path, "t,n,M\n" + body().replace("\n", "\n\n")))


def test_a_large_file_of_text_is_split_in_groups(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from fairpull.logs import messy

    monkeypatch.setattr(messy, "LARGE", 10)
    monkeypatch.setattr(messy, "FEW_COLUMNS", 1)
    check(load(tmp_path, "t,n,M\n" + body() + "End of log\n"))


@pytest.mark.parametrize("text", ["12", "-1.5", "1,5", "1'234.5", "1.234,5", "1 234", "+.5", "1e-3", "5.", "−3"])
def test_numbers(text: str) -> None:
    assert is_number(text)


@pytest.mark.parametrize("text", ["", "nan", "inf", "1_000", "12a", "10:15", "1,2,3", "a", "-", "1.2.3"])
def test_no_numbers(text: str) -> None:
    assert not is_number(text)


@pytest.mark.parametrize(
    ("text", "clock"), [("10:15:02", True), ("2031-05-06", True), ("1:05 PM", True), ("a:b", False)]
)
def test_clocks(text: str, clock: bool) -> None:
    assert is_clock(text) == clock


@pytest.mark.parametrize(
    ("cells", "settled"),
    [
        (["1.5", "1,234"], (".", ",", False)),
        (["1,5", "1.234"], (",", ".", False)),
        (["1,234", "5,678"], (",", "", True)),
        (["1.234"], (".", "", False)),
        (["1,234,567"], (".", ",", False)),
        (["1'234.5"], (".", "'", False)),
        (["12", "13"], (".", "", False)),
    ],
)
def test_marks(cells: list[str], settled: tuple[str, str, bool]) -> None:
    assert marks_of(cells).settle() == settled


@pytest.mark.parametrize(
    ("cell", "split"),
    [
        ("Torque [lb-ft]", ("Torque", "lb-ft")),
        ("Oil temp, degF", ("Oil temp", "degF")),
        ("EGT [1]", ("EGT [1]", "")),
        ("RH [1]", ("RH", "1")),
        ("Torque (corrected)", ("Torque (corrected)", "")),
        ("p [kPa (abs)]", ("p", "kPa (abs)")),
        ("A/F", ("A/F", "")),
        ("Air/Fuel", ("Air/Fuel", "")),
        ("Fuel flow [foo]", ("Fuel flow", "foo")),
        ("T in °C", ("T", "°C")),
    ],
)
def test_names_and_units(cell: str, split: tuple[str, str]) -> None:
    assert name_and_unit(cell) == split


def test_a_two_column_preamble_is_no_header() -> None:
    rows = [["Operator", "x"], ["Baro", "29.62"], ["Temp", "68"], [], ["n", "M"], ["1/min", "N m"]]
    rows += [[f"{2000 + 100 * at}", f"{200 + at}"] for at in range(6)]
    header = find_header(rows)
    assert header is not None
    assert (header.row, header.data_row, header.names) == (4, 6, ("n", "M"))


def test_one_layout_is_judged_once() -> None:
    head = ("t,n,M\n" + body()).encode()
    assert dialect.layout_of(head, True) is dialect.layout_of(head, True)
