"""Whether a pull counts, on what its peaks stand, and one sign of trouble, in a line each: the same on every face."""

from __future__ import annotations

from fairpull.show import digits
from fairpull.show.facts import words
from fairpull.terms.bench import COUNTS, KeptPull
from fairpull.terms.health import Sign


def observed(line: KeptPull) -> bool:
    """Whether a pull's peaks are as observed, for its weather is not known or the house corrects nothing."""
    if "peak_power" not in line.summary:
        return False
    named = line.choices.get("correction", "")
    return named.startswith("none") if named else line.summary.get("factor", 1.0) == 1.0


def state_text(line: KeptPull) -> str:
    """Whether a pull counts, up to where, and why, in words."""
    state = line.state
    if state == COUNTS:
        state += " to its end" if line.valid_to is None else f" up to {digits.number(line.valid_to, 0)} rpm"
    return f"{state}, {line.reason}" if line.reason else state


def sign_line(sign: Sign) -> str:
    """One sign in a line: kind and range of rpm."""
    span = words.axis_range(sign.low, sign.high)
    upto = f"; counts to {digits.number(sign.counts_to, 0)} rpm" if sign.counts_to is not None else ""
    return f"{sign.kind.replace('-', ' ')}, {span}{upto}"
