"""Purpose: a declared duty, and how builds score on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from fairpull.terms.comparison import Estimate
from fairpull.terms.findings import Finding
from fairpull.terms.pull import Air

DUTY_KINDS = ("bands", "load line", "histogram", "gears", "cycle")


@dataclass(frozen=True, slots=True)
class Band:
    """A band of output-shaft speed (low, high) [rpm] with its weight; ``quantity`` "power" or "torque"."""

    low: float
    high: float
    weight: float
    quantity: str = "power"


@dataclass(frozen=True, slots=True)
class LoadPoint:
    """One point that the duty needs: output-shaft speed [rpm], power [W], weight."""

    rpm: float
    power: float
    weight: float = 1.0


@dataclass(frozen=True, slots=True)
class Veto:
    """A limit that strikes a build out: ``name`` of the fact or channel, its least and most allowed, house unit."""

    name: str
    least: float | None = None
    most: float | None = None
    unit: str = "1"
    text: str = ""


@dataclass(frozen=True, slots=True)
class Duty:
    """What the engine is for, declared before the test.

    Attributes:
        name, text: label and the person's words.
        kind: one of DUTY_KINDS.
        bands: for "bands".
        points: for "load line", "histogram" (power 0, weight is time) and "cycle".
        exponent: of a load line P ~ N^exponent through ``points[0]``, judged from the lowest of the other points'
            speeds (half of the rated speed where there is none) to that of ``points[0]``; None where points are given.
        margin: fraction of power that must be left over.
        gears: gear ratios, first gear first, for "gears"; shift_rpm: engine speed of each shift.
        air: the site's own air; None: the comparison's reference air.
        vetoes: limits.
        smallest: scores closer than this fraction are ties even where the interval is narrower.
        source: key of the source of a published cycle, "declared" otherwise.
    """

    name: str
    kind: str
    text: str = ""
    bands: tuple[Band, ...] = ()
    points: tuple[LoadPoint, ...] = ()
    exponent: float | None = None
    margin: float = 0.0
    gears: tuple[float, ...] = ()
    shift_rpm: float | None = None
    air: Air | None = None
    vetoes: tuple[Veto, ...] = ()
    smallest: float = 0.01
    source: str = "declared"


@dataclass(frozen=True, slots=True)
class Score:
    """One build's score.

    value: with its interval, in W (power bands), N m (torque bands) or "1" (margins); parts: band or point -> value;
    The value is NaN where a part of the duty was not tested: nothing is extrapolated. struck: vetoes that it breaks,
    readable; untested: what of the duty the pulls did not cover; not_known: vetoes for which nothing was measured (not
    passed).
    """

    build: str
    value: Estimate
    parts: Mapping[str, Estimate] = field(default_factory=dict)
    struck: tuple[str, ...] = ()
    untested: tuple[str, ...] = ()
    not_known: tuple[str, ...] = ()

    @property
    def complete(self) -> bool:
        """Whether all of the duty was tested."""
        return not self.untested

    @property
    def ranked(self) -> bool:
        """Whether it takes part in the ranking: all tested, no veto broken, none open."""
        return self.complete and not self.struck and not self.not_known


@dataclass(frozen=True, slots=True)
class ScoreDifference:
    """Score of ``build`` less that of ``other``, in the scores' unit, drawn jointly, so that what both builds share
    falls out.

    share: the same as a fraction of the other's score (of available power, for margins). tie: its interval holds zero,
    or the two are closer than the duty's smallest difference worth having.
    """

    build: str
    other: str
    value: Estimate
    share: Estimate
    tie: bool


@dataclass(frozen=True, slots=True)
class Scores:
    """All builds on one duty, best first.

    Attributes:
        duty: what was declared.
        scores: ranked builds by score, then those with an open veto, those struck, and those not tested throughout.
        ties: the ranked builds in groups, best group first; in a group stand the best build not yet placed and all
            that cannot be told apart from it; a group of one is no tie.
        sentence: who is ahead, or that it is a tie.
        differences: every pair of builds that were tested throughout.
    """

    duty: Duty
    scores: tuple[Score, ...]
    ties: tuple[tuple[str, ...], ...]
    sentence: str
    choices: Mapping[str, str] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    differences: tuple[ScoreDifference, ...] = ()
