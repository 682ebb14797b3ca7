"""How two builds differ, in words a person can check against the sheets."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from fairpull import engine
from fairpull.terms.build import Build, Change, Part
from tests.engine.sheets import ANVIL, CAM_A, HEAD, WREN, build, machine, part, shelf


def changes(one: dict[str, Any], two: dict[str, Any]) -> tuple[Change, ...]:
    return engine.build_changes(build("one", **one), build("two", **two))


def fitted(kind: str, one: Part, two: Part) -> tuple[Change, ...]:
    """Changes of two builds that differ in one part alone."""
    pair = [
        engine.build_from_table(
            {"engine": "Anvil", "parts": {kind: "it"}}, where="x", name="x", engine=machine(), parts={"it": sheet}
        )
        for sheet in (one, two)
    ]
    return engine.build_changes(pair[0], pair[1])


def test_a_build_does_not_differ_from_itself() -> None:
    whole = {"parts": {"camshaft": "cam A", "head": "iron head"}, "settings": {"spark": "31 deg"}, "hours": "12 h"}
    assert changes(whole, whole) == ()


def test_a_changed_camshaft_is_told_entry_by_entry() -> None:
    (found,) = changes({"parts": {"camshaft": "cam A"}}, {"parts": {"camshaft": "cam B"}})
    assert (found.kind, found.before, found.after) == ("camshaft", "cam A", "cam B")
    assert "intake valve lift 0.440 in -> 0.480 in" in found.details
    assert "intake lash not given -> 0.010 in" in found.details
    # 0.050 in and 1.27 mm are the same
    assert not any(detail.startswith("checking lift") for detail in found.details)
    assert not any("compare those" in detail for detail in found.details)


def test_the_same_entries_in_other_units_are_no_change() -> None:
    metric = CAM_A.replace('"0.440 in"', '"11.176 mm"').replace('"0.050 in"', '"1.27 mm"')
    assert metric != CAM_A
    assert fitted("camshaft", part(CAM_A), part(metric)) == ()


def test_a_corrected_card_of_the_same_part_is_a_change() -> None:
    (found,) = fitted("camshaft", part(CAM_A), part(CAM_A.replace("108 deg", "106 deg")))
    assert (found.before, found.after, found.details) == ("part", "part", ("intake centreline 108 deg -> 106 deg",))


@pytest.mark.parametrize("lift", ['"0.004 in"', '"not stated"'])
def test_advertised_durations_at_unlike_lifts_are_not_compared(lift: str) -> None:
    other = CAM_A.replace('"0.006 in"', lift).replace("260", "268")
    (found,) = fitted("camshaft", part(CAM_A), part(other))
    assert any("compare those at the checking lift" in detail for detail in found.details)


def test_notes_and_labels_are_no_change() -> None:
    assert fitted("camshaft", part(CAM_A), part(CAM_A + 'notes = "used"\nlabel = "7"')) == ()


def test_a_flow_table_tells_its_first_row_that_differs() -> None:
    better = HEAD.replace("[0.300, 119, 89]", "[0.300, 125, 89]").replace("[0.500, 143", "[0.500, 150")
    (found,) = fitted("head", part(HEAD), part(better))
    assert found.details == ("flow: 2 of 6 rows differ, first 0.3 in, 119 cfm, 89 cfm -> 0.3 in, 125 cfm, 89 cfm",)
    shorter = HEAD.replace("    [0.500, 143, 107],\n", "")
    (found,) = fitted("head", part(HEAD), part(shorter))
    assert found.details == ("flow: 6 rows -> 5 rows, at other points",)
    inside = 'kind = "head"\ndepression = "28 inH2O"\nflow = [["0.1 in", "47 cfm"], ["0.2 in", "88 cfm"]]'
    (found,) = fitted("head", part(inside), part(inside.replace("88", "90")))
    assert found.details == ("flow: 1 of 2 rows differ, first 0.2 in, 88 cfm -> 0.2 in, 90 cfm",)


def test_a_table_that_was_left_out() -> None:
    bare = part('kind = "head"\nmaterial = "iron"\nintake_valve = "1.73 in"\nexhaust_valve = "1.38 in"')
    (found,) = fitted("head", bare, part(HEAD))
    assert found.details == ("depression not given -> 28 inH2O", "flow not given -> a table")


def test_parts_put_on_and_taken_off() -> None:
    found = changes({"parts": {"exhaust": "log"}}, {"parts": {"exhaust": "tube header", "springs": "stock springs"}})
    assert [(change.kind, change.before, change.after) for change in found] == [
        ("exhaust", "log", "tube header"),
        ("springs", "", "stock springs"),
    ]
    (back,) = changes({"parts": {"camshaft": "cam A"}}, {})
    assert (back.before, back.after) == ("cam A", "")


def test_settings_are_compared_by_value() -> None:
    one = {"settings": {"spark": "31 deg", "jets": 72, "lash": "0.010 in", "mix": "Rich", "limit": "5600 rpm"}}
    two = {
        "settings": {"spark": "34 deg", "jets": "72", "lash": "0.254 mm", "mix": "rich", "limit": 5600, "fan": "off"}
    }
    found = changes(one, two)
    assert [(change.kind, change.before, change.after) for change in found] == [
        ("setting spark", "31 deg", "34 deg"),
        ("setting fan", "", "off"),
    ]


@pytest.mark.parametrize(
    ("one", "two", "same"),
    [
        ("1 in", "25.4 mm", True),
        ("1 in", "25.5 mm", False),
        ("31 deg", "31°", True),
        ("72", "72.0", True),
        ("72", "72 %", False),
        ("1 psi", "1 mm", False),
        ("6,2 psi", "6.2 psi", True),
        ("as found", "As  found", True),
        ("68-70", "68", False),
        ("", "0", False),
    ],
)
def test_values_as_text(one: str, two: str, same: bool) -> None:
    assert engine.same_text(one, two) is same
    assert engine.same_text(two, one) is same


def test_circumstances_come_last_and_under_their_own_kinds() -> None:
    one = {"parts": {"camshaft": "cam A"}}
    two = {
        "parts": {"camshaft": "cam B", "compressor": "wheel"},
        "fuel": "e10",
        "gear": "1.6:1",
        "gear_efficiency": "98.5 %",
        "accessories": ["fan"],
        "hours": "14 h",
    }
    found = {change.kind: change for change in changes(one, two)}
    assert list(found) == ["camshaft", "compressor", "fuel", "induction", "gear", "accessories", "hours"]
    assert set(engine.CIRCUMSTANCES) == {"fuel", "induction", "gear", "accessories", "hours"}
    assert (found["fuel"].before, found["fuel"].after) == ("petrol", "e10")
    assert "heating value 43.44 MJ/kg -> 41.7" in found["fuel"].details[1]
    assert (found["induction"].before, found["induction"].after) == ("natural", "belt")
    assert found["gear"].details == ("gear 1:1 -> 1.6:1", "gear efficiency 100 % -> 98.5 %")
    assert (found["accessories"].after, found["accessories"].details) == ("fan", ("fan fitted",))
    assert (found["hours"].before, found["hours"].after) == ("", "14 h")


def test_a_fuel_part_is_one_change_of_fuel() -> None:
    (found,) = changes({}, {"parts": {"fuel": "pump 95"}})
    assert (found.kind, found.before, found.after) == ("fuel", "petrol", "pump 95")


def test_accessories_by_list_and_by_part() -> None:
    (off,) = changes({"accessories": ["Fan", "pump"]}, {"accessories": ["pump", "alternator"]})
    assert off.details == ("alternator fitted", "Fan taken off")
    assert changes({"accessories": ["Fan"]}, {"accessories": ["fan"]}) == ()
    text = 'kind = "accessories"\n[drive_power]\nfan = "{}"\n'
    (found,) = fitted("accessories", part(text.format("3 hp")), part(text.format("2 hp")))
    assert found.details == ("drive power: fan 3 hp -> 2 hp",)
    assert fitted("accessories", part(text.format("1 kW")), part(text.format("1000 W"))) == ()


def test_unlike_engines_are_one_change_beside_the_parts() -> None:
    one = build("one", ANVIL, parts={"camshaft": "cam A"})
    two = build("two", WREN, parts={"camshaft": "cam A", "exhaust": "log"})
    found = engine.build_changes(one, two)
    assert [change.kind for change in found] == ["engine", "exhaust"]
    assert (found[0].before, found[0].after) == ("Anvil", "Wren")
    assert "bore 87.757 mm -> 77.9 mm" in found[0].details
    assert "cylinders 6 -> 4" in found[0].details
    assert "compression ratio 9.4 -> 9" in found[0].details


def engine_pair(one: str, two: str) -> tuple[Build, Build]:
    return build("one", one), build("two", two)


def test_an_engine_whose_sheet_was_corrected() -> None:
    (found,) = engine.build_changes(*engine_pair(ANVIL, ANVIL.replace('"9.4:1"', "9.6")))
    assert found == Change("engine", "Anvil", "Anvil", ("compression ratio 9.4 -> 9.6",))
    assert engine.build_changes(*engine_pair(ANVIL, ANVIL.replace('"3.900 in"', '"99.06 mm"'))) == ()


def test_two_engines_of_one_kind_are_still_two_engines() -> None:
    one = build("one")
    (found,) = engine.build_changes(one, replace(one, engine_name="Anvil, second block"))
    assert (found.kind, found.after, found.details) == ("engine", "Anvil, second block", ())


def test_parts_named_on_the_engine_sheet_alone() -> None:
    noted = ANVIL + '\n[parts]\nring = "{}"\ncamshaft = "{}"\n'
    one = build("one", noted.format("plain", "A"), parts={"camshaft": "cam A"})
    two = build("two", noted.format("gapless", "B"), parts={"camshaft": "cam A"})
    (found,) = engine.build_changes(one, two)
    assert found.details == ("ring plain -> gapless",)


def test_every_kind_of_part_is_compared() -> None:
    assert set(shelf()) >= {"cam A", "iron head"}
    one = part('kind = "jets"\nmain = 72')
    (found,) = fitted("jets", one, part('kind = "jets"\nmain = 74\nair = 1.2'))
    assert found.details == ("main 72 -> 74", "air not given -> 1.2")
