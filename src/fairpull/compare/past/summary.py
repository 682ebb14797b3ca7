"""A random-effects summary of one kind of change, as the expectation for the next time."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from fairpull.compare.past.effects import NORMAL, sharing
from fairpull.compare.past.pooled import (
    hartung_knapp_factor,
    mean_interval,
    next_interval,
    plain_error,
    spread_share,
    t_quantile,
)
from fairpull.compare.past.spread import BETWEEN, weighted_mean
from fairpull.terms.comparison import Estimate
from fairpull.terms.errors import Fault, UnknownName, ValueRefused
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.tuning import Effect, PastWork

FEW = 5  # below this many the spread between comparisons is hardly known


def summarise(kind: str, effects: Sequence[Effect], *, unit: str = "1", between: str = "reml") -> PastWork:
    """What comparisons of one kind of change say together, and what to expect of the next.

    Restricted likelihood gives the variance between comparisons, since it is nearly unbiased for few and unequal ones;
    the interval of the mean is the one of Hartung and Knapp, with Student's t and never narrower than the plain one
    (the modified form), since plain intervals are far too narrow for a handful.

    Args:
        kind: of change, such as "camshaft".
        effects: one a comparison.
        unit: "1" for fractions, "1/Pa" for boost.
        between: how the variance between comparisons is estimated, a key of ``BETWEEN``.

    Returns:
        The summary; with one effect its own interval and no expectation, with none nothing.

    Raises:
        UnknownName: no such estimate.
        ValueRefused: an effect without a finite size or a standard error above 0; all of them at once.

    Source: viechtbauer-2005, hartung-knapp-2001, rover-2015, higgins-2009, higgins-thompson-2002.
    """
    if between not in BETWEEN:
        raise UnknownName(Fault("between-unknown", "between", repr(between), f"use one of {', '.join(BETWEEN)}"))
    _refuse(effects)
    if len(effects) < 2:
        return _too_few(kind, tuple(effects), unit)
    sizes = np.array([effect.size for effect in effects])
    variances = np.array([effect.standard_error for effect in effects]) ** 2
    told, estimate = BETWEEN[between]
    tau2 = estimate(sizes, variances)
    centre = weighted_mean(sizes, variances, tau2)
    error = plain_error(variances, tau2) * max(1.0, hartung_knapp_factor(sizes, variances, tau2))
    quantile = t_quantile(len(sizes) - 1)
    how = f"random-effects mean ({told}); interval of Hartung and Knapp, modified, t with {len(sizes) - 1}"
    mean = Estimate(centre, *mean_interval(centre, error, quantile), unit, how)
    how = f"true effect of the next comparison of this kind: spread between comparisons and error of the mean ({told})"
    ahead = Estimate(centre, *next_interval(centre, error, tau2, quantile), unit, how)
    return PastWork(
        kind=kind,
        unit=unit,
        effects=tuple(effects),
        mean=mean,
        expected=ahead,
        between=math.sqrt(tau2),
        heterogeneity=spread_share(variances, tau2),
        sentence=_sentence(kind, len(sizes), mean, ahead),
        findings=_findings(kind, effects),
    )


def _refuse(effects: Sequence[Effect]) -> None:
    faults = [
        Fault(
            "effect-without-error",
            f"comparison {effect.name}",
            f"size {effect.size:g}, standard error {effect.standard_error:g}",
            "give a finite size and a standard error above 0, or leave this comparison out",
        )
        for effect in effects
        if not (math.isfinite(effect.size) and 0.0 < effect.standard_error < math.inf)
    ]
    if faults:
        raise ValueRefused(faults)


def _too_few(kind: str, effects: tuple[Effect, ...], unit: str) -> PastWork:
    if not effects:
        sentence = f"No past comparison of {kind}: nothing to expect from the book."
        return PastWork(kind, unit, (), None, None, 0.0, 0.0, sentence)
    one = effects[0]
    ends = mean_interval(one.size, one.standard_error, NORMAL)
    mean = Estimate(one.size, *ends, unit, "one comparison only; its own interval")
    sentence = (
        f"One comparison only of {kind}: {_amount(one.size, unit)} ({_amounts(*ends, unit)}); how much it differs from "
        "engine to engine is not known."
    )
    return PastWork(kind, unit, effects, mean, None, 0.0, 0.0, sentence, _findings(kind, effects))


def _amount(value: float, unit: str) -> str:
    if unit == "1":
        return f"{value * 100:+.1f} %"
    return f"{value * 1e7:+.1f} % per bar" if unit == "1/Pa" else f"{value:+.3g} {unit}"


def _amounts(low: float, high: float, unit: str) -> str:
    return f"{_amount(low, unit)} to {_amount(high, unit)}"


def _sentence(kind: str, count: int, mean: Estimate, ahead: Estimate) -> str:
    return (
        f"Next time expect of {kind} {_amount(ahead.value, ahead.unit)}, 95 % of cases "
        f"{_amounts(ahead.low, ahead.high, ahead.unit)} (mean of {count} comparisons "
        f"{_amounts(mean.low, mean.high, mean.unit)})."
    )


def _findings(kind: str, effects: Sequence[Effect]) -> tuple[Finding, ...]:
    found = [
        Finding(
            "effects-share-pulls",
            Severity.WARNING,
            "; ".join(names),
            f"These {len(names)} comparisons of {kind} rest on common pulls, so they err together; counted as if they "
            "did not, the interval of the mean is too narrow.",
            "Keep one of them, or read the summary as resting on fewer comparisons.",
        )
        for names in sharing(effects)
    ]
    if len(effects) < FEW:
        word = "comparison" if len(effects) == 1 else "comparisons"
        found.append(
            Finding(
                "few-comparisons",
                Severity.NOTE,
                kind,
                f"{len(effects)} {word}: how much the effect differs from case to case is hardly known from so few.",
                "Read the expectation as rough until there are more.",
            )
        )
    return tuple(found)
