"""Signs of trouble in a pull, and what could not be looked at."""

from __future__ import annotations

from dataclasses import dataclass

from fairpull.terms.findings import Finding, Severity

SIGN_CODES = {
    "valve-float": "sign-valve-float",
    "misfire": "sign-misfire",
    "fuel-starvation": "sign-fuel-starvation",
    "knock": "sign-knock",
    "mixture-rich": "sign-mixture-rich",
    "mixture-lean": "sign-mixture-lean",
    "belt-slip": "sign-belt-slip",
    "boost-creep": "sign-boost-creep",
    "boost-shortfall": "sign-boost-shortfall",
    "exhaust-restriction": "sign-exhaust-restriction",
    "intake-restriction": "sign-intake-restriction",
    "low-cylinder": "sign-low-cylinder",
    "heat-soak": "sign-heat-soak",
    "torque-zero": "sign-torque-zero",
    "torque-span": "sign-torque-span",
    "speed-pickup": "sign-speed-pickup",
    "wrong-barometer": "sign-wrong-barometer",
    "flow-lambda-disagreement": "sign-flow-lambda-disagreement",
    "reversion": "sign-reversion",
    "oil-out-of-window": "sign-oil-out-of-window",
    "coolant-out-of-window": "sign-coolant-out-of-window",
    "brake-water-hot": "sign-brake-water-hot",
    "peak-at-end": "sign-peak-at-end",
    "sweep-too-fast": "sign-sweep-too-fast",
}
"""Kind of sign -> code of the finding that it travels as."""

SIGN_KINDS = tuple(SIGN_CODES)


@dataclass(frozen=True, slots=True)
class Sign:
    """One sign of trouble.

    Attributes:
        kind: one of SIGN_KINDS.
        severity: FAULT where the pull should not count (or not beyond ``counts_to``), WARNING where a reader must know,
            NOTE otherwise.
        low, high: rpm range where it shows.
        size: how large it is, in ``unit`` (house unit; "1" for a fraction of torque).
        unit: house unit of ``size``.
        evidence: what was seen, one sentence with numbers and units.
        confirm: what would confirm it, one sentence.
        counts_to: the pull still counts up to this speed [rpm]; None: the whole pull is affected.
    """

    kind: str
    severity: Severity
    low: float
    high: float
    size: float
    unit: str
    evidence: str
    confirm: str
    counts_to: float | None = None


@dataclass(frozen=True, slots=True)
class Unseen:
    """A detector that could not look: which sign, and the channels or references it would need."""

    kind: str
    missing: tuple[str, ...]
    text: str


@dataclass(frozen=True, slots=True)
class HealthReport:
    """What all detectors said of one pull.

    Attributes:
        pull: its name.
        signs: most severe first.
        unseen: what could not be looked at.
        looked: kinds that were looked at.
        references: names of the pulls it was held against.
    """

    pull: str
    signs: tuple[Sign, ...]
    unseen: tuple[Unseen, ...]
    looked: tuple[str, ...]
    references: tuple[str, ...] = ()


def sign_finding(sign: Sign, pull: str) -> Finding:
    """A sign as a finding that travels with the pull; its code is ``sign-KIND``.

    Args:
        sign: what was seen.
        pull: name of the pull.

    Returns:
        The finding.
    """
    where = f"{pull}, {sign.low:.0f}-{sign.high:.0f} rpm"
    return Finding(SIGN_CODES[sign.kind], sign.severity, where, sign.evidence, sign.confirm)
