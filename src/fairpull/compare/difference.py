"""Each build against the reference: bands, averages, crossovers, verdict, and the same under every standard."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from fairpull.compare.bands import interval, spans
from fairpull.compare.glance import MEAN_HOW
from fairpull.compare.judge import Judged, judge
from fairpull.compare.layout import Layout
from fairpull.compare.notes import confounded_with_day, difference_findings
from fairpull.compare.offset_scale import offset_or_scale
from fairpull.compare.power import FutureNoise, pulls_needed, smallest_provable
from fairpull.compare.prior import NoisePrior
from fairpull.compare.summaries import crossovers, power_of
from fairpull.compare.verdict import kind_of, sentence, within_smallest
from fairpull.terms.arrays import BoolArray, FloatArray
from fairpull.terms.comparison import CANNOT_TELL, Difference, Estimate, Question, Verdict

OTHER_AIR_DRAWS = 1000  # enough for a verdict; the chosen air gets more


@dataclass(frozen=True, slots=True)
class Setting:
    """What was asked and chosen; ``inside`` marks the nodes of interest, ``alpha`` is the error probability."""

    layout: Layout
    question: Question
    standard: str
    inside: BoolArray
    band: tuple[float, float]
    alpha: float
    prior: NoisePrior
    seed: int


def describe_difference(
    setting: Setting, judged: Judged, noise: FutureNoise, table: Mapping[str, FloatArray]
) -> tuple[Difference, ...]:
    """All builds against the reference.

    Args:
        setting: what was asked.
        judged: posterior in the chosen air.
        noise: noise of future pulls.
        table: standard key -> factor of each pull, shape (n,).

    Returns:
        One difference for each build but the first.

    Source: own definition.
    """
    needed = pulls_needed(noise, setting.question.smallest, setting.alpha)
    airs = _every_air(setting, judged, table)
    return tuple(_one(setting, judged, index, needed, airs) for index in range(setting.layout.builds - 1))


def _every_air(setting: Setting, judged: Judged, table: Mapping[str, FloatArray]) -> dict[str, Judged]:
    """The same judgement in every air; standards that give all pulls the same factor share one."""
    seen: dict[bytes, Judged] = {_relative(table[setting.standard]): judged}
    result = {}
    for key, factors in table.items():
        mark = _relative(factors)
        if mark not in seen:
            seen[mark] = judge(
                setting.layout, factors, setting.inside, setting.prior, setting.alpha, setting.seed, OTHER_AIR_DRAWS
            )
        result[key] = seen[mark]
    return result


def _relative(factors: FloatArray) -> bytes:
    relative: bytes = np.round(factors / factors[0], 12).tobytes()
    return relative


def _one(setting: Setting, judged: Judged, index: int, needed: int | None, airs: Mapping[str, Judged]) -> Difference:
    layout, inside = setting.layout, setting.inside
    rpm, band, draws = layout.rpm, judged.bands[index], judged.differences[:, index]
    counts = layout.counts()
    reference = np.exp(judged.log_torque[layout.build == 0].mean(axis=0))
    ratio, low, high = np.expm1(band.centre), np.expm1(band.low), np.expm1(band.high)
    mean_ratio, mean_torque, mean_power, area = _averages(setting, judged, index)
    found = spans(rpm, band, inside)
    kind = kind_of(band, inside, setting.question.smallest)
    confounded = confounded_with_day(layout, index + 1)
    settled = None if confounded else needed
    names = (layout.build_names[0], layout.build_names[index + 1])
    air = "as observed" if setting.standard == "none" else f"corrected by {setting.standard}"
    text = sentence(
        names,
        (int(counts[0]), int(counts[index + 1])),
        kind,
        found,
        mean_ratio,
        setting.question,
        setting.band,
        air,
        settled,
        confounded,
        within_smallest(band, inside, setting.question.smallest),
    )
    kinds = {key: kind_of(other.bands[index], inside, setting.question.smallest) for key, other in airs.items()}
    return Difference(
        reference=names[0],
        other=names[1],
        rpm=rpm,
        ratio=ratio,
        ratio_low=low,
        ratio_high=high,
        point_low=np.expm1(band.point_low),
        point_high=np.expm1(band.point_high),
        torque=reference * ratio,
        torque_low=reference * low,
        torque_high=reference * high,
        power=power_of(reference * ratio, rpm),
        power_low=power_of(reference * low, rpm),
        power_high=power_of(reference * high, rpm),
        mean_ratio=mean_ratio,
        mean_torque=mean_torque,
        mean_power=mean_power,
        area_ratio=area,
        crossovers=crossovers(rpm, band.centre, draws, found),
        shape=offset_or_scale(reference, draws, band, inside),
        verdict=Verdict(
            kind,
            text,
            found,
            settled if kind == CANNOT_TELL or settled is not None else None,
            smallest_provable(draws, band, inside),
            confounded,
            1.0 - setting.alpha,
        ),
        by_standard=kinds,
        mean_by_standard={key: _mean_ratio(other, index, inside) for key, other in airs.items()},
        depends_on_standard=len(set(kinds.values())) > 1,
        findings=difference_findings(layout, judged, index + 1, kinds, ratio, inside),
    )


def _mean_ratio(judged: Judged, index: int, inside: BoolArray) -> float:
    means = np.exp(judged.draws.means[:, [0, index + 1]][:, :, inside]).mean(axis=2)
    return float((means[:, 1] / means[:, 0]).mean() - 1.0)


def _averages(setting: Setting, judged: Judged, index: int) -> tuple[Estimate, Estimate, Estimate, Estimate]:
    """Band averages of the difference: as a fraction, in torque, in power; and the ratio of areas under power."""
    rpm = setting.layout.rpm[setting.inside]
    torque = np.exp(judged.draws.means[:, [0, index + 1]][:, :, setting.inside])
    power = power_of(torque, rpm)
    mean, mean_power = torque.mean(axis=2), power.mean(axis=2)
    area = np.asarray(np.trapezoid(power, rpm, axis=2))
    return (
        interval(mean[:, 1] / mean[:, 0] - 1.0, "1", MEAN_HOW),
        interval(mean[:, 1] - mean[:, 0], "N m", MEAN_HOW.replace("over", "less", 1)),
        interval(mean_power[:, 1] - mean_power[:, 0], "W", MEAN_HOW.replace("over", "less", 1)),
        interval(
            area[:, 1] / area[:, 0] - 1.0,
            "1",
            "ratio of areas under power over the band, minus one; trapezium rule",
        ),
    )
