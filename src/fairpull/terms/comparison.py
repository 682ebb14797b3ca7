"""A comparison of builds and the verdict it allows. All torques in N m, powers in W, speeds in rpm."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from fairpull.terms.arrays import FloatArray
from fairpull.terms.findings import Finding
from fairpull.terms.pull import Curve, DeclaredCurve

DIFFERS = "differs"
NO_DIFFERENCE = "no difference that matters"
CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True)
class Estimate:
    """One number with its 95 % interval.

    ``unit`` is a house unit ("N m", "W", "rpm", "1" for a fraction). ``at_least`` is set where the value is only a
    lower bound (a peak at the end of the tested range). ``how`` says in one sentence how the number was made.
    """

    value: float
    low: float
    high: float
    unit: str
    how: str = ""
    at_least: bool = False


@dataclass(frozen=True, slots=True)
class Question:
    """What was declared before the day, or by a visible default.

    Attributes:
        text: the question in the tester's words; empty when none was declared.
        band: (low, high) rpm of interest; None: the common tested range.
        smallest: smallest difference worth having, fraction of torque (default 0.01).
        expectation: what was expected, in the tester's words.
        planned_pulls: pulls a side planned in advance; None when open-ended.
        declared: True when it came from a file written by the person, False when it is the default.
    """

    text: str = ""
    band: tuple[float, float] | None = None
    smallest: float = 0.01
    expectation: str = ""
    planned_pulls: int | None = None
    declared: bool = False


@dataclass(frozen=True, slots=True)
class Derived:
    """A quantity worked out from the channels and the engine file, mean of a build's pulls, as observed.

    unit: house unit; values: shape (g,) on the group's rpm, NaN where not measured; how: formula and reference.
    """

    unit: str
    values: FloatArray
    how: str


@dataclass(frozen=True, slots=True)
class Group:
    """All pulls of one build on the common grid.

    Attributes:
        name: label of the build.
        curves: the pulls' observed curves, in running order.
        factors: correction factor per pull, shape (n,).
        rpm: this build's own tested grid, shape (g,); may be wider than the common range of the comparison.
        torque: plain mean of the pulls' corrected torque [N m], shape (g,).
        torque_low, torque_high: 95 % simultaneous band of that mean, shape (g,).
        tested: (lowest, highest) rpm that every counted pull covers.
        peak_torque, peak_torque_rpm, peak_power, peak_power_rpm: with intervals; ``at_least`` at the range's end.
        mean_torque, mean_power: band averages at equal rpm steps.
        power_area: integral of power over rpm across the band [W rpm].
        derived: quantities from channels and engine file, name -> values on ``rpm``.
    """

    name: str
    curves: tuple[Curve, ...]
    factors: FloatArray
    rpm: FloatArray
    torque: FloatArray
    torque_low: FloatArray
    torque_high: FloatArray
    tested: tuple[float, float]
    peak_torque: Estimate
    peak_torque_rpm: Estimate
    peak_power: Estimate
    peak_power_rpm: Estimate
    mean_torque: Estimate
    mean_power: Estimate
    power_area: Estimate
    derived: Mapping[str, Derived] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of rpm over which one thing holds: ``sign`` is +1 (gain) or -1 (loss)."""

    low: float
    high: float
    sign: int


