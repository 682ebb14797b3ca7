"""The comparison, start to finish: from curves to verdicts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fairpull.compare.builds import describe_build
from fairpull.compare.difference import Setting, describe_difference
from fairpull.compare.drift import expected_drift
from fairpull.compare.ground import judged_band
from fairpull.compare.judge import DRAWS, Judged, judge
from fairpull.compare.layout import Layout, lay_out
from fairpull.compare.notes import comparison_findings
from fairpull.compare.odd import odd_pulls
from fairpull.compare.power import future_noise
from fairpull.compare.prior import DEFAULT_PRIOR, NoisePrior
from fairpull.compare.spending import ALPHA, level_at
from fairpull.terms.arrays import BoolArray, FloatArray
from fairpull.terms.comparison import Comparison, Estimate, NoiseSummary, PullRow, Question
from fairpull.terms.errors import Fault, NotComparable
from fairpull.terms.findings import Finding
from fairpull.terms.pull import Curve, DeclaredCurve
from fairpull.terms.version import VERSION


@dataclass(frozen=True, slots=True)
class Airs:
    """Correction factors of every pull under every standard that could be computed.

    standard: the one chosen; table: standard key -> factor of each pull, shape (n,), running order.
    """

    standard: str
    table: Mapping[str, FloatArray]


def compare(
    groups: Sequence[tuple[str, Sequence[Curve]]],
    *,
    question: Question | None = None,
    standard: str = "none",
    factors: Mapping[str, Mapping[str, float]] | None = None,
    order: Sequence[str] | None = None,
    look: int | None = None,
    planned_looks: int | None = None,
    declared: Sequence[DeclaredCurve] = (),
    prior: NoisePrior = DEFAULT_PRIOR,
    axis: str = "rpm",
    quantity: str = "torque",
    seed: int = 0,
) -> Comparison:
    """Compare builds' pulls and say what they let you say.

    Args:
        groups: (build name, curves) with the reference first; curves of observed torque on one rpm step.
        question: what was declared; None takes the default (1 % of torque, the common tested range).
        standard: key of the correction standard; must be in ``factors`` unless "none".
        factors: standard key -> pull name -> factor [-]; "none" needs no entry.
        order: pull names in running order, where logs have no clock.
        look: number of this look when verdicts are read after every pull; None for a single look.
        planned_looks: how many looks were planned; None when open-ended.
        declared: curves laid beside, never evidence.
        prior: noise prior.
        axis, quantity: what the curves' rpm and torque stand for ("equal mean piston speed", "bmep").
        seed: of the draws; the same seed gives the same digits.

    Returns:
        The comparison.

    Raises:
        NotComparable: no common ground, see the fault.
        ValueRefused: a look beyond the plan.

    Source: own model, docs/differences.md.
    """
    asked = question or Question()
    alpha = ALPHA if look is None else level_at(look, planned_looks)
    layout = lay_out(groups, order)
    airs = _airs(layout, standard, factors or {})
    inside, band = judged_band(layout, asked)
    judged = judge(layout, airs.table[standard], inside, prior, alpha, seed)
    noise = future_noise(layout, judged.frame, judged.cells, inside, prior)
    setting = Setting(layout, asked, standard, inside, band, alpha, prior, seed)
    return Comparison(
        question=asked,
        standard=standard,
        axis=axis,
        quantity=quantity,
        grid_step=float(np.median(np.diff(layout.rpm))),
        band=band,
        groups=tuple(describe_build(layout, judged, airs.table[standard], k, band, seed) for k in range(layout.builds)),
        differences=describe_difference(setting, judged, noise, airs.table),
        declared=tuple(declared),
        noise=_noise_summary(layout, judged, inside),
        odd_pulls=odd_pulls(layout, judged.log_torque, inside, judged.belief.typical(), prior.scatter_dof),
        pulls=_pull_rows(layout, judged, airs.table[standard], inside),
        choices=_choices(layout, setting, look, planned_looks),
        findings=_findings(layout, asked, band, airs),
        sources={},
        version=VERSION,
    )


def _airs(layout: Layout, standard: str, factors: Mapping[str, Mapping[str, float]]) -> Airs:
    table = {"none": np.ones(len(layout.names))}
    for key, by_pull in factors.items():
        if all(name in by_pull for name in layout.names):
            table[key] = np.array([by_pull[name] for name in layout.names])
    if standard not in table:
        missing = [name for name in layout.names if name not in factors.get(standard, {})]
        raise NotComparable(
            Fault(
                "no-factor",
                ", ".join(missing),
                f"no correction factor under {standard}",
                "give the weather of each pull, or compare observed values with --standard none",
            )
        )
    return Airs(standard, table)


def _findings(layout: Layout, question: Question, band: tuple[float, float], airs: Airs) -> tuple[Finding, ...]:
    inherited = [finding for curve in layout.curves for finding in curve.findings]
    own = comparison_findings(layout, question, band, airs.table[airs.standard])
    return tuple(dict.fromkeys([*own, *inherited]))


def _noise_summary(layout: Layout, judged: Judged, inside: BoolArray) -> NoiseSummary:
    cells = judged.cells
    rank = np.argsort(cells.scatter)
    climbing = np.cumsum(cells.weight[rank])
    low, middle, high = (float(cells.scatter[rank][np.searchsorted(climbing, q)]) for q in (0.025, 0.5, 0.975))
    repeats = len(layout.names) - layout.builds
    lengths = np.array([shape.length for shape in judged.frame.shapes])[cells.shape]
    length, drift = _median(lengths, cells.weight), _median(judged.frame.drift[cells.time], cells.weight)
    size = f"{middle * 100:.2f} % ({low * 100:.2f} to {high * 100:.2f} %)"
    told = (
        f"{repeats} repeats say that one pull scatters by"
        if repeats
        else "no repeats: scatter as known of good brakes,"
    )
    how = "posterior median and 95 % interval of the pull-to-pull standard deviation of torque"
    return NoiseSummary(Estimate(middle, low, high, "1", how), length, drift, repeats, f"{told} {size}")


def _median(values: FloatArray, weight: FloatArray) -> float:
    rank = np.argsort(values, kind="stable")
    return float(values[rank][np.searchsorted(np.cumsum(weight[rank]), 0.5)])


def _pull_rows(layout: Layout, judged: Judged, factors: FloatArray, inside: BoolArray) -> tuple[PullRow, ...]:
    drift = expected_drift(judged.frame, judged.cells)
    means = np.exp(judged.log_torque[:, inside]).mean(axis=1)
    rows = []
    for i, curve in enumerate(layout.curves):
        air = curve.air
        rows.append(
            PullRow(
                group=layout.build_names[layout.build[i]],
                pull=layout.names[i],
                order=i + 1,
                started_at=curve.started_at,
                pressure=None if air is None else air.pressure,
                temperature=None if air is None else air.temperature,
                vapour_pressure=None if air is None else air.vapour_pressure,
                factor=float(factors[i]),
                sweep_rate=float("nan"),
                band_mean=float(means[i]),
                drift=float(drift[i]),
            )
        )
    return tuple(rows)


def _choices(layout: Layout, setting: Setting, look: int | None, planned: int | None) -> dict[str, str]:
    prior, question = setting.prior, setting.question
    clock = "clock of the logs" if layout.stamped else "running order, 15 minutes apart (logs carry no clock)"
    looks = "one look"
    if look is not None:
        rule = f"of {planned} planned, Pocock-type spending" if planned else "open-ended, alpha / (k (k + 1))"
        looks = f"look {look} {rule}: band at {(1 - setting.alpha) * 100:.2f} %"
    return {
        "standard": setting.standard,
        "band": f"{setting.band[0]:.0f}-{setting.band[1]:.0f} rpm, "
        + ("declared" if question.band else "common range"),
        "smallest difference worth having": f"{question.smallest * 100:g} %, "
        + ("declared" if question.declared else "default"),
        "confidence": "95 % simultaneous over the band and all comparisons",
        "looks": looks,
        "order of pulls": clock,
        "drift": "steady line, random walk, jump at each change of build, day; level and tilt, learned from pulls",
        "noise prior": f"pull scatter {prior.scatter[0] * 100:g} to {prior.scatter[1] * 100:g} % equally likely",
        "draws": f"{DRAWS}, seed {setting.seed}",
    }
