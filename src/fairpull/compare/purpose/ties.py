"""Scores held against each other: differences with their own intervals, and who cannot be told apart."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations

from fairpull.compare.bands import interval
from fairpull.compare.purpose.tally import Tally
from fairpull.terms.purpose import ScoreDifference

HOW = "difference of two scores drawn together, so that what both share falls out"


def pair_up(tallies: Mapping[str, Tally], smallest: float) -> tuple[ScoreDifference, ...]:
    """Every pair of complete scores, higher score first.

    Args:
        tallies: build -> tally; incomplete ones are left out.
        smallest: scores closer than this fraction are ties whatever the noise.

    Returns:
        Differences, pairs in order of score.

    Source: own definition.
    """
    whole = {name: tally for name, tally in tallies.items() if tally.draws is not None}
    order = sorted(whole, key=lambda name: (-whole[name].value, name))
    return tuple(
        _pair(first, second, whole[first], whole[second], smallest) for first, second in combinations(order, 2)
    )


def _pair(first: str, second: str, high: Tally, low: Tally, smallest: float) -> ScoreDifference:
    assert high.draws is not None, "only complete ones are paired"
    assert low.draws is not None, "only complete ones are paired"
    value = interval(high.draws - low.draws, high.unit, HOW, high.value - low.value)
    ratio = (high.draws + high.base) / (low.draws + low.base) - 1.0
    share = interval(ratio, "1", HOW, (high.value + high.base) / (low.value + low.base) - 1.0)
    tie = value.low <= 0.0 <= value.high or abs(share.value) < smallest
    return ScoreDifference(first, second, value, share, tie)


def tie_groups(order: Sequence[str], differences: Sequence[ScoreDifference]) -> tuple[tuple[str, ...], ...]:
    """Builds in groups: the best not yet placed, with all that cannot be told apart from it.

    Args:
        order: builds, best score first.
        differences: every pair.

    Returns:
        Groups, best first. Being a tie does not carry over: two builds of neighbouring groups may be a tie between
        themselves, and ``overlaps`` names such pairs.

    Source: own definition.
    """
    tied = _tied(differences)
    left, groups = list(order), []
    while left:
        best = left[0]
        groups.append((best, *(name for name in left[1:] if frozenset((best, name)) in tied)))
        left = [name for name in left if name not in groups[-1]]
    return tuple(groups)


def overlaps(groups: Sequence[tuple[str, ...]], differences: Sequence[ScoreDifference]) -> tuple[tuple[str, str], ...]:
    """Pairs that are a tie between themselves but stand in different groups.

    Args:
        groups: as from ``tie_groups``.
        differences: every pair.

    Returns:
        Pairs of names.

    Source: own definition.
    """
    place = {name: number for number, group in enumerate(groups) for name in group}
    return tuple(
        (one.build, one.other)
        for one in differences
        if one.tie and one.build in place and one.other in place and place[one.build] != place[one.other]
    )


def _tied(differences: Sequence[ScoreDifference]) -> set[frozenset[str]]:
    return {frozenset((one.build, one.other)) for one in differences if one.tie}
