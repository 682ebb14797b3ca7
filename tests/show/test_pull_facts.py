"""A pull's page as finished strings, and its CSV."""

from __future__ import annotations

import csv
from dataclasses import replace
from io import StringIO

import numpy as np
import pytest

from fairpull.show import pull_csv
from fairpull.show.facts import pull, pull_made, pull_tables, pull_words
from fairpull.show.facts.table import Table
from fairpull.terms.arrays import FloatArray
from fairpull.terms.bench import SET_ASIDE, Figure, Mark, Remark
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.recording import Conditions
from tests.show import pull_pages


def read(text: str) -> tuple[list[str], list[list[str]]]:
    rows = list(csv.reader(StringIO(text)))
    return rows[0], rows[1:]


def said_of(table: Table) -> dict[str, str]:
    return {row[0]: row[1] for row in table.rows}


def test_the_head_says_state_peaks_and_basis() -> None:
    page = pull_pages.page(pull_pages.trace(valid_to=4350.0))
    head = pull.head(page, "metric")
    assert head.said == "counts up to 4,350 rpm"
    assert head.basis == "corrected by SAE J1349"
    assert head.factor == "1.0200"
    assert head.when == "2030-03-17 17:46:40"
    torque, power = head.peaks
    assert (torque.name, torque.value, torque.where, torque.seen) == ("torque", "306.0 N m", "3,000 rpm", "300.0 N m")
    assert power.name == "power"
    aside = pull_pages.page(state=SET_ASIDE, reason="heat-soak: hot")
    assert (pull.head(aside, "us").said, pull.head(aside, "us").reason) == ("set aside", "heat-soak: hot")
    assert pull.head(pull_pages.page(started_at=None), "us").when == "no date in the log"


def test_without_correction_nothing_is_called_corrected() -> None:
    page = pull_pages.page(standard="none")
    head = pull.head(page, "metric")
    assert head.basis == "observed, no correction"
    assert [one.seen for one in head.peaks] == ["", ""]
    assert [column.name for column in pull_tables.by_rpm(page, "us").columns][:3] == [
        "rpm",
        "observed torque",
        "observed power",
    ]
    factor = pull_made.headline(page, "us")[-1]
    assert (factor.value, factor.went_in.rows) == ("1.0000", ())


def test_a_peak_at_the_end_is_at_least_that() -> None:
    sign = replace(pull_pages.SOAK, kind="peak-at-end")
    torque, power = pull.head(pull_pages.page(signs=(sign,)), "us").peaks
    assert power.value.startswith("at least ")
    assert not torque.value.startswith("at least ")


def test_signs_are_numbered_as_on_the_charts() -> None:
    told = pull.told(pull_pages.page())
    assert [(one.number, one.weight) for one in told] == [(1, "fault"), (2, "warning"), (3, "warning")]
    assert told[0].title == "valve float, 4,400 to 4,700 rpm; counts to 4,350 rpm"
    rows = pull_tables.health(pull_pages.page()).rows
    assert [(row[1], row[0]) for row in rows[:4]] == [
        ("1", "valve float"),
        ("2", "knock"),
        ("3", "heat soak"),
        ("", "belt slip"),
    ]
    assert rows[3][2:] == ("could not be seen", "", "needs blower_rpm")
    assert {row[2] for row in rows[4:]} == {"not found"}


def test_signs_are_not_told_twice_among_the_findings() -> None:
    signs = Finding("sign-knock", Severity.WARNING, "one", "Knock.", "Listen.")
    other = Finding("spikes-replaced", Severity.NOTE, "one", "spikes", "look")
    page = pull_pages.page(findings=(signs, other))
    assert pull.other_findings(page) == (other,)


def test_the_factor_is_taken_apart_with_its_air() -> None:
    factor = pull_made.headline(pull_pages.page(), "us")[-1]
    said = said_of(factor.went_in)
    assert factor.formula == "factor = 99 kPa / p_dry"
    assert said["dry pressure, p_dry"] == "28.94 inHg (98.00 kPa)"
    assert said["inlet air, t"] == "68.0 °F (20.0 °C)"
    assert [key for key, _ in factor.sources.rows] == ["sae-j1349"]
    torque = pull_made.headline(pull_pages.page(), "metric")[0]
    assert said_of(torque.went_in)["observed"] == "300.0 N m at 3,000 rpm"
    assert said_of(torque.went_in)["factor"] == "1.0200"


