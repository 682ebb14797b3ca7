"""Spark and mixture loops, running in, and past work."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import Estimate
from fairpull.terms.findings import Finding


@dataclass(frozen=True, slots=True)
class LoopPoints:
    """Held points, or points of several pulls at one speed; every array of shape (n,).

    setting: spark advance [rad] or lambda [-] (or jet number, as counted); torque: corrected [N m]; knock: instrument's
    own scale, NaN where none; pull: which pull or hold each point came from.
    """

    rpm: float
    setting: FloatArray
    torque: FloatArray
    knock: FloatArray
    pull: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Loop:
    """One fitted loop at one speed.

    Attributes:
        rpm: [rpm].
        points: what went in.
        best: setting of best torque with its interval (spark [rad], lambda [-]); ``at_least`` where it lies beyond the
            points.
        modest: least advance (or safest mixture) within 1 % of best torque.
        best_torque: [N m]. flat: width of the top within 1 % of torque, in the setting's unit.
        knock_limited: True where knock came before best torque (for mixture, from the rich side); None where nobody
            measured knock, or too few settings were run to tell.
        cost_of_safe: torque given away by the safe setting, fraction.
        next_setting: what to run next, the most telling point within the limits; None where nothing is left to learn.
        next_why: one sentence.
        fit: grid of settings, fitted torque and its 95 % band, each of shape (m,).
        checks: shape against the trade's rules, each a readable sentence with its source.
        findings: too few points, no optimum inside, and so on.
    """

    rpm: float
    points: LoopPoints
    best: Estimate | None
    modest: Estimate | None
    best_torque: Estimate | None
    flat: Estimate | None
    knock_limited: bool | None
    cost_of_safe: Estimate | None
    next_setting: float | None
    next_why: str
    fit: tuple[FloatArray, FloatArray, FloatArray, FloatArray]
    checks: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class TuneResult:
    """All loops of one kind ("spark" or "mixture") on one build, with the usual cautions."""

    kind: str
    build: str
    loops: tuple[Loop, ...]
    choices: Mapping[str, str] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RunningIn:
    """A new engine's trend over its pulls.

    Attributes:
        engine: its name.
        pulls: names in running order; hours: engine hours or running number at each, shape (n,).
        torque: band-average corrected torque [N m], shape (n,); blow_by [m3/s], oil_temperature [K]: NaN where none.
        trend: change per pull over the latest pulls, fraction of torque.
        settled_at: name of the pull from which it has settled; "" where it has not.
        still_to_come: how much more torque the fitted trend expects, fraction; None where it has settled.
        sentence: one sentence for the reader.
        age: what ``hours`` counts, "h" or "pulls".
        latest: pulls over which the trends are told.
        blow_by_trend: change of blow-by a pull over them, fraction of its mean; oil_trend: likewise of the oil's
            temperature [K]; None where fewer than three of them logged it.
    """

    engine: str
    pulls: tuple[str, ...]
    hours: FloatArray
    torque: FloatArray
    blow_by: FloatArray
    oil_temperature: FloatArray
    trend: Estimate | None
    settled_at: str
    still_to_come: Estimate | None
    sentence: str
    findings: tuple[Finding, ...] = ()
    age: str = "pulls"
    latest: int = 0
    blow_by_trend: Estimate | None = None
    oil_trend: Estimate | None = None


@dataclass(frozen=True, slots=True)
class Effect:
    """One comparison's effect of a kind of change: size (fraction, or per unit) and its standard error.

    pulls: names of the pulls that it rests on; two effects that share one are not independent. low, high: ends of the
    comparison's own 95 % interval; NaN where only the standard error is known.
    """

    name: str
    size: float
    standard_error: float
    text: str = ""
    pulls: tuple[str, ...] = ()
    low: float = math.nan
    high: float = math.nan


@dataclass(frozen=True, slots=True)
class PastWork:
    """What the book's own comparisons say about one kind of change.

    Attributes:
        kind: of change. unit: "1" for a fraction, "1/Pa" for boost.
        effects: one a comparison.
        mean: random-effects mean with its interval. expected: interval for the next one (prediction interval).
        between: standard deviation between comparisons (tau), same unit. heterogeneity: share of the spread that is
            more than noise (I squared), fraction.
        sentence: the expectation next time.
    """

    kind: str
    unit: str
    effects: tuple[Effect, ...]
    mean: Estimate | None
    expected: Estimate | None
    between: float
    heterogeneity: float
    sentence: str
    findings: tuple[Finding, ...] = ()
