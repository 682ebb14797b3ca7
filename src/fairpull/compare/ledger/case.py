"""What the rows of a ledger are drawn from: both builds' circumstances, and the range they have in common."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fairpull.compare.fairness.sides import find_group
from fairpull.compare.ledger.rules import Reach
from fairpull.compare.summaries import power_of
from fairpull.terms.arrays import BoolArray, FloatArray
from fairpull.terms.build import Change
from fairpull.terms.comparison import Comparison, Estimate
from fairpull.terms.ledger import CONFOUNDER, EQUAL, UNKNOWN, LedgerRow, RunFacts
from fairpull.terms.pull import Pull
from fairpull.terms.units import from_house, house_unit_of, shown_unit

SETTING = "setting "  # before the name of a setting that changed
NEVER_TESTED = frozenset({"gear", "gear_efficiency", "hours", "reference"})
CIRCUMSTANCES = frozenset({"fuel", "accessories"})
BRINGS_INDUCTION = frozenset({"engine", "compressor", "turbine"})

# Decimals of readable values, by quantity; metric, as stored text has them.
_DECIMALS = {
    "pressure": 1,
    "barometer": 2,
    "vapour_pressure": 2,
    "boost": 1,
    "temperature": 1,
    "sweep_rate": 0,
    "speed": 0,
    "torque": 2,
    "lambda": 3,
    "angle": 1,
    "power": 1,
}


@dataclass(frozen=True, slots=True)
class Case:
    """Two builds before the ledger is written.

    Attributes:
        reference, other: their circumstances.
        names: of the builds.
        changes: what differs in the sheets.
        band: common range of speed (low, high) [rpm].
        torque, power: means of the reference over it [N m], [W]; NaN where nothing is common.
        factors: correction factor of each pull of reference and other.
        corrected: torque was corrected for air.
        comparison: the plain comparison, or None.
    """

    reference: RunFacts
    other: RunFacts
    names: tuple[str, str]
    changes: tuple[Change, ...]
    band: tuple[float, float]
    torque: float
    power: float
    factors: tuple[FloatArray, FloatArray]
    corrected: bool
    comparison: Comparison | None

    def changed(self, *kinds: str) -> bool:
        """Do the sheets differ in one of these kinds of part, or settings of these names?"""
        return _named(self.changes, kinds)

    def on_trial(self, *kinds: str) -> bool:
        """Are these kinds of part, or settings of these names, under test?"""
        return _named(under_test(self.changes), kinds)


def _named(changes: Sequence[Change], kinds: Sequence[str]) -> bool:
    told = {change.kind for change in changes}
    return bool(told & {*kinds, *(f"{SETTING}{kind}" for kind in kinds)})


def under_test(changes: Sequence[Change]) -> tuple[Change, ...]:
    """Which of the sheets' differences are under test: fuel and accessories only where nothing else was changed.

    Args:
        changes: what differs in the sheets.

    Returns:
        Those under test; never gear, hours or the like, nor an induction that follows from a compressor or an engine.

    Source: own definition.
    """
    candidates = [change for change in changes if change.kind.removeprefix(SETTING) not in NEVER_TESTED]
    kinds = {change.kind for change in candidates}
    if kinds & BRINGS_INDUCTION:
        candidates = [change for change in candidates if change.kind != "induction"]
    on_purpose = [change for change in candidates if change.kind not in CIRCUMSTANCES]
    return tuple(on_purpose or candidates)


def case_of(
    reference: RunFacts, other: RunFacts, comparison: Comparison | None, changes: tuple[Change, ...] | None
) -> Case:
    """Lay both builds side by side.

    Args:
        reference: circumstances of the reference.
        other: circumstances of the other build.
        comparison: the plain comparison, or None.
        changes: what differs in the sheets; None where nobody compared them.

    Returns:
        The case.

    Source: own definition.
    """
    band = _band(reference, other, comparison)
    standard = comparison.standard if comparison is not None else ""
    factors = (factors_of(reference, comparison), factors_of(other, comparison))
    corrected = standard != "none" and bool(np.any(np.abs(np.concatenate(factors) - 1.0) > 1e-9))
    torque, power = _means(reference, band)
    names = (_name(reference, comparison, "reference"), _name(other, comparison, "other"))
    return Case(reference, other, names, changes or (), band, torque, power, factors, corrected, comparison)


def factors_of(facts: RunFacts, comparison: Comparison | None) -> FloatArray:
    """Correction factors of a build's pulls: those of the comparison, which may use another standard than the book.

    Args:
        facts: of the build.
        comparison: the plain comparison, or None.

    Returns:
        Factors [1], shape (n,).

    Source: own definition.
    """
    group = find_group(facts, comparison) if comparison is not None else None
    return np.asarray(facts.factors if group is None else group.factors, dtype=np.float64)


def _name(facts: RunFacts, comparison: Comparison | None, otherwise: str) -> str:
    if facts.build is not None:
        return facts.build.name
    group = find_group(facts, comparison) if comparison is not None else None
    return otherwise if group is None else group.name


def usable(pull: Pull) -> BoolArray:
    """Rows of a pull that count.

    Args:
        pull: the pull.

    Returns:
        Mask over its rows, shape (n,).

    Source: own definition.
    """
    rpm = pull.channels["rpm"]
    good: BoolArray = np.isfinite(rpm) & np.isfinite(pull.channels["torque"])
    return good if pull.valid_to is None else good & (rpm <= pull.valid_to)


def tested_range(facts: RunFacts) -> tuple[float, float]:
    """Range of speed that every pull of a build covers.

    Args:
        facts: of the build.

    Returns:
        Lowest, highest [rpm]; NaN without pulls.

    Source: definition.
    """
    rows = [pull.channels["rpm"][usable(pull)] for pull in facts.pulls]
    rows = [rpm for rpm in rows if rpm.size]
    if not rows:
        return float("nan"), float("nan")
    return max(float(rpm.min()) for rpm in rows), min(float(rpm.max()) for rpm in rows)


def _band(reference: RunFacts, other: RunFacts, comparison: Comparison | None) -> tuple[float, float]:
    if comparison is not None and comparison.axis == "rpm":
        return comparison.band
    one, two = tested_range(reference), tested_range(other)
    return max(one[0], two[0]), min(one[1], two[1])


def _means(facts: RunFacts, band: tuple[float, float]) -> tuple[float, float]:
    torques, powers = [], []
    for pull in facts.pulls:
        rpm = pull.channels["rpm"]
        inside = usable(pull) & (rpm >= band[0]) & (rpm <= band[1])
        if inside.any():
            torque = pull.channels["torque"][inside]
            torques.append(float(torque.mean()))
            powers.append(float(power_of(torque, rpm[inside]).mean()))
    if not torques:
        return float("nan"), float("nan")
    return float(np.mean(torques)), float(np.mean(powers))


def channel_mean(facts: RunFacts, names: Sequence[str], band: tuple[float, float]) -> float:
    """Mean of a channel over the pulls of a build, within a range of speed.

    Args:
        facts: of the build.
        names: glossary names; of each pull the first that it logged is taken.
        band: (low, high) [rpm].

    Returns:
        Mean in the channel's unit; NaN where no pull logged any of them.

    Source: definition.
    """
    means: list[float] = []
    for pull in facts.pulls:
        rpm = pull.channels["rpm"]
        inside = usable(pull) & (rpm >= band[0]) & (rpm <= band[1])
        for name in names:
            values: FloatArray = pull.channels.get(name, np.empty(0))
            if values.shape == rpm.shape:
                known = values[inside & np.isfinite(values)]
                if known.size:
                    means.append(float(known.mean()))
                    break
    return float(np.mean(means)) if means else float("nan")


def readable(value: float, quantity: str) -> str:
    """A value as stored text has it, metric.

    Args:
        value: house unit of the quantity.
        quantity: channel or quantity.

    Returns:
        Number with unit; "not known" for NaN.
    """
    if not np.isfinite(value):
        return UNKNOWN
    unit = shown_unit(quantity, "metric")
    shown = from_house(value, unit, house_unit_of(quantity))
    return f"{shown:,.{_DECIMALS.get(quantity, 1)}f}" + ("" if unit == "1" else f" {unit}")


def estimate(reach: Reach, how: str) -> Estimate:
    """A rule's answer as an estimate of a fraction of torque.

    Args:
        reach: (value, low, high), fractions.
        how: the rule.

    Returns:
        The estimate.
    """
    return Estimate(reach[0], reach[1], reach[2], "1", how)


def said(
    name: str,
    role: str,
    shown: Sequence[str],
    text: str,
    rule: str = "",
    effect: Estimate | None = None,
    values: tuple[float, float] | None = None,
) -> LedgerRow:
    """A row of words.

    Args:
        name: of the row; where ``values`` are given, also their quantity.
        role: in the ledger.
        shown: readable value of reference and other.
        text: sentence for the reader.
        rule: with its source key.
        effect: likely size on torque, fraction.
        values: the numbers behind ``shown``, house unit of the quantity.

    Returns:
        The row.
    """
    return LedgerRow(name, role, shown[0], shown[1], effect, rule, text, "" if values is None else name, values)


def numbers(
    name: str,
    quantity: str,
    values: tuple[float, float],
    tolerance: float,
    reach: Reach | None,
    rule: str,
    texts: tuple[str, str],
) -> LedgerRow:
    """A row of two numbers: held within a tolerance, a confounder beyond it, or not known.

    Args:
        name: of the row.
        quantity: channel or quantity of the values.
        values: of reference and other, in its unit.
        tolerance: difference up to which the two count as equal, same unit.
        reach: likely size on torque beyond the tolerance, fractions; None where no rule is known.
        rule: the rule with its source key.
        texts: sentence for a confounder; what is missing where nobody measured.

    Returns:
        The row.

    Source: own definition.
    """
    one, two = (readable(value, quantity) for value in values)
    known = bool(np.isfinite(values).all())
    if not known:
        return LedgerRow(name, UNKNOWN, one, two, None, rule, texts[1], quantity, values)
    if abs(values[1] - values[0]) <= tolerance:
        return LedgerRow(name, EQUAL, one, two, None, "", "Held within what counts as equal.", quantity, values)
    sized = None if reach is None or not np.isfinite(reach).all() else estimate(reach, rule)
    return LedgerRow(name, CONFOUNDER, one, two, sized, rule, texts[0], quantity, values)
