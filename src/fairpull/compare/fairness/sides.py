"""The two builds of a fair view: their groups of the comparison, and their channels along rpm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fairpull import engine
from fairpull.compare.fairness.missing import cannot
from fairpull.compare.fairness.wording import per_cent
from fairpull.terms.arrays import BoolArray, FloatArray
from fairpull.terms.comparison import Comparison, Difference, Group
from fairpull.terms.errors import Fault, NotComparable
from fairpull.terms.ledger import RunFacts

SAME_SIZE = 0.01  # bored and honed a little is still the same engine
PISTON_SPEED = "mean piston speed"  # in the name of the comparison's own view
LIKE_DIFFERENCE = (
    "the simultaneous 95 % band of the plain difference, moved point by point; what moves it counts as exact"
)
LIKE_GROUPS = (
    "the two builds' own simultaneous 95 % bands at their opposite ends, so wider than a band of the difference; it "
    "holds no change from day to day"
)


@dataclass(frozen=True, slots=True)
class Side:
    """One build: its circumstances and its curves."""

    facts: RunFacts
    group: Group

    @property
    def name(self) -> str:
        """The build's name in the comparison."""
        return self.group.name


@dataclass(frozen=True, slots=True)
class Sides:
    """Two builds.

    difference: plain, None where the comparison judged neither against the other; piston_speed: of BMEP at equal mean
    piston speed, where the comparison made it, rpm of the reference.
    """

    reference: Side
    other: Side
    difference: Difference | None
    piston_speed: Difference | None
    standard: str
    band: tuple[float, float]


def find_group(facts: RunFacts, comparison: Comparison) -> Group | None:
    """The group of a comparison that a build's pulls went into.

    Args:
        facts: of the build.
        comparison: the plain comparison.

    Returns:
        The group that holds these pulls, else the one of the build's name, else None.

    Source: own definition.
    """
    pulls = {pull.name for pull in facts.pulls}
    for group in comparison.groups:
        if pulls & {curve.name for curve in group.curves}:
            return group
    name = facts.build.name if facts.build is not None else None
    return next((group for group in comparison.groups if group.name == name), None)


def sides_of(reference: RunFacts, other: RunFacts, comparison: Comparison) -> Sides:
    """Both builds as the comparison knows them.

    Args:
        reference: circumstances of the reference.
        other: circumstances of the other.
        comparison: holds both.

    Returns:
        The sides.

    Raises:
        NotComparable: a build that the comparison does not hold.

    Source: own definition.
    """
    groups = [find_group(one, comparison) for one in (reference, other)]
    mine, theirs = groups
    if mine is None or theirs is None:
        strangers = ", ".join(
            one.build.name if one.build is not None else "a build without a sheet"
            for one, group in zip((reference, other), groups, strict=True)
            if group is None
        )
        raise cannot(strangers, "the comparison holds none of its pulls", "compare these builds first")
    names = (mine.name, theirs.name)
    views = [one for view in comparison.views if PISTON_SPEED in view.name for one in view.differences]
    return Sides(
        Side(reference, mine),
        Side(other, theirs),
        _between(comparison.differences, names),
        _between(views, names),
        comparison.standard,
        comparison.band,
    )


def _between(differences: Sequence[Difference], names: tuple[str, str]) -> Difference | None:
    return next((one for one in differences if (one.reference, one.other) == names), None)


def same_size(sides: Sides) -> bool:
    """Are both engines of one displacement, as far as the sheets say?

    Args:
        sides: the builds.

    Returns:
        False where both sizes are known and differ: then a gain says nothing of boost.

    Source: own definition.
    """
    builds = [side.facts.build for side in (sides.reference, sides.other)]
    sizes = [engine.displacement_of(build.engine) for build in builds if build is not None]
    return len(sizes) < 2 or not np.isfinite(sizes).all() or abs(sizes[1] / sizes[0] - 1.0) < SAME_SIZE


def nodes(sides: Sides) -> FloatArray:
    """Grid of engine speed that both builds tested.

    Args:
        sides: the builds.

    Returns:
        Rising speeds, shape (g,) [rpm].

    Raises:
        NotComparable: no speed in common.

    Source: own definition.
    """
    if sides.difference is not None:
        return sides.difference.rpm
    mine, theirs = sides.reference.group.rpm, sides.other.group.rpm
    inside: FloatArray = mine[(mine >= theirs[0]) & (mine <= theirs[-1])]
    if not inside.size:
        seen = f"{mine[0]:.0f}-{mine[-1]:.0f} rpm against {theirs[0]:.0f}-{theirs[-1]:.0f} rpm"
        raise NotComparable(Fault("no-common-range", "tested ranges", seen, "test both over one range"))
    return inside


