"""One cause, one sign: where several detectors answer to the same evidence, the most specific explanation stays."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign

WEIGHT = {Severity.FAULT: 0, Severity.WARNING: 1, Severity.NOTE: 2}

# Knock stands in no row: its instrument hears nothing else of what is listed here.
# A cause, and what else it looks like: the right-hand signs say nothing of their own where the left-hand one stands in
# the same speeds. Each row has its reason.
EXPLAINS: dict[str, frozenset[str]] = {
    # Channels that lag by different stretches contradict each other everywhere.
    "sweep-too-fast": frozenset(
        {
            "torque-zero", "torque-span", "speed-pickup", "mixture-rich", "mixture-lean", "flow-lambda-disagreement",
            "heat-soak", "boost-shortfall", "exhaust-restriction", "belt-slip", "peak-at-end", "misfire",
        }
    ),
    # Every figure per turn is wrong by the share that speed is; a lambda sensor knows no speed.
    "speed-pickup": frozenset(
        {
            "torque-zero", "torque-span", "belt-slip", "boost-shortfall", "boost-creep", "exhaust-restriction",
            "wrong-barometer", "sweep-too-fast",
        }
    ),
    # Boost and depression are read against the barometer.
    "wrong-barometer": frozenset({"intake-restriction", "boost-shortfall", "boost-creep", "heat-soak"}),
    # The leaning and the lost torque at the top are the missing fuel's.
    "fuel-starvation": frozenset(
        {"mixture-lean", "flow-lambda-disagreement", "misfire", "valve-float", "torque-span", "torque-zero"}
    ),
    # Unburnt charges leave oxygen: false lean, torque without its fuel, one cold exhaust.
    "misfire": frozenset(
        {
            "low-cylinder", "flow-lambda-disagreement", "mixture-lean", "torque-span", "torque-zero", "speed-pickup",
        }
    ),
    "low-cylinder": frozenset(
        {
            "flow-lambda-disagreement", "mixture-lean", "torque-span", "torque-zero", "exhaust-restriction",
            "intake-restriction", "speed-pickup",
        }
    ),
    # Dip and ripple with the air.
    "valve-float": frozenset({"exhaust-restriction", "boost-shortfall", "reversion"}),
    # Hot oil, coolant and charge are what soaks.
    "heat-soak": frozenset({"oil-out-of-window", "coolant-out-of-window", "intake-restriction"}),
    # Less air at a slipping blower or a throttled inlet is less boost, and richer where fuel goes by speed.
    "belt-slip": frozenset({"boost-shortfall", "mixture-rich", "exhaust-restriction", "intake-restriction"}),
    "intake-restriction": frozenset({"boost-shortfall", "mixture-rich"}),
    "exhaust-restriction": frozenset({"boost-shortfall", "mixture-rich"}),
    "boost-creep": frozenset({"mixture-lean"}),
    "boost-shortfall": frozenset({"mixture-rich"}),
    "mixture-rich": frozenset({"torque-span", "torque-zero"}),
    "mixture-lean": frozenset({"torque-span", "torque-zero"}),
    "reversion": frozenset({"mixture-lean", "flow-lambda-disagreement", "misfire"}),
    "flow-lambda-disagreement": frozenset({"speed-pickup", "torque-span", "torque-zero"}),
    "knock": frozenset({"torque-span", "torque-zero"}),
}  # fmt: skip


def decide(signs: Sequence[Sign]) -> tuple[Sign, ...]:
    """Leave out what another sign explains; order by weight.

    A sign is explained by one of another kind that shares a speed with it and is not itself explained away. Two that
    explain each other: the heavier stays, then the one whose range is wider.

    Args:
        signs: all that was seen.

    Returns:
        What stays, most severe first, then by speed. Independent troubles all stay.
    """
    ranked = sorted(signs, key=_rank)
    kept: list[Sign] = []
    for sign in ranked:
        if not any(_explains(other, sign) for other in kept):
            kept = [one for one in kept if not _explains(sign, one)]
            kept.append(sign)
    return tuple(sorted(kept, key=lambda one: (WEIGHT[one.severity], one.low, one.kind)))


def _rank(sign: Sign) -> tuple[int, int, float]:
    return WEIGHT[sign.severity], -len(EXPLAINS.get(sign.kind, ())), sign.low - sign.high


def _explains(cause: Sign, sign: Sign) -> bool:
    if not (cause.low <= sign.high and sign.low <= cause.high):
        return False
    pair = (cause.kind, sign.kind)
    if pair in CONDITIONS:
        return CONDITIONS[pair](cause, sign)
    return sign.kind in EXPLAINS.get(cause.kind, frozenset())


def _rough(cause: Sign, sign: Sign) -> bool:
    """Misfire makes the dip: the roughness begins well below it, or is large beside its depth."""
    return cause.low < sign.low - BELOW or cause.size > ROUGH * abs(sign.size)


def _smooth(cause: Sign, sign: Sign) -> bool:
    """The dip makes the roughness: a float hashes a little about its own dip."""
    return not _rough(sign, cause)


def _edge_inside(cause: Sign, sign: Sign) -> bool:
    return any(sign.low - EDGE <= end <= sign.high + EDGE for end in (cause.low, cause.high))


def _loss(cause: Sign, sign: Sign) -> bool:
    """What burns badly loses torque: a reading that gained is the brake's."""
    return sign.size < 0


def _mostly_within(cause: Sign, sign: Sign) -> bool:
    """A trouble of one stretch of speeds explains what stands mostly there, not what goes on far beyond it."""
    common = min(cause.high, sign.high) - max(cause.low, sign.low)
    return common >= MOSTLY * (sign.high - sign.low)


BELOW = 200.0  # rpm; roughness that begins this far below a dip is not the dip's
ROUGH = 0.22  # of the dip's depth; what a smooth curve leaves of a dip's flanks is less
MOSTLY = 0.5  # of the other sign's range
EDGE = 150.0  # rpm; where a mixture changes, torque has a bend that may look like a dip
LOSSES = ("fuel-starvation", "misfire", "low-cylinder", "knock")
# Pairs that hold in part: a condition on cause and sign.
CONDITIONS: dict[tuple[str, str], Callable[[Sign, Sign], bool]] = {
    ("misfire", "valve-float"): _rough,
    ("valve-float", "misfire"): _smooth,
    ("mixture-rich", "valve-float"): _edge_inside,
    ("mixture-lean", "valve-float"): _edge_inside,
    **{(cause, sign): _loss for cause in LOSSES for sign in ("torque-zero", "torque-span")},
    **{("misfire", sign): _mostly_within for sign in ("mixture-lean", "flow-lambda-disagreement")},
    **{("valve-float", sign): _mostly_within for sign in ("boost-shortfall", "exhaust-restriction")},
}
