"""What the health signs promise, held against seeded faults and healthy pulls that share no code with them.

A short run of what ``python -m simulations.health`` does at length. Promised: of each kind at least 90 % found with
the right kind at the right speed; at most 2 % of healthy pulls flagged by all detectors together. Limits are binomial:
with 36 faults a detector that keeps its promise exactly misses 11 or more, and with 300 healthy pulls all of them
together flag 16 or more, less than once in a thousand seeds; and the seed is fixed.
"""

from __future__ import annotations

from math import comb

import pytest

from fairpull.terms.health import SIGN_KINDS
from simulations.health.measure import measure_healthy, measure_kind
from simulations.health.page import ALLOWED, PROMISED

SEED = 11
FAULTS = 36
HEALTHY = 300
UNLUCKY = 0.001  # chance that a kept promise fails a test


def most_misses(tried: int, promised: float) -> int:
    """The most misses in so many tries that a true miss rate as promised would show but for bad luck."""
    below = 0.0
    for misses in range(tried + 1):
        below += comb(tried, misses) * promised**misses * (1.0 - promised) ** (tried - misses)
        if below > 1.0 - UNLUCKY:
            return misses
    return tried


def test_limits_are_those_in_the_heading() -> None:
    assert most_misses(FAULTS, 1.0 - PROMISED) == 10
    assert most_misses(HEALTHY, ALLOWED) == 15


@pytest.mark.parametrize("kind", SIGN_KINDS)
def test_faults_are_found_with_the_right_kind(kind: str) -> None:
    tally = measure_kind(kind, FAULTS, SEED)
    assert tally.faults == FAULTS
    assert FAULTS - tally.right <= most_misses(FAULTS, 1.0 - PROMISED), "\n".join(tally.missed)


def test_healthy_pulls_are_left_alone() -> None:
    alarms = measure_healthy(HEALTHY, SEED)
    assert alarms.pulls == HEALTHY
    assert alarms.flagged <= most_misses(HEALTHY, ALLOWED), "\n".join(alarms.texts)