def torque_at(side: Side, rpm: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Corrected torque of a build with its simultaneous band.

    Args:
        side: the build.
        rpm: shape (g,).

    Returns:
        Torque, low, high, each of shape (g,) [N m]; NaN outside the tested range.

    Source: definition.
    """
    group = side.group
    torque, low, high = (
        np.interp(rpm, group.rpm, one, left=np.nan, right=np.nan)
        for one in (group.torque, group.torque_low, group.torque_high)
    )
    return torque, low, high


def plain_ratio(sides: Sides, rpm: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """The plain difference at equal engine speed: other over reference - 1, with its simultaneous band.

    Args:
        sides: the builds.
        rpm: shape (g,).

    Returns:
        Ratio, low, high, fractions of shape (g,); NaN where one of the two was not tested.

    Source: own definition.
    """
    one = sides.difference
    if one is not None:
        ratio, low, high = (
            np.interp(rpm, one.rpm, values, left=np.nan, right=np.nan)
            for values in (one.ratio, one.ratio_low, one.ratio_high)
        )
        return ratio, low, high
    return opposite_ends(torque_at(sides.reference, rpm), torque_at(sides.other, rpm))


def plain_words(sides: Sides, plain: FloatArray, known: BoolArray) -> str:
    """The plain difference as one number, with what number it is: the verdict's own where there is one.

    Args:
        sides: the builds.
        plain: other over reference - 1, fractions of shape (g,).
        known: nodes that count where the comparison judged no such difference, shape (g,).

    Returns:
        Such as "the verdict's plain +2.8 %" or "the plain +3.6 %, averaged over rpm,".

    Source: own definition.
    """
    if sides.difference is not None:
        return f"the verdict's plain {per_cent(sides.difference.mean_ratio.value)}"
    return f"the plain {per_cent(float(plain[known].mean()))}, averaged over rpm,"


def opposite_ends(
    reference: tuple[FloatArray, FloatArray, FloatArray], other: tuple[FloatArray, FloatArray, FloatArray]
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Ratio of two curves whose band runs from lowest over highest to highest over lowest.

    Args:
        reference: value, low, high, each of shape (g,), any unit.
        other: the same, same unit.

    Returns:
        Other over reference - 1 with its band, fractions of shape (g,).

    Source: own definition (interval arithmetic).
    """
    return other[0] / reference[0] - 1.0, other[1] / reference[2] - 1.0, other[2] / reference[1] - 1.0


def ratio_band(sides: Sides) -> str:
    """How the band of ``plain_ratio`` was made, in one sentence.

    Args:
        sides: the builds.

    Returns:
        The sentence.
    """
    return LIKE_GROUPS if sides.difference is None else LIKE_DIFFERENCE


def channel_at(side: Side, names: Sequence[str], rpm: FloatArray) -> FloatArray:
    """Mean of a channel over the pulls of a build, along rpm.

    Args:
        side: the build.
        names: glossary names; of each pull the first that it logged is taken, the unit of the channel stays.
        rpm: shape (g,).

    Returns:
        Values in the channel's unit, shape (g,); NaN where no pull logged any of them.

    Source: definition.
    """
    rows = []
    for curve in side.group.curves:
        name = next((one for one in names if one in curve.channels), None)
        if name is not None and len(curve.channels[name]) == len(curve.rpm):
            values = curve.channels[name]
            known = np.isfinite(values)
            if known.any():
                rows.append(np.interp(rpm, curve.rpm[known], values[known], left=np.nan, right=np.nan))
    return mean_of(rows, len(rpm))


def mean_of(rows: Sequence[FloatArray], size: int) -> FloatArray:
    """Mean over rows, each node over the rows that have a value there.

    Args:
        rows: each of shape (size,), one unit.
        size: number of nodes.

    Returns:
        Mean in the same unit, shape (size,); NaN where no row has a value.

    Source: definition.
    """
    if not rows:
        return np.full(size, np.nan)
    stacked = np.array(rows)
    known: BoolArray = np.isfinite(stacked)
    count = known.sum(axis=0)
    total: FloatArray = np.where(known, stacked, 0.0).sum(axis=0)
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)


def observed_torque(side: Side, rpm: FloatArray) -> FloatArray:
    """Torque as the brake read it, mean of the pulls: what flows are to be held against.

    Args:
        side: the build.
        rpm: shape (g,).

    Returns:
        Torque [N m], shape (g,).

    Source: definition.
    """
    rows = []
    for curve in side.group.curves:
        known = np.isfinite(curve.torque)
        rows.append(np.interp(rpm, curve.rpm[known], curve.torque[known], left=np.nan, right=np.nan))
    return mean_of(rows, len(rpm))
