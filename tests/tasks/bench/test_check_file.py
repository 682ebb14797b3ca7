"""A check's sheet, and what its numbers say."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from fairpull.tasks.bench.check_file import EXAMPLES, UNITS, check_findings, check_from_table
from fairpull.terms.errors import ValueRefused
from tests.tasks.bench.shop import codes

# 1 psi = 6894.757 Pa, 1 in = 0.0254 m, 1 lbf = 4.4482216 N, 1 lb-ft = 1.3558179 N m
HOUSE = {
    "compression": ("165 psi", 165 * 6894.757293168),
    "leakdown": ("4 %", 0.04),
    "lash": ("0.016 in", 0.016 * 0.0254),
    "springs": ("118 lbf", 118 * 4.4482216152605),
    "dead weights": ("50.1 lb-ft", 50.1 * 1.3558179483314004),
}


@pytest.mark.parametrize("what", UNITS)
def test_values_come_in_the_trades_units(what: str) -> None:
    text, value = HOUSE[what]
    check = check_from_table({"what": what, "values": [text, text]}, where="check x")
    assert check.values == pytest.approx([value, value])
    assert check.wanted is None


def test_what_it_is_about_comes_through() -> None:
    check = check_from_table(
        {
            "what": "leakdown",
            "values": ["4 %"],
            "engine": "Mill",
            "build": "plain",
            "session": "tuesday",
            "date": "2031-05-06",
            "hours": "12 h",
            "full_scale": "500 lb-ft",
            "notes": "warm",
        },
        where="check x",
    )
    assert check.about == {"engine": "Mill", "build": "plain", "session": "tuesday"}
    assert (check.date, check.notes, check.hours) == ("2031-05-06", "warm", 12.0)
    assert check.full_scale == pytest.approx(500 * 1.3558179483314004)


def test_one_wanted_value_stands_for_all() -> None:
    check = check_from_table(
        {"what": "lash", "values": ["0.40 mm", "0.41 mm", "0.46 mm"], "wanted": "0.40 mm"}, where="check x"
    )
    assert check.wanted is not None
    assert np.allclose(check.wanted, 0.4e-3)


@pytest.mark.parametrize(
    ("table", "expected"),
    [
        ({"what": "mood", "values": ["1"]}, ["check-what"]),
        ({"values": ["4 %"]}, ["check-what"]),
        ({"what": "leakdown"}, ["check-values"]),
        ({"what": "leakdown", "values": []}, ["check-values"]),
        ({"what": "lash", "values": ["1 mm", "1 mm", "1 mm"], "wanted": ["1 mm", "1 mm"]}, ["check-values"]),
        ({"what": "leakdown", "values": ["4 %"], "colour": "red", "tyres": 4}, ["check-entry", "check-entry"]),
    ],
)
def test_a_check_that_is_none_is_refused(table: dict[str, Any], expected: list[str]) -> None:
    with pytest.raises(ValueRefused) as refusal:
        check_from_table(table, where="check x")
    assert codes(refusal.value) == expected


def test_all_faults_come_at_once_with_their_place() -> None:
    with pytest.raises(ValueRefused) as refusal:
        check_from_table(
            {"what": "springs", "values": ["110 lbf", "heavy"], "wanted": "5 m", "hours": "long", "colour": 1},
            where="check x",
        )
    said = [fault.where for fault in refusal.value.faults]
    assert said == ["check x, colour", "check x, values", "check x, wanted", "check x, hours"]


@pytest.mark.parametrize("what", UNITS)
def test_the_example_in_the_refusal_is_a_good_one(what: str) -> None:
    import tomllib

    values = tomllib.loads(f"values = {EXAMPLES[what]}")["values"]
    assert check_from_table({"what": what, "values": values}, where="x").values.size == 2


@pytest.mark.parametrize(
    ("table", "expected"),
    [
        ({"what": "compression", "values": ["165 psi", "162 psi", "120 psi"]}, ["compression-low"]),
        ({"what": "compression", "values": ["165 psi", "162 psi"]}, []),
        ({"what": "leakdown", "values": ["4 %", "3 %", "12 %"]}, ["leakdown-high", "leakdown-uneven"]),
        ({"what": "leakdown", "values": ["4 %", "3 %"]}, []),
        ({"what": "lash", "values": ["0.40 mm", "0.47 mm"], "wanted": "0.40 mm"}, ["lash-off"]),
        ({"what": "lash", "values": ["0.40 mm", "0.47 mm"]}, []),
        ({"what": "springs", "values": ["105 lbf", "111 lbf"], "wanted": "112 lbf"}, ["spring-tired"]),
        ({"what": "springs", "values": ["111 lbf"], "wanted": "112 lbf"}, []),
        ({"what": "dead weights", "values": ["4 lb-ft", "104 lb-ft"], "wanted": ["0 lb-ft", "100 lb-ft"]}, ["zero"]),
        ({"what": "dead weights", "values": ["0.4 lb-ft", "100.4 lb-ft"], "wanted": ["0 lb-ft", "100 lb-ft"]}, []),
        ({"what": "dead weights", "values": ["4 lb-ft"]}, []),
    ],
)
def test_its_findings(table: dict[str, Any], expected: list[str]) -> None:
    found = check_findings(check_from_table(table, where="check x"), "check x")
    assert [finding.code.replace("brake-zero-moved", "zero") for finding in found] == expected
    assert all(finding.where.startswith("check x") for finding in found)


def test_full_scale_widens_what_a_zero_may_move() -> None:
    """A thousandth of 1,000 lb-ft is 1 lb-ft: an offset of 0.8 is within it, and not within half a lb-ft."""
    table = {"what": "dead weights", "values": ["0.8 lb-ft", "100.8 lb-ft"], "wanted": ["0 lb-ft", "100 lb-ft"]}
    small, large = (check_from_table(table | more, where="x") for more in ({}, {"full_scale": "1000 lb-ft"}))
    assert check_findings(small, "x")
    assert not check_findings(large, "x")


@pytest.mark.parametrize(
    ("table", "seen", "remedy"),
    [
        (
            {"what": "lash", "values": ["0.016 psi"]},
            "'0.016 psi': psi measures a pressure; a length is wanted",
            'write it as "0.016 in"',
        ),
        ({"what": "compression", "values": ["165"]}, "'165' has no unit; a pressure is wanted", '"165 psi"'),
        ({"what": "leakdown", "values": ["4 %"], "hours": "12 kg"}, "'12 kg': kg measures a weight", '"12 h"'),
    ],
)
def test_units_are_told_in_plain_words(table: dict[str, object], seen: str, remedy: str) -> None:
    with pytest.raises(ValueRefused) as refusal:
        check_from_table(table, where="check x")
    (fault,) = refusal.value.faults
    assert fault.seen.startswith(seen)
    assert remedy in fault.remedy
