"""The one sentence that says who is ahead, and what has to be known beside it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from fairpull.compare.purpose.tally import Tally, stretch
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.purpose import Duty, Score, ScoreDifference

DEMANDING = ("load line", "cycle")  # duties that ask for a certain power


def _percent(value: float, *, signed: bool = False) -> str:
    return f"{value * 100:{'+' if signed else ''}.1f} %"


def _and(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def sentence(
    duty: Duty, scores: Sequence[Score], groups: Sequence[tuple[str, ...]], differences: Sequence[ScoreDifference]
) -> str:
    """Who is ahead on the duty, or that it is a tie; and before that, that nobody meets what the duty asks for.

    Args:
        duty: what was declared.
        scores: in order of rank.
        groups: ranked builds in tie groups.
        differences: every pair of complete scores.

    Returns:
        One sentence without units but those of speed, so that it reads the same in every system.
    """
    aside = _aside(scores)
    if not groups:
        return f"Nobody is ranked on this duty: {aside}." if aside else "Nobody is ranked on this duty."
    pairs = {(one.build, one.other): one for one in differences}
    first = groups[0]
    lacking = _lacking(duty, scores, first[0])
    if lacking:
        told = f"{lacking}; {_closest(scores, first, pairs)}"
    elif len(first) > 1:
        told = f"A tie: {_and(first)} cannot be told apart on this duty ({_gap(pairs[first[0], first[1]])})"
    elif len(groups) == 1:
        told = f"{first[0]} is the only build ranked on this duty"
    else:
        told = f"{first[0]} is ahead on this duty"
    if len(groups) > 1:
        told += f"; {_leads(pairs[first[0], groups[1][0]], groups[1], alone=len(first) == 1)}"
    return f"{told}; {aside}." if aside else f"{told}."


def meets(duty: Duty, value: float) -> bool:
    """Whether a score meets what the duty asks for; duties that ask for no certain power are always met.

    Args:
        duty: what was declared.
        value: of the score: for load lines and cycles the least margin, fraction.

    Returns:
        True where it does.
    """
    return duty.kind not in DEMANDING or value >= duty.margin


def _lacking(duty: Duty, scores: Sequence[Score], best: str) -> str:
    """That nobody meets the demand, where so; a build whose interval reaches it may."""
    value = next(one.value for one in scores if one.build == best)
    if meets(duty, value.value):
        return ""
    over = f" with {_percent(duty.margin)} left over" if duty.margin else ""
    who = "No build" if all(one.ranked for one in scores) else "No ranked build"
    if value.high >= duty.margin:
        return f"{who} is shown to meet the demand{over}"
    return f"{who} meets the demand{over}"


def _closest(scores: Sequence[Score], first: Sequence[str], pairs: Mapping[tuple[str, str], ScoreDifference]) -> str:
    best = next(one for one in scores if one.build == first[0])
    value = best.value
    ends = f"{_percent(value.low, signed=True)} to {_percent(value.high, signed=True)}"
    at = best.parts.get("speed of least margin")
    where = "" if at is None else f" at {at.value:,.0f} rpm"
    margin = f"least margin {_percent(value.value, signed=True)} ({ends}){where}"
    if len(first) == 1:
        return f"closest is {first[0]}, {margin}"
    gap = _gap(pairs[first[0], first[1]])
    return f"closest are {_and(first)}, which cannot be told apart ({gap}), {first[0]} with a {margin}"


def _gap(one: ScoreDifference) -> str:
    share = one.share
    return (
        f"{one.build} against {one.other} {_percent(share.value, signed=True)}, 95 % interval "
        f"{_percent(share.low, signed=True)} to {_percent(share.high, signed=True)}"
    )


def _leads(one: ScoreDifference, following: Sequence[str], *, alone: bool) -> str:
    who, share = "it" if alone else one.build, one.share
    interval = f"{_percent(share.low)} to {_percent(share.high)}"
    # of a group of ties the best is meant, which is named first
    return f"{who} leads the next, {_and(following)}, by {_percent(share.value)} ({interval})"


def _aside(scores: Sequence[Score]) -> str:
    kinds = (
        ("struck out", [one.build for one in scores if one.complete and one.struck]),
        (
            "not passed for want of a measurement",
            [x.build for x in scores if x.complete and not x.struck and x.not_known],
        ),
        ("not tested throughout", [one.build for one in scores if not one.complete]),
    )
    return "; ".join(f"{word}: {_and(names)}" for word, names in kinds if names)


def score_findings(
    duty: Duty, scores: Sequence[Score], tallies: Mapping[str, Tally], pairs: Sequence[tuple[str, str]]
) -> tuple[Finding, ...]:
    """What has to be known beside the scores.

    Args:
        duty: what was declared.
        scores: in order of rank.
        tallies: build -> tally.
        pairs: ties that cross two groups.

    Returns:
        Findings.
    """
    found = [finding for score in scores for finding in _of_one(duty, score, tallies[score.build])]
    found += [
        Finding(
            "ties-overlap",
            Severity.NOTE,
            f"{first}, {second}",
            f"{second} stands in a lower group, since it is behind the best of the group above; from {first} alone it "
            "cannot be told apart.",
            "Make more pulls of both if the order of these two matters.",
        )
        for first, second in pairs
    ]
    return tuple(found)


def _of_one(duty: Duty, score: Score, tally: Tally) -> list[Finding]:
    found = []
    if score.untested:
        found.append(
            Finding(
                "duty-untested",
                Severity.WARNING,
                score.build,
                f"Not all of the duty was tested, so there is no score: {'; '.join(score.untested)}.",
                "Test over all speeds of the duty, or declare a duty that ends where testing may.",
            )
        )
    found += [
        Finding(
            "limit-broken",
            Severity.WARNING,
            score.build,
            f"Struck out: {text}.",
            "Change the build, or the limit if it was declared wrongly.",
        )
        for text in score.struck
    ]
    found += [
        Finding(
            "limit-not-known",
            Severity.WARNING,
            score.build,
            f"Not passed, since nobody knows: {text}.",
            "Measure it over the duty's speeds, or write it on the build's sheet.",
        )
        for text in score.not_known
    ]
    if tally.met is not None and duty.kind == "load line":
        found += _not_met(duty, score, tally)
    return found


def _not_met(duty: Duty, score: Score, tally: Tally) -> list[Finding]:
    low, high = tally.met or (float("nan"), float("nan"))
    least = score.value.value
    nowhere = math.isnan(low)
    if least >= duty.margin or (math.isnan(least) and not nowhere):
        return []  # where a part was not tested, that is said already
    seen = "nowhere over the tested part of the line" if nowhere else f"only over {stretch(low, high)}"
    by = "" if math.isnan(least) else f", least margin {_percent(least, signed=True)}"
    return [
        Finding(
            "demand-not-met",
            Severity.WARNING,
            score.build,
            f"The demand with {_percent(duty.margin)} left over is met {seen}{by}.",
            "Gear the engine to run where the demand is met, or lower the demand.",
        )
    ]
