"""Three verdicts, and the one sentence that carries them."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from fairpull.compare.bands import Band
from fairpull.terms.arrays import BoolArray
from fairpull.terms.comparison import CANNOT_TELL, DIFFERS, NO_DIFFERENCE, Estimate, Question, Span


def kind_of(band: Band, inside: BoolArray, smallest: float) -> str:
    """Which of the three verdicts the band allows.

    Args:
        band: difference in log torque.
        inside: nodes of interest, shape (g,).
        smallest: smallest difference worth having [fraction].

    Returns:
        DIFFERS where the simultaneous band excludes zero anywhere; NO_DIFFERENCE only where the whole band lies inside
        the smallest difference on both sides; otherwise CANNOT_TELL.

    Source: own definition; two-sided equivalence as in any text on equivalence testing.
    """
    if bool(np.any(band.low[inside] > 0) or np.any(band.high[inside] < 0)):
        return DIFFERS
    return NO_DIFFERENCE if within_smallest(band, inside, smallest) else CANNOT_TELL


def within_smallest(band: Band, inside: BoolArray, smallest: float) -> bool:
    """Does the whole simultaneous band lie inside the smallest difference worth having?

    Args:
        band: difference in log torque.
        inside: nodes of interest, shape (g,).
        smallest: [fraction].

    Returns:
        True where it does: a difference may be real and still too small to matter.

    Source: own definition.
    """
    low, high = band.low[inside], band.high[inside]
    return bool(np.all(low > math.log1p(-smallest)) and np.all(high < math.log1p(smallest)))


def sentence(
    names: tuple[str, str],
    counts: tuple[int, int],
    verdict: str,
    found: Sequence[Span],
    mean: Estimate,
    question: Question,
    band: tuple[float, float],
    conditions: str,
    needed: int | None,
    confounded: str,
    small: bool,
) -> str:
    """The whole verdict in one sentence.

    Args:
        names: reference and other build.
        counts: pulls of each.
        verdict: kind.
        found: spans of gain and loss.
        mean: band average difference [fraction].
        question: what was declared.
        band: (low, high) rpm judged.
        conditions: the air, as readable words.
        needed: pulls a side that would tell; None when no number would.
        confounded: why no number of pulls today can settle it; empty otherwise.
        small: True where a real difference lies wholly inside the smallest worth having.

    Returns:
        One sentence, no number without its interval.

    Source: own wording.
    """
    reference, other = names
    ground = f"{band[0]:.0f}-{band[1]:.0f} rpm, {conditions}, {counts[1]}+{counts[0]} pulls"
    average = f"{_percent(mean.value, mean)} % (95 %: {_percent(mean.low, mean)} to {_percent(mean.high, mean)} %)"
    if verdict == DIFFERS:
        text = f"{other} differs from {reference}: {_spans(found)}; band average {average} ({ground})"
        if small:
            text += f"; all of it is smaller than the {question.smallest * 100:g} % that matters"
        if confounded:
            text += f"; but {confounded}"
        return text + "."
    if verdict == NO_DIFFERENCE:
        limit = f"everywhere inside +/-{question.smallest * 100:g} %"
        return (
            f"no difference that matters between {other} and {reference}: {limit}; band average {average} ({ground})."
        )
    text = f"cannot tell {other} from {reference}: band average {average} ({ground}); "
    if confounded:
        return text + f"{confounded}, and no number of pulls today can undo it."
    if needed is None:
        return text + f"more than 60 pulls a side would be needed to show {question.smallest * 100:g} %."
    return text + f"{needed} pulls a side, taken in turn, would show {question.smallest * 100:g} % (80 % power)."


def _percent(value: float, mean: Estimate) -> str:
    """Signed per cent, digits by the width of the interval."""
    width = (mean.high - mean.low) * 100.0
    return f"{value * 100:+.{1 if width > 0.15 else 2}f}"


def _spans(found: Sequence[Span]) -> str:
    words = []
    for span in found:
        what = "more" if span.sign > 0 else "less"
        where = f"at {span.low:.0f}" if span.low == span.high else f"from {span.low:.0f} to {span.high:.0f}"
        words.append(f"{what} torque {where} rpm")
    return ", ".join(words)
