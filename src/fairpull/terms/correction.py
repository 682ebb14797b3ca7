"""What a correction standard says of one air: the factor, and whether it may be used."""

from __future__ import annotations

from dataclasses import dataclass

from fairpull.terms.findings import Finding
from fairpull.terms.pull import Air


@dataclass(frozen=True, slots=True)
class Correction:
    """A factor on observed torque and power.

    Attributes:
        standard: key, e.g. "sae-j1349"; "none" leaves the observed value.
        factor: corrected = observed x factor, dimensionless.
        air: the air it was computed for; None only for "none".
        dry_pressure: [Pa], or None.
        findings: outside the standard's limits, treatment of pressure-charged engines, and so on.
    """

    standard: str
    factor: float
    air: Air | None
    dry_pressure: float | None = None
    findings: tuple[Finding, ...] = ()
