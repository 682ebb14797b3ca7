"""Refusals on hand-written sheets are in plain words, with an example of the very entry."""

from __future__ import annotations

import pytest

from fairpull import engine
from fairpull.engine.sheet_words import QUANTITIES
from fairpull.terms.errors import FairpullError
from fairpull.terms.unit_table import ROWS
from tests.engine.sheets import part

CAM = 'kind = "camshaft"\nadvertised_lift = "0.006 in"\n'


@pytest.mark.parametrize(
    ("entry", "seen", "remedy"),
    [
        (
            'intake_advertised = "260 kg"',
            "'260 kg': kg measures a weight; an angle is wanted",
            'write it as "260 deg"',
        ),
        ('intake_advertised = "260"', "'260' has no unit; an angle is wanted", 'write it as "260 deg"'),
        ('intake_valve_lift = "0.44 psi"', "'0.44 psi': psi measures a pressure; a length is wanted", "0.440 in"),
        ('intake_lash = "ten thou"', "'ten thou' is no number with a unit; a length is wanted", "0.010 in"),
        ('intake_lash = "10 thumbs"', "'10 thumbs': no unit 'thumbs' is known for a length", "0.010 in"),
        ("intake_advertised = 260", "260 has no unit", 'such as "260 deg"'),
        ("intake_advertised = { at = 1 }", "a table stands there", 'such as "260 deg"'),
        ("intake_advertised = [260]", "a list stands there", 'such as "260 deg"'),
        ("lifters = { make = 1 }", "a table stands there", 'write it as text: lifters = "..."'),
        ("lifters = true", "yes or no stands there", 'write it as text: lifters = "..."'),
    ],
)
def test_a_wrong_entry_is_told_in_plain_words(entry: str, seen: str, remedy: str) -> None:
    with pytest.raises(FairpullError) as refusal:
        part(CAM + entry, "x")
    told = {fault.where.split(", ")[1]: fault for fault in refusal.value.faults}
    fault = told[entry.split(" ")[0]]
    assert fault.seen == seen
    assert remedy in fault.remedy


@pytest.mark.parametrize(
    ("body", "entry", "remedy"),
    [
        ({"parts": ["log"]}, "parts", "[parts]"),
        ({"settings": "hot"}, "settings", "[settings]"),
        ({"accessories": "fan"}, "accessories", 'accessories = ["...", "..."]'),
        ({"notes": {"a": 1}}, "notes", 'notes = "..."'),
    ],
)
def test_tables_lists_and_texts_in_each_others_place(body: dict[str, object], entry: str, remedy: str) -> None:
    bare = engine.engine_from_table({"displacement": "2.0 L"}, where="e", name="e")
    with pytest.raises(FairpullError) as refusal:
        engine.build_from_table({"engine": "e", **body}, where="b", name="b", engine=bare, parts={})
    (fault,) = refusal.value.faults
    assert fault.where == f"b, {entry}"
    assert remedy in fault.remedy
    assert "input" not in fault.line()


def test_every_unit_of_the_sheets_has_its_word() -> None:
    houses = {row[1] for row in ROWS}
    assert {"m", "rad", "Pa", "W", "kg", "N m", "K"} <= houses & set(QUANTITIES)
