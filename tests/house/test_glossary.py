"""The glossary of channels holds together: names, units, ranges, spellings."""

from __future__ import annotations

from collections import defaultdict

import pytest

from fairpull.terms import units
from fairpull.terms.glossary import BY_NAME, CHANNELS, Channel

EVERY = pytest.mark.parametrize("channel", CHANNELS, ids=lambda channel: channel.name)


def test_names_are_unique_and_found_by_name() -> None:
    assert len({channel.name for channel in CHANNELS}) == len(CHANNELS)
    assert list(BY_NAME.values()) == list(CHANNELS)


@EVERY
def test_a_name_is_a_plain_word_without_a_number(channel: Channel) -> None:
    assert channel.name.isidentifier()
    assert channel.name == channel.name.lower()
    assert not channel.name[-1].isdigit()


@EVERY
def test_a_unit_is_known_and_is_the_house_unit(channel: Channel) -> None:
    one = float(units.to_house(1.0, channel.unit, channel.unit))
    assert one == pytest.approx(1.0, rel=1e-12)
    assert units.same_dimension(channel.unit, channel.unit)


@EVERY
def test_a_range_is_a_range(channel: Channel) -> None:
    assert channel.low < channel.high
    if channel.unit == "K":
        assert channel.low > 200, "a temperature in the house is absolute"
    if channel.unit == "1" and channel.error == "absolute" and "fraction" in channel.about:
        assert channel.high <= 1.1, "a fraction stays a fraction"


@EVERY
def test_words_of_choice_are_known(channel: Channel) -> None:
    assert channel.better in {"", "higher", "lower"}
    assert channel.error in {"relative", "absolute"}
    assert channel.about


@EVERY
def test_spellings_are_written_as_the_reader_compares_them(channel: Channel) -> None:
    for spelling in channel.spellings:
        assert spelling == " ".join(spelling.lower().split())
    assert len(set(channel.spellings)) == len(channel.spellings)


def test_no_spelling_belongs_to_two_channels() -> None:
    owners: dict[str, set[str]] = defaultdict(set)
    for channel in CHANNELS:
        for spelling in (*channel.spellings, channel.name.replace("_", " ")):
            owners[spelling].add(channel.name)
    assert {spelling: names for spelling, names in owners.items() if len(names) > 1} == {}