def test_conditions_say_what_was_given_and_what_was_logged() -> None:
    page = pull_pages.page(
        choices={"inertia": "I = 0.2 kg m2", "given pressure": "99 kPa from conditions.toml"},
        given=Conditions(pressure=99000.0),
        figures={"relative_humidity": Figure(0.4, 0.45, 0.5)},
    )
    said = said_of(pull_tables.conditions(page, "metric"))
    assert said["pressure, absolute"] == "99.00 kPa (given by hand: 99 kPa from conditions.toml)"
    assert said["inlet air"] == "20.0 °C (mean of the log)"
    assert said["relative humidity"] == "45 % (mean of the log)"
    assert said["vapour pressure"] == "1.000 kPa (from the humidity)"
    assert said["sweep"] == "250 rpm/s"
    assert said["inertia"] == "I = 0.2 kg m2"
    unknown = replace(page, making=replace(page.making, air=None))
    assert said_of(pull_tables.conditions(unknown, "us"))["air"] == "not known, so nothing is corrected"


def test_how_it_was_read_is_said_option_by_option() -> None:
    page = pull_pages.page(
        reading={"read": {"columns": {"A": "torque"}, "date": "2031-05-06"}, "dead_weights": [1.5, 2]}
    )
    assert pull_tables.reading(page).rows == (
        ("read: columns", "A = torque"),
        ("read: date", "2031-05-06"),
        ("dead weights", "1.5, 2"),
    )
    assert "default" in pull_tables.reading(pull_pages.page(reading={})).note


def test_history_and_remarks_say_who_and_when() -> None:
    page = pull_pages.page()
    mark = Mark("one", SET_ASIDE, "belt off\x1b[31m", None, "", 1_900_000_000.0)
    page = replace(page, marks=(mark,), notes=(Remark(("pull", "one"), "loud", "K. L.", 1_900_000_000.0),))
    assert pull_tables.history(page).rows == (("2030-03-17 17:46:40", "set aside", "belt off[31m", "-"),)
    assert pull_tables.notes(page) == (("K. L.", "2030-03-17 17:46:40", "loud"),)


def test_captions_say_what_the_band_is() -> None:
    page = pull_pages.page(pull_pages.trace(valid_to=4350.0))
    assert "95 % of the curve's own standard error" in pull_words.curve_caption(page)
    assert "not counted" in pull_words.curve_caption(page)
    alt = pull_words.curve_alt(page, "metric")
    assert "highest torque 306.0 N m at 3,000 rpm" in alt
    assert "finding 1, valve float" in alt
    assert "against seconds" in pull_words.channels_alt(page, "time")


def test_the_trace_as_csv_has_every_row_in_shown_units() -> None:
    given = pull_pages.channels(oil_temperature=360.0)
    given["oil_temperature"] = np.where(given["rpm"] > 4900.0, np.nan, given["oil_temperature"])
    head, rows = read(pull_csv.trace_csv(pull_pages.trace(given=given), "us"))
    assert head == ["time [s]", "rpm", "torque [lb-ft]", "oil_temperature [°F]"]
    assert len(rows) == 400
    assert float(rows[0][3]) == pytest.approx(188.33)
    assert rows[-1][3] == ""


@pytest.mark.parametrize("name", ["=cmd|' /C calc'!A0", "+1+1", "-2+3", "@SUM(A1)", "\t=1", "\r=1"])
def test_a_channel_name_is_never_a_formula(name: str) -> None:
    values: FloatArray = np.zeros(400)
    head, _ = read(pull_csv.trace_csv(pull_pages.trace(given={**pull_pages.channels(), name: values})))
    assert head[3].startswith("'")


def test_the_curves_as_csv_say_what_counts() -> None:
    page = pull_pages.page(pull_pages.trace(valid_to=4350.0), earlier=1)
    head, rows = read(pull_csv.curve_csv(page, "metric"))
    assert head[:3] == ["rpm", "corrected torque [N m]", "observed torque [N m]"]
    assert head[-2] == "before-0 corrected torque [N m]"
    at = {row[0]: dict(zip(head, row, strict=True)) for row in rows}
    assert float(at["3000"]["corrected torque [N m]"]) == pytest.approx(305.96, rel=1e-4)
    assert at["4350"]["counts [1 yes, 0 no]"] == "1"
    assert at["4400"]["counts [1 yes, 0 no]"] == "0"
    assert pull_csv.curve_csv(replace(page, counted=None)) == "rpm\n"
