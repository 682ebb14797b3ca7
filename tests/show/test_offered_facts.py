"""An offered file in words."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fairpull.show.facts import offered
from fairpull.terms.errors import Fault
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.offered import OfferedColumn, OfferedFile, OfferedPull, OfferedRecording

PULL = OfferedPull("p", "sweep", 60, 190, 130, 6.04, 19.26, (1583.0, 4819.0), (226.4, 306.6), 248.2)
AIR = {"pressure": 100300.0, "temperature": 293.15}
RECORDING = OfferedRecording(
    "log\x07", "trace", 234, given=AIR, choices={"given pressure": "by option"}, clocked=True, pulls=(PULL,)
)
FILE = OfferedFile("a.csv", "A.csv", 123_456, "b", "s", "delimited", "text", recordings=(RECORDING,))


def test_columns_are_in_shown_units_and_others_as_they_stand() -> None:
    columns = (
        OfferedColumn("Oil \x1b[1m", "psi", "oil_pressure", "exact", "why", 166163.65, 421959.15, 3),
        OfferedColumn("Battery", "V", None, "exact", "not in the glossary", 13.6, 13.93),
        OfferedColumn("Fuel", "", None, "exact", "a column of words"),
    )
    oil, battery, fuel = offered.column_rows(columns, "us")
    assert (oil.name, oil.low, oil.high, oil.shown, oil.missing) == ("Oil [1m", "24.10", "61.20", "psi", "3")
    assert oil.column == "Oil \x1b[1m"
    assert (battery.channel, battery.low, battery.shown, battery.how) == ("", "13.60", "V", "")
    assert (fuel.low, fuel.missing) == ("-", "")
    assert offered.column_rows(columns[:1], "metric")[0].shown == "kPa"


def test_the_air_says_where_it_comes_from() -> None:
    rows = offered.air(replace(RECORDING, logged={"relative_humidity": 0.56}), "us").rows
    assert rows == (
        ("barometer", "29.62 inHg", "by you"),
        ("inlet air", "68.0 °F", "given by hand"),
        ("relative humidity", "56 %", "logged, mean of all rows"),
    )
    assert "without correction" in offered.air(replace(RECORDING, given={}), "us").note


def test_pulls_are_told_as_everywhere() -> None:
    (row,) = offered.pulls(RECORDING, "us").rows
    assert row == ("p", "sweep", "6.0 to 19.3", "1,583 to 4,819 rpm", "167 to 226", "130", "248")
    assert "6.0 to 19.3 s, 1,583 to 4,819 rpm" in offered.said(RECORDING)
    assert "no pull was found" in offered.said(replace(RECORDING, pulls=()))


@pytest.mark.parametrize(
    ("one", "said"),
    [
        (FILE, "1 pull found"),
        (replace(FILE, already=("p",)), "in the book already"),
        (replace(FILE, twin="b.csv"), "the same bytes as b.csv"),
        (replace(FILE, faults=(Fault("a", "b", "c", "d"),)), "cannot be kept like this"),
        (replace(FILE, paper=True), "no log: lies beside the logs"),
    ],
)
def test_each_file_is_placed_in_a_few_words(one: OfferedFile, said: str) -> None:
    assert offered.place(one) == said


def test_no_remedy_names_an_option_of_the_command_line() -> None:
    remedy = "map the rpm column by option or in channels.toml"
    given = [Fault("no-speed", "a.csv", "none", remedy), Fault("no-build", "--build", "none", "name it with --build")]
    first, second = offered.faults(given)
    assert "under Columns" in first.remedy
    assert (second.where, second.remedy) == ("build", "choose the build that it ran with")
    finding = Finding("unit-unknown", Severity.WARNING, "a", "t", "say it by option (unit of x), or in channels.toml")
    (said,) = offered.findings(replace(FILE, recordings=(replace(RECORDING, findings=(finding, finding)),)))
    assert said.remedy == "overrule its unit under Columns (of x)"


def test_channels_are_offered_with_their_numbers() -> None:
    names = offered.channel_names()
    assert {"torque", "lambda", "lambda_8", "fuel_mass_flow_2"} <= set(names)
    assert "torque_1" not in names
    assert len(set(names)) == len(names)
