"""What is to be said of a factor: limits, pressure-charged engines, assumptions."""

from __future__ import annotations

from fairpull.air.adjustment import DEFAULT_MECHANICAL_EFFICIENCY
from fairpull.air.standard import Case, Limit, Standard
from fairpull.terms.arrays import Number
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.units import from_house

_SHOWN = {"factor": ("", "1", 4), "temperature": ("°C", "K", 1), "dry pressure": ("kPa", "Pa", 2)}
_STATUS = {
    "memory": "limit from memory of the standard, not re-read",
    "second-hand": "limit read in a second-hand text",
}
_HELD_MATTERS = 0.002  # below this a held-boost warning would be about less than any brake can show


def review(chosen: Standard, case: Case, factor: float) -> tuple[Finding, ...]:
    """All findings on one factor.

    Args:
        chosen: the standard.
        case: air and engine, scalars.
        factor: what the standard gave [1].

    Returns:
        Findings, limits first.
    """
    return (
        *_outside(chosen, case, factor),
        *_charged(chosen, case, factor),
        *_compression(chosen, case),
    )


def _outside(chosen: Standard, case: Case, factor: float) -> list[Finding]:
    values: dict[str, Number] = {
        "factor": factor,
        "temperature": case.temperature,
        "dry pressure": case.dry_pressure,
    }
    return [
        _outside_one(chosen, limit, float(values[limit.quantity]))
        for limit in chosen.limits
        if limit.ignition in ("", case.ignition) and not limit.low <= float(values[limit.quantity]) <= limit.high
    ]


def _outside_one(chosen: Standard, limit: Limit, value: float) -> Finding:
    above = value > limit.high
    edge = limit.high if above else limit.low
    symbol, house, digits = _SHOWN[limit.quantity]
    seen, bound = (from_house(number, symbol or "1", house) for number in (value, edge))
    unit = f" {symbol}" if symbol else ""
    if limit.quantity == "factor" and abs(seen - bound) < 1e-4:
        digits = 6
    return Finding(
        "outside-standard-limits",
        Severity.WARNING,
        f"standard {chosen.key}, {limit.quantity}",
        f"{limit.quantity.capitalize()} {seen:.{digits}f}{unit} lies {abs(seen - bound):.{digits}f}{unit} "
        f"{'above' if above else 'below'} {bound:g}{unit}, the {'upper' if above else 'lower'} limit of "
        f"{chosen.key} ({_STATUS[limit.status]}).",
        "Report the observed value and the air with it, or test in air nearer to the reference.",
    )


def _charged(chosen: Standard, case: Case, factor: float) -> list[Finding]:
    if not case.charged:
        return []
    findings = []
    own = case.ignition == "compression" and chosen.compression.startswith("own") and case.induction != "belt"
    if own or chosen.charged_covered:
        text, code, severity = chosen.charged, "charged-engine-treated", Severity.NOTE
        if case.ignition == "compression":
            text = "Turbocharged compression ignition has an atmospheric factor or exponents of its own here."
    else:
        text, code, severity = chosen.charged, "charged-engine-not-covered", Severity.WARNING
    findings.append(
        Finding(
            code,
            severity,
            f"standard {chosen.key}, induction {case.induction}",
            text,
            "Read the difference without correction (none) beside the corrected one.",
        )
    )
    if case.induction == "turbo-held" and abs(factor - 1.0) > _HELD_MATTERS:
        findings.append(_held(chosen, factor))
    return findings


def _held(chosen: Standard, factor: float) -> Finding:
    change = 100.0 * (factor - 1.0)
    return Finding(
        "held-boost-corrected",
        Severity.WARNING,
        f"standard {chosen.key}, induction turbo-held",
        f"The control holds absolute manifold pressure, so the barometer took little or nothing away; this "
        f"factor still moves torque by {change:+.1f} %.",
        "Use the standard none for this engine, or compare pulls made in the same air.",
    )


def _compression(chosen: Standard, case: Case) -> list[Finding]:
    if case.ignition != "compression":
        return []
    findings = []
    if chosen.compression == "none":
        findings.append(
            Finding(
                "compression-ignition-not-covered",
                Severity.WARNING,
                f"standard {chosen.key}, ignition compression",
                "The formula is meant for spark ignition; nothing on compression ignition is known of this standard.",
                "Use a standard with a formula for compression ignition, such as iso-1585, or none.",
            )
        )
    if chosen.compression == "own, needs efficiency":
        if case.mechanical_efficiency is None:
            findings.append(_efficiency(chosen))
        if case.coolant_temperature is None and case.induction in ("turbo", "turbo-held"):
            findings.append(
                Finding(
                    "assumed-charge-coolant",
                    Severity.NOTE,
                    f"standard {chosen.key}",
                    "The charge coolant is taken to be as warm as in the reference air (298 K).",
                    "Give the temperature of the charge coolant if there is a charge cooler.",
                )
            )
    return findings


def _efficiency(chosen: Standard) -> Finding:
    return Finding(
        "assumed-mechanical-efficiency",
        Severity.NOTE,
        f"standard {chosen.key}",
        f"A mechanical efficiency of {DEFAULT_MECHANICAL_EFFICIENCY:.2f} is assumed (default from memory of "
        "the standard).",
        "Give the engine's mechanical efficiency if it is known.",
    )
