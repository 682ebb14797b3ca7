"""The ledger of a comparison, fair views, and purpose scores."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from fairpull.terms.arrays import FloatArray
from fairpull.terms.build import Build, Change
from fairpull.terms.comparison import Comparison, Estimate
from fairpull.terms.findings import Finding
from fairpull.terms.pull import Pull
from fairpull.terms.tuning import PastWork

INTENDED = "change under test"
CONFOUNDER = "confounder"
EQUAL = "held"
UNKNOWN = "not known"


@dataclass(frozen=True, slots=True)
class RunFacts:
    """What a build's counted pulls say about the circumstances they ran in.

    Attributes:
        build: the build, or None where only log files are known.
        pulls: counted pulls in running order, with their channels.
        factors: correction factor of each, shape (n,).
        numbers: running number of each pull over the whole day or book, shape (n,).
        session: names of the sessions.
        calibrations: text that names each pull's calibration; "" where unknown.
        accessories: declared accessories that were fitted, each with its power where that is declared ("fan 8 hp").
        zeros: what the brake read with nothing hung on it, one a pull [N m]; NaN where nobody looked, empty for none.
    """

    build: Build | None
    pulls: tuple[Pull, ...]
    factors: FloatArray
    numbers: FloatArray
    session: tuple[str, ...] = ()
    calibrations: tuple[str, ...] = ()
    accessories: tuple[str, ...] = ()
    zeros: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class LedgerRow:
    """One thing that may differ between two builds' pulls.

    Attributes:
        name: e.g. "camshaft", "boost", "oil temperature".
        role: INTENDED, CONFOUNDER, EQUAL or UNKNOWN.
        reference, other: readable values.
        effect: likely size on torque (fraction, other against reference) where a rule or a sensitivity is known.
        rule: the rule and its source key; "" where none is known.
        text: one sentence for the reader.
        quantity: channel or quantity of ``values`` where the row is two numbers, so that they can be shown in either
            system of units; "" otherwise. values: of the reference and the other, house unit.
    """

    name: str
    role: str
    reference: str
    other: str
    effect: Estimate | None = None
    rule: str = ""
    text: str = ""
    quantity: str = ""
    values: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Ledger:
    """Everything that differs between two builds and their days.

    Attributes:
        reference, other: names of the builds.
        changes: what differs in the sheets.
        rows: all rows, intended first, then confounders by likely size, then what is not known, then what was held.
        summary: one sentence: the change under test and how many confounders.
        findings: more than one intended change (said loudly), large confounders, and so on.
        together: likely size of all confounders at once on torque, fraction; None where none has a size.
    """

    reference: str
    other: str
    changes: tuple[Change, ...]
    rows: tuple[LedgerRow, ...]
    summary: str
    findings: tuple[Finding, ...] = ()
    together: Estimate | None = None


@dataclass(frozen=True, slots=True)
class FairLook:
    """The same comparison on other common ground; the plain view stands beside it.

    Attributes:
        name: e.g. "at equal boost".
        assumption: what this view takes for granted, one sentence.
        axis: what ``x`` is, e.g. "rpm" or "output shaft rpm"; quantity and unit: what the values are (house unit).
        x: shape (g,).
        reference, other: values of the two builds, shape (g,).
        ratio, ratio_low, ratio_high: other / reference - 1 with its band, shape (g,).
        plain: the plain ratio at the same points, shape (g,), NaN where there is none.
        mean: the ratio averaged over x, with its interval; None where no point is common.
        sentence: the fair sentence.
        source: key of the source, or "practice".
        band: how the band was made, one sentence.
        held: what is held equal where that is one number (boost [Pa]), with its range; None otherwise.
    """

    name: str
    assumption: str
    axis: str
    quantity: str
    unit: str
    x: FloatArray
    reference: FloatArray
    other: FloatArray
    ratio: FloatArray
    ratio_low: FloatArray
    ratio_high: FloatArray
    plain: FloatArray
    mean: Estimate | None
    sentence: str
    source: str = "practice"
    band: str = ""
    held: Estimate | None = None


@dataclass(frozen=True, slots=True)
class BoostFacts:
    """Boosted against naturally aspirated, along rpm; every array of shape (g,).

    pressure_ratio, density_ratio: of the boosted build; gain: torque over the other's - 1; per_pressure: gain per unit
    of boost [1/Pa]; of_simple: boosted power over (naturally aspirated power x pressure ratio); boost: gauge [Pa].
    expected_simple, expected_per_pressure [1/Pa]: (low, high) that the trade expects, common practice; None where it
    has no range for such a drive. findings: what kept a column from being computed. gain_low, gain_high,
    per_pressure_low, per_pressure_high: bands, shape (g,); empty where none was made. band: how, one sentence.
    """

    boosted: str
    natural: str
    rpm: FloatArray
    pressure_ratio: FloatArray
    density_ratio: FloatArray
    gain: FloatArray
    per_pressure: FloatArray
    of_simple: FloatArray
    text: str
    boost: FloatArray = field(default_factory=lambda: np.empty(0))
    expected_simple: tuple[float, float] | None = None
    expected_per_pressure: tuple[float, float] | None = None
    findings: tuple[Finding, ...] = ()
    gain_low: FloatArray = field(default_factory=lambda: np.empty(0))
    gain_high: FloatArray = field(default_factory=lambda: np.empty(0))
    per_pressure_low: FloatArray = field(default_factory=lambda: np.empty(0))
    per_pressure_high: FloatArray = field(default_factory=lambda: np.empty(0))
    band: str = ""


@dataclass(frozen=True, slots=True)
class FairComparison:
    """A comparison from the book: the plain result, its ledgers, its fair views.

    looks: build -> its fair views. past: build -> what such a change did before in this book, the expectation; without
    this comparison itself.
    """

    comparison: Comparison
    ledgers: tuple[Ledger, ...]
    looks: Mapping[str, tuple[FairLook, ...]] = field(default_factory=dict)
    boost: tuple[BoostFacts, ...] = ()
    findings: tuple[Finding, ...] = ()
    past: Mapping[str, PastWork] = field(default_factory=dict)
