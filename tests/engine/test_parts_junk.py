"""Whatever stands on a sheet, it is taken or refused with its place: nothing else may happen."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from fairpull import engine
from fairpull.engine.build_form import BuildForm
from fairpull.engine.parts import forms
from fairpull.terms.build import PART_KINDS
from fairpull.terms.errors import Fault, ValueRefused
from tests.engine.sheets import machine, shelf

WORDS = st.sampled_from(
    ["", "1", "-", "260 deg", "1 in", "9,4", "1e999 mm", "nan", "-3 mm", "28 inH2O", "70 %", "cam A", "natural", "1:1"]
)
SCALARS = st.one_of(
    WORDS,
    st.text(max_size=6),
    st.integers(-5, 10**400),
    st.floats(),
    st.booleans(),
    st.just(datetime.date(2031, 5, 6)),
    st.none(),
)
ROWS = st.lists(st.lists(st.one_of(WORDS, st.floats(-1.0, 500.0)), max_size=4), max_size=4)
VALUES = st.one_of(SCALARS, ROWS, st.dictionaries(st.sampled_from([*PART_KINDS, "name", "fan"]), SCALARS, max_size=3))


def faults_of(read: Callable[[], object]) -> tuple[Fault, ...]:
    try:
        read()
    except ValueRefused as refusal:
        return refusal.faults
    return ()


def assert_placed(faults: tuple[Fault, ...]) -> None:
    assert all(fault.where.startswith("x.toml, ") and fault.remedy for fault in faults)


@settings(deadline=None, max_examples=400)
@given(kind=st.sampled_from(PART_KINDS), data=st.data())
def test_any_part(kind: str, data: st.DataObject) -> None:
    entries = st.sampled_from([*forms()[kind].model_fields, "whatever"])
    raw: dict[str, Any] = data.draw(st.dictionaries(entries, VALUES, max_size=5))
    raw["kind"] = data.draw(st.sampled_from([kind, kind, kind, raw.get("kind", kind)]))
    assert_placed(faults_of(lambda: engine.part_from_table(raw, where="x.toml", name="x")))


@settings(deadline=None, max_examples=200)
@given(raw=st.dictionaries(st.sampled_from([*BuildForm.model_fields, "whatever"]), VALUES, max_size=6))
def test_any_build(raw: dict[str, Any]) -> None:
    engines, parts = {"Anvil": machine()}, shelf()
    assert_placed(
        faults_of(lambda: engine.build_from_table(raw, where="x.toml", name="x", engine=engines, parts=parts))
    )
