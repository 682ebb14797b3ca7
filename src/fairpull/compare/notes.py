"""What a sceptic would ask about the day: findings on the comparison and on each difference."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from fairpull.compare.judge import Judged
from fairpull.compare.layout import Layout
from fairpull.terms.arrays import BoolArray, FloatArray
from fairpull.terms.comparison import Question
from fairpull.terms.findings import Finding, Severity

WEATHER_MOVED = 0.005  # correction factors further apart than this deserve a word, common practice
DRIFT_SHOWN = 0.001
RANGE_LOST = 200.0


def confounded_with_day(layout: Layout, build: int) -> str:
    """Did this build and the reference never run on the same day?

    Args:
        layout: pulls.
        build: index of the other build.

    Returns:
        The reason in words; empty where they shared a day.

    Source: iso5725 (between-day variation is not seen by repeats within a day).
    """
    days = set(layout.day[layout.build == 0].tolist())
    if days & set(layout.day[layout.build == build].tolist()):
        return ""
    other = layout.build_names[build]
    return f"{other} and {layout.build_names[0]} never ran on the same day, so the day may be the difference"


def comparison_findings(
    layout: Layout, question: Question, band: tuple[float, float], factors: FloatArray
) -> tuple[Finding, ...]:
    """Findings on the day as a whole.

    Args:
        layout: pulls.
        question: what was declared.
        band: (low, high) rpm judged.
        factors: correction factors in use, shape (n,).

    Returns:
        The findings.

    Source: practice.
    """
    found = []
    if not layout.stamped:
        found.append(
            Finding(
                "no-clock",
                Severity.WARNING,
                "all pulls",
                "not every pull carries a date and time, so running order stands in for the clock",
                "name the true running order with --order, or log date and time",
            )
        )
    for k, name in enumerate(layout.build_names):
        if int(layout.counts()[k]) == 1:
            found.append(
                Finding(
                    "single-pull",
                    Severity.WARNING,
                    name,
                    "one pull only: its scatter is taken from what is known of good brakes, not from repeats",
                    "repeat the pull; two that agree before believing, three before publishing",
                )
            )
    if question.band is not None and (question.band[0] < band[0] or question.band[1] > band[1]):
        found.append(
            Finding(
                "band-cut",
                Severity.WARNING,
                "band",
                f"{question.band[0]:.0f}-{question.band[1]:.0f} rpm declared, "
                f"{band[0]:.0f}-{band[1]:.0f} rpm tested by every pull and judged",
                "test the whole declared band, or say that part of it is untested",
            )
        )
    found += _short_pulls(layout)
    if np.ptp(factors) > WEATHER_MOVED:
        found.append(
            Finding(
                "weather-moved",
                Severity.NOTE,
                "all pulls",
                f"correction factors run from {factors.min():.4f} to {factors.max():.4f}",
                "read the verdict under the other standards too; a correction does not mend heat soak",
            )
        )
    return tuple(found)


def _short_pulls(layout: Layout) -> list[Finding]:
    """Pulls that cut the common range for all the others."""
    low = np.array([curve.tested[0] for curve in layout.curves])
    high = np.array([curve.tested[1] for curve in layout.curves])
    found = []
    for i, name in enumerate(layout.names):
        others = np.arange(len(low)) != i
        lost = max(low[i] - low[others].max(), 0.0) + max(high[others].min() - high[i], 0.0)
        if lost > RANGE_LOST:
            found.append(
                Finding(
                    "short-pull-cuts-range",
                    Severity.WARNING,
                    name,
                    f"this pull alone costs the comparison {lost:.0f} rpm of range",
                    "leave it out if there is a reason written down, or run it again over the whole range",
                )
            )
    return found


def difference_findings(
    layout: Layout,
    judged: Judged,
    build: int,
    kinds: Mapping[str, str],
    ratio: FloatArray,
    inside: BoolArray,
) -> tuple[Finding, ...]:
    """Findings on one build against the reference.

    Args:
        layout: pulls.
        judged: posterior in the chosen air.
        build: index of the other build.
        kinds: verdict under every standard.
        ratio: the difference [fraction], shape (g,).
        inside: nodes of interest, shape (g,).

    Returns:
        The findings.

    Source: practice.
    """
    name = layout.build_names[build]
    found = []
    if confounded_with_day(layout, build):
        found.append(
            Finding(
                "confounded-with-day",
                Severity.WARNING,
                name,
                f"no day has pulls of both {name} and {layout.build_names[0]}",
                "run both builds on one day, the reference first and last",
            )
        )
    elif not _returned(layout, build):
        found.append(
            Finding(
                "no-return-to-reference",
                Severity.WARNING,
                name,
                f"{name} and {layout.build_names[0]} ran one after the other without a return, so nothing in the "
                "pulls tells drift from the change",
                "close with another pull of the first build (A-B-A)",
            )
        )
    if len(set(kinds.values())) > 1:
        table = ", ".join(f"{key}: {kind}" for key, kind in kinds.items())
        found.append(
            Finding(
                "standard-decides",
                Severity.WARNING,
                name,
                f"the verdict depends on the correction ({table})",
                "repeat in steadier air, or publish under every standard",
            )
        )
    plain = judged.log_torque[layout.build == build].mean(axis=0) - judged.log_torque[layout.build == 0].mean(axis=0)
    moved = float((ratio - np.expm1(plain))[inside].mean())
    if abs(moved) > DRIFT_SHOWN:
        found.append(
            Finding(
                "drift-adjusted",
                Severity.NOTE,
                name,
                f"the drift seen in the repeats moves the difference by {moved * 100:+.2f} % against the plain means",
                "compare with the difference of the plain means in the table by pull",
            )
        )
    return tuple(found)


def _returned(layout: Layout, build: int) -> bool:
    """Do the two builds' running times overlap?"""
    mine, reference = layout.hours[layout.build == build], layout.hours[layout.build == 0]
    return bool(mine.min() < reference.max() and reference.min() < mine.max())
