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
    known = math.isfinite(one.low) and math.isfinite(one.high)
    ends = (one.low, one.high) if known else mean_interval(one.size, one.standard_error, NORMAL)
    mean = Estimate(one.size, *ends, unit, "one comparison only; its own interval")
    told = f"{_amounts(unit, one.size, of=mean)} ({_amounts(unit, *ends, of=mean)})"
    sentence = f"One comparison only of {kind}: {told}; how much it differs from engine to engine is not known."
    return PastWork(kind, unit, effects, mean, None, 0.0, 0.0, sentence, _findings(kind, effects))


def _shown(unit: str) -> tuple[float, str]:
    """Factor and words of a size without a person's units: per cent, and per cent for each kPa of boost."""
    return {"1": (100.0, "%"), "1/Pa": (1e5, "% per kPa")}.get(unit, (1.0, unit))


def _places(half_width: float) -> int:
    """Decimals that an interval of this half-width earns: its two leading figures, one from 3.55 on."""
    if not 0.0 < half_width < math.inf:
        return 1
    exponent = math.floor(math.log10(half_width))
    return min(max(int(half_width < 3.55 * 10.0**exponent) - exponent, 0), 6)


def _amounts(unit: str, *values: float, of: Estimate) -> str:
    """Values with the decimals that an estimate's interval earns."""
    factor, words = _shown(unit)
    places = _places(factor * (of.high - of.low) / 2.0)
    return f"{' to '.join(f'{factor * value:+.{places}f}' for value in values)} {words}"


def _sentence(kind: str, count: int, mean: Estimate, ahead: Estimate) -> str:
    return (
        f"Next time expect of {kind} {_amounts(ahead.unit, ahead.value, of=ahead)}, 95 % of cases "
        f"{_amounts(ahead.unit, ahead.low, ahead.high, of=ahead)} (mean of {count} comparisons "
        f"{_amounts(mean.unit, mean.low, mean.high, of=mean)})."
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
