"""Sheets as text: what goes out comes back, and the same sheet gives the same bytes."""

from __future__ import annotations

import datetime
import random
import tomllib
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fairpull import engine
from tests.engine.sheets import CAM_A, CAM_B, HEAD, HEADER, SPRINGS, build, part, shelf, table

SHEETS = [
    CAM_A,
    CAM_B,
    HEAD,
    HEADER,
    SPRINGS,
    'kind = "accessories"\nnotes = "two\\nlines"\nfitted = ["fan"]\n'
    '[drive_power]\nfan = "3 hp"\n"water pump" = "1 hp"\n',
    'kind = "other"\n"key with spaces" = "a \\"quoted\\" word"\nteeth = 118\n',
]


@pytest.mark.parametrize("text", SHEETS)
def test_a_part_goes_out_and_comes_back(text: str) -> None:
    sheet = part(text)
    written = engine.part_text(sheet)
    again = part(written)
    assert again == sheet
    assert engine.part_text(again) == written


@pytest.mark.parametrize("text", SHEETS)
def test_the_order_of_the_entries_does_not_show(text: str) -> None:
    entries = list(table(text).items())
    random.Random(4).shuffle(entries)
    shuffled = engine.part_from_table(dict(entries), where="x", name="part")
    assert engine.part_text(shuffled) == engine.part_text(part(text))


def test_a_build_goes_out_and_comes_back() -> None:
    sheet = build(
        reference="anvil-log",
        gear="1.6:1",
        fuel={"name": "petrol", "density": "760 kg/m3"},
        parts={"head": "iron head", "camshaft": "cam A"},
        settings={"spark": "31 deg", "jets": 72},
        accessories=["fan", "pump"],
        notes="first of the day",
    )
    written = engine.build_text(sheet)
    again = engine.build_from_table(
        tomllib.loads(written), where="x", name="build", engine={"Anvil": build().engine}, parts=shelf()
    )
    assert again == sheet
    assert engine.build_text(again) == written


def test_text_reads_like_a_page() -> None:
    assert engine.part_text(part(HEAD)) == (
        'kind = "head"\n'
        'material = "iron"\n'
        'intake_valve = "1.73 in"\n'
        'exhaust_valve = "1.38 in"\n'
        'depression = "28 inH2O"\n'
        "flow = [\n"
        '    ["in", "cfm", "cfm"],\n'
        "    [0.1, 47, 36],\n"
        "    [0.2, 88, 67],\n"
        "    [0.3, 119, 89],\n"
        "    [0.4, 137, 102],\n"
        "    [0.45, 141, 105],\n"
        "    [0.5, 143, 107],\n"
        "]\n"
    )


KEYS = st.text(min_size=1, max_size=8)
SCALARS = st.one_of(
    st.text(max_size=12),
    st.integers(-(2**63), 2**63 - 1),
    st.floats(allow_nan=False),
    st.booleans(),
    st.dates(datetime.date(1990, 1, 1), datetime.date(2100, 1, 1)),
)
VALUES = st.recursive(SCALARS, lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEYS, inner, max_size=4))


@settings(deadline=None)
@given(body=st.dictionaries(KEYS, VALUES, max_size=6))
def test_any_page_comes_back(body: dict[str, Any]) -> None:
    text = engine.table_text(body)
    assert tomllib.loads(text) == body
    assert engine.table_text(dict(reversed(body.items()))) == text


def test_a_list_of_tables() -> None:
    body = {"band": [{"low": "1600 rpm", "weight": 0.25}, {"low": "2200 rpm", "deep": {"x": 1}}], "name": "n"}
    text = engine.table_text(body)
    assert text.startswith('name = "n"\n\n[[band]]\n')
    assert tomllib.loads(text) == body
