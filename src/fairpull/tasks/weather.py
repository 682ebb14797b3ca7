"""The air of each pull, and its correction factor under every standard."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from fairpull import air
from fairpull.terms.engine import Engine
from fairpull.terms.errors import FairpullError, Fault, UnknownName
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.pull import Curve

DEFAULT_STANDARD = "sae-j1349"


@dataclass(frozen=True, slots=True)
class Weather:
    """The standard in use, factors (standard -> pull -> factor), findings, and why some standards are missing."""

    standard: str
    factors: Mapping[str, Mapping[str, float]]
    findings: tuple[Finding, ...]
    missing: Mapping[str, str]


def weather_of(curves: Sequence[Curve], engines: Mapping[str, Engine], standard: str) -> Weather:
    """Correction factors of all pulls under all standards.

    Args:
        curves: all pulls' curves, each with its air or None.
        engines: pull name -> engine, where an engine file was given.
        standard: key named by the person; "" takes the default where all weather is known, none otherwise.

    Returns:
        The weather.

    Raises:
        UnknownName: no such standard.
        NotComparable: the named standard needs weather that is missing.
    """
    if standard and standard not in air.STANDARDS:
        air.standard(standard)  # raises with the list and the nearest name
        raise UnknownName(Fault("standard", "--standard", standard, "see fairpull air"))
    unknown = [curve.name for curve in curves if curve.air is None]
    if unknown and standard not in ("", "none"):
        air.correct(standard, None)  # refuses with its own words
    findings: list[Finding] = []
    if unknown:
        findings.append(
            Finding(
                "no-weather",
                Severity.WARNING,
                ", ".join(unknown[:6]) + (" ..." if len(unknown) > 6 else ""),
                f"weather unknown for {len(unknown)} of {len(curves)} pulls, so observed values are compared",
                "give it with --weather or a conditions.toml beside the logs",
            )
        )
        return Weather("none", {}, tuple(findings), {})
    chosen = standard or DEFAULT_STANDARD
    factors: dict[str, dict[str, float]] = {}
    missing: dict[str, str] = {}
    for key in air.STANDARDS:
        try:
            factors[key] = _factors(key, curves, engines, findings if key == chosen else None)
        except FairpullError as error:
            if key == chosen:
                raise
            missing[key] = str(error.faults[0].seen)
    return Weather(chosen, factors, tuple(dict.fromkeys(findings)), missing)


def _factors(
    key: str, curves: Sequence[Curve], engines: Mapping[str, Engine], findings: list[Finding] | None
) -> dict[str, float]:
    result = {}
    for curve in curves:
        engine = engines.get(curve.name)
        correction = air.correct(
            key,
            curve.air,
            induction=engine.induction if engine else "natural",
            ignition=engine.ignition if engine else "spark",
        )
        result[curve.name] = correction.factor
        if findings is not None:
            findings += correction.findings
    return result
