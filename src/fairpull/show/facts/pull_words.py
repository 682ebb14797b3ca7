"""What a pull's charts show, in words: beneath them, and for those who do not see them."""

from __future__ import annotations

from fairpull.show.facts import pull
from fairpull.show.facts.pull_tables import corrected
from fairpull.show.facts.words import axis_range, capital, plain
from fairpull.terms.pull_page import PullPage

BAND = "shaded: 95 % of the curve's own standard error"
BESIDE = "noise within this pull, not what differs from one pull to the next"


def curve_caption(page: PullPage) -> str:
    """What the curve's chart shows."""
    parts = ["Full line: corrected; thin dashed: observed." if corrected(page) else "Full line: as observed."]
    parts.append(f"{capital(BAND)}: {BESIDE}.")
    parts.append("Grey: earlier counted pulls of this build, each by its own factor, where there are any.")
    if page.signs:
        parts.append("Numbers along the top: the findings above, where they show.")
    parts.append("Hatched: not tested" + (", or not counted." if page.line.valid_to is not None else "."))
    return " ".join(parts)


def curve_alt(page: PullPage, system: str) -> str:
    """The curve's chart for those who do not see it."""
    line = page.line
    said = f"Torque and power of {plain(line.name)} against rpm, tested from {axis_range(*line.tested)}"
    peaks = [f"highest {one.name} {one.value} at {one.where}" for one in pull.head(page, system).peaks]
    found = [f"finding {one.number}, {one.title}" for one in pull.told(page)]
    return f"{'; '.join([said, *peaks, *found])}."


def channels_caption(page: PullPage) -> str:
    """What the small charts show."""
    parts = ["As logged, not corrected; thinned to what a screen shows, with every extreme kept."]
    parts.append("Grey: the latest earlier counted pull of this build, where there is one.")
    if page.signs:
        parts.append("Numbers: the findings above, in the channels that they were read from.")
    if page.line.valid_to is not None:
        parts.append("Dashed upright: where the pull stops to count.")
    return " ".join(parts)


def channels_alt(page: PullPage, along: str) -> str:
    """The small charts for those who do not see them."""
    count = 0 if page.trace is None else len(page.trace.channels)
    axis = "seconds" if along == "time" else "rpm"
    return f"{count} channels of {plain(page.line.name)} against {axis}, one small chart each; the CSV has the numbers."
