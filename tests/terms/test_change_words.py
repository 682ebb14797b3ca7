"""Words of the trade for kinds of change."""

from __future__ import annotations

import pytest

from fairpull.terms.build import PART_KINDS
from fairpull.terms.change_words import KIND_OF, SETTING, WORDS, kind_of_change, near_kinds

SETTINGS = ("spark", "Main_jet", "boost")


@pytest.mark.parametrize(
    ("word", "kind"),
    [
        ("header", "exhaust"),
        ("Manifold", "exhaust"),
        ("cam", "camshaft"),
        ("carb", "carburettor"),
        ("valve-springs", "springs"),
        ("camshaft", "camshaft"),
        ("boost per psi", "boost"),
        ("gain per kPa", "boost"),
        ("boost", "boost"),
        ("timing", "setting spark"),
        ("main jet", "setting Main_jet"),
        ("setting MAIN JET", "setting Main_jet"),
        ("setting boost", "setting boost"),
        ("setting tappets", "setting tappets"),
        ("jetting", "jets"),
        ("luck", ""),
        ("", ""),
        ("setting ", ""),
    ],
)
def test_a_word_means_a_kind(word: str, kind: str) -> None:
    assert kind_of_change(word, SETTINGS) == kind


def test_no_word_means_two_kinds_and_none_hides_a_kind() -> None:
    assert sum(len(words) for words in WORDS.values()) == len(KIND_OF)
    assert not set(KIND_OF) & set(PART_KINDS)
    assert {kind for kind in WORDS if not kind.startswith(SETTING)} <= set(PART_KINDS)


def test_near_kinds_are_told_by_their_own_names() -> None:
    assert near_kinds("exhuast")[0] == "exhaust"
    assert near_kinds("heeder")[0] == "exhaust"
    assert near_kinds("main jt", SETTINGS)[0] == "setting Main_jet"
    assert near_kinds("xyzzy") == ()
