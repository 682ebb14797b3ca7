"""Canonical JSON: one text for one value, and the value back."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fairpull.book.json_text import dumps, loads
from fairpull.terms.errors import BookRefused

texts = st.text(st.characters(exclude_characters="\0", categories=("L", "M", "N", "P", "S", "Z", "Cc")))
keys = texts.filter(lambda key: not key.startswith("$"))
leaves = st.one_of(
    st.none(), st.booleans(), st.integers(), st.floats(allow_nan=False), texts, st.dates(), st.times(), st.datetimes()
)
values = st.recursive(leaves, lambda inner: st.lists(inner) | st.dictionaries(keys, inner), max_leaves=20)


@given(values)
def test_round_trip(value: Any) -> None:
    text = dumps(value, where="x", finite=False)
    back = loads(text)
    assert back == value
    assert dumps(back, where="x", finite=False) == text


def test_order_of_entries_does_not_matter() -> None:
    assert dumps({"b": 1, "a": [1.5, "ü"]}, where="x") == dumps({"a": (1.5, "ü"), "b": 1}, where="x")
    assert dumps({"b": 1, "a": [1.5, "ü"]}, where="x") == '{"a":[1.5,"ü"],"b":1}'


def test_numbers_that_are_not_finite_are_refused_or_marked() -> None:
    with pytest.raises(BookRefused) as refused:
        dumps({"a": float("nan"), "b": [float("inf")]}, where="x")
    assert [fault.where for fault in refused.value.faults] == ["x.a", "x.b[0]"]
    text = dumps({"a": float("nan"), "b": [float("-inf")]}, where="x", finite=False)
    assert text == '{"a":{"$number":"nan"},"b":[{"$number":"-inf"}]}'
    back = loads(text)
    assert back["a"] != back["a"]
    assert back["b"] == [float("-inf")]


def test_half_a_letter_is_refused() -> None:
    with pytest.raises(BookRefused, match="not-text"):
        dumps({"a": "\ud800"}, where="x")