@dataclass(frozen=True, slots=True)
class ShapeTest:
    """Is the difference one constant torque, or one constant ratio?

    ``kind``: "offset", "scale", "neither" or "cannot tell"; ``offset`` [N m], ``scale`` (1 = equal); ``text`` says
    what to do about it.
    """

    kind: str
    offset: Estimate
    scale: Estimate
    text: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the data let you say about one difference.

    Attributes:
        kind: one of DIFFERS, NO_DIFFERENCE, CANNOT_TELL.
        sentence: the whole verdict in one sentence.
        spans: where gain or loss is beyond noise (simultaneous band excludes zero).
        pulls_needed: pulls a side that would settle a difference of the smallest size worth having at 80 % power;
            None when no number would (confounded with a day).
        smallest_provable: smallest uniform difference, fraction of torque, that this data would show at 80 % power.
        confounded: why no number of pulls today can settle it; empty otherwise.
        level: confidence of the simultaneous band actually used (0.95, or more after several looks).
    """

    kind: str
    sentence: str
    spans: tuple[Span, ...]
    pulls_needed: int | None
    smallest_provable: float
    confounded: str = ""
    level: float = 0.95


@dataclass(frozen=True, slots=True)
class Difference:
    """One build against the reference, on the common tested range. Fractions are of the reference's torque.

    Attributes:
        reference, other: group names.
        rpm: grid, shape (g,), common tested range only.
        ratio: mean of other/reference - 1, shape (g,); power has the same ratio at the same rpm.
        ratio_low, ratio_high: simultaneous band, shape (g,).
        point_low, point_high: pointwise 95 % band, shape (g,).
        torque, torque_low, torque_high: the difference in N m with its simultaneous band, shape (g,).
        power, power_low, power_high: the difference in W with its simultaneous band, shape (g,).
        mean_ratio: band average of the difference, fraction.
        mean_torque: band average of the difference [N m].
        mean_power: band average of the difference [W].
        area_ratio: ratio of the areas under power over the band, minus 1.
        crossovers: rpm where the sign changes and holds beyond noise on both sides.
        shape: offset-or-scale test.
        verdict: under the standard of the comparison.
        by_standard: verdict kind under every standard that could be computed, key -> kind.
        mean_by_standard: band average difference under every standard, key -> fraction.
        depends_on_standard: True where those kinds are not all the same.
        findings: what else is to be known about this difference.
    """

    reference: str
    other: str
    rpm: FloatArray
    ratio: FloatArray
    ratio_low: FloatArray
    ratio_high: FloatArray
    point_low: FloatArray
    point_high: FloatArray
    torque: FloatArray
    torque_low: FloatArray
    torque_high: FloatArray
    power: FloatArray
    power_low: FloatArray
    power_high: FloatArray
    mean_ratio: Estimate
    mean_torque: Estimate
    mean_power: Estimate
    area_ratio: Estimate
    crossovers: tuple[Estimate, ...]
    shape: ShapeTest
    verdict: Verdict
    by_standard: Mapping[str, str] = field(default_factory=dict)
    mean_by_standard: Mapping[str, float] = field(default_factory=dict)
    depends_on_standard: bool = False
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class FairView:
    """Unlike engines on common ground: the same comparison of brake mean effective pressure.

    Attributes:
        name: "bmep at equal rpm" or "bmep at equal mean piston speed".
        axis: what ``difference.rpm`` stands for: "rpm", or "rpm of the reference at equal mean piston speed".
        differences: one for each other build; their ``torque`` fields hold BMEP [Pa], their power fields are NaN.
        mean_bmep: band average of each build's corrected BMEP [Pa], reference first; the same numbers divided by
            4 pi (four-stroke) are torque per displacement [N m/m3].
    """

    name: str
    axis: str
    differences: tuple[Difference, ...]
    mean_bmep: tuple[Estimate, ...]


@dataclass(frozen=True, slots=True)
class NoiseSummary:
    """What the repeats in hand say about noise.

    pull_sd: pull-to-pull standard deviation, fraction of torque, posterior median with 95 % interval.
    correlation_rpm: correlation length of the error along rpm, posterior median.
    drift: standard deviation of drift after one hour, fraction, posterior median.
    repeats: degrees of freedom that repeats gave; 0 means the prior alone speaks.
    text: one sentence for the reader.
    """

    pull_sd: Estimate
    correlation_rpm: float
    drift: float
    repeats: int
    text: str


@dataclass(frozen=True, slots=True)
class OddPull:
    """A pull that stands apart from the others of its build: reported, never removed."""

    group: str
    pull: str
    deviation: float  # band average against the others, fraction
    text: str


@dataclass(frozen=True, slots=True)
class PullRow:
    """One pull as the conditions table shows it, SI; None where unknown."""

    group: str
    pull: str
    order: int  # running order, 1 first
    started_at: float | None
    pressure: float | None
    temperature: float | None
    vapour_pressure: float | None
    factor: float
    sweep_rate: float  # [rpm/s], 0 for steps; NaN where curves came without their pulls
    band_mean: float  # corrected band-average torque [N m]
    drift: float  # expected drift of this pull against the day's mean, fraction


@dataclass(frozen=True, slots=True)
class Comparison:
    """Builds' curves on common ground, and what they let you say.

    Attributes:
        question: what was declared, or the default.
        standard: key of the correction standard used.
        axis: "rpm", or "mean piston speed" for the unlike-engines view; quantity: "torque" or "bmep".
        grid_step: [rpm].
        band: (low, high) rpm over which the verdict was given.
        groups: reference first.
        differences: one for each other group.
        declared: curves laid beside, never evidence.
        noise: what the repeats say.
        odd_pulls: pulls that stand apart.
        pulls: one row per pull, running order.
        choices: every choice made or defaulted, name -> readable value.
        findings: all findings of files, pulls, air and comparison.
        sources: hash of every file, path -> sha256.
        version: code version.
        views: unlike engines on common ground; empty without engine files.
    """

    question: Question
    standard: str
    axis: str
    quantity: str
    grid_step: float
    band: tuple[float, float]
    groups: tuple[Group, ...]
    differences: tuple[Difference, ...]
    declared: tuple[DeclaredCurve, ...]
    noise: NoiseSummary
    odd_pulls: tuple[OddPull, ...]
    pulls: tuple[PullRow, ...]
    choices: Mapping[str, str]
    findings: tuple[Finding, ...]
    sources: Mapping[str, str]
    version: str
    views: tuple[FairView, ...] = ()
