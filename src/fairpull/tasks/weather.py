"""The air of each pull, and its correction factor under every standard."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from fairpull import air
from fairpull.tasks.compression import Asked, asked_of
from fairpull.terms.correction import Correction
from fairpull.terms.errors import FairpullError, Fault, NotComparable
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.pull import Curve

if TYPE_CHECKING:
    from fairpull.terms.engine import Engine

DEFAULTS = ("sae-j1349", "iso-1585", "un-r85", "jis-d1001", "iso-15550", "iso-3046")
"""Net standards; the first that can be computed for every pull is taken where nobody named one."""


@dataclass(frozen=True, slots=True)
class Weather:
    """The standard in use, factors (standard -> pull -> factor), findings, and what was chosen.

    missing: why some standards could not be computed, key -> reason. choices: name -> readable value.
    """

    standard: str
    factors: Mapping[str, Mapping[str, float]]
    findings: tuple[Finding, ...]
    missing: Mapping[str, str]
    choices: Mapping[str, str]


def weather_of(curves: Sequence[Curve], engines: Mapping[str, Engine], standard: str) -> Weather:
    """Correction factors of all pulls under all standards.

    Args:
        curves: all pulls' curves, each with its air or None.
        engines: pull name -> engine, where an engine file was given.
        standard: key named by the person; "" takes the first of ``DEFAULTS`` that can be computed where all weather is
            known, none otherwise.

    Returns:
        The weather.

    Raises:
        UnknownName: no such standard.
        NotComparable: the named standard needs weather that is missing.
        ValueRefused: the named standard cannot be computed for these engines.
    """
    if standard:
        air.standard(standard)
    unknown = [curve.name for curve in curves if curve.air is None]
    if unknown:
        return _without(unknown, len(curves), standard)
    asked = {curve.name: asked_of(curve, engines.get(curve.name)) for curve in curves}
    corrections: dict[str, dict[str, Correction]] = {}
    refused: dict[str, FairpullError] = {}
    for key in air.STANDARDS:
        try:
            corrections[key] = {curve.name: air.correct(key, curve.air, **asked[curve.name]) for curve in curves}
        except FairpullError as error:
            refused[key] = error
    if standard in refused:
        raise refused[standard]
    chosen = standard or next(key for key in (*DEFAULTS, "none") if key in corrections)
    missing = {key: error.faults[0].seen for key, error in refused.items()}
    findings = [finding for correction in corrections[chosen].values() for finding in correction.findings]
    return Weather(
        standard=chosen,
        factors={key: {name: one.factor for name, one in row.items()} for key, row in corrections.items()},
        findings=tuple(dict.fromkeys(findings)),
        missing=missing,
        choices=_choices(chosen, standard, missing, asked),
    )


def _without(unknown: Sequence[str], total: int, standard: str) -> Weather:
    names = ", ".join(unknown[:6]) + (" ..." if len(unknown) > 6 else "")
    remedy = "give it with --weather or a conditions.toml beside the logs"
    if standard not in ("", "none"):
        seen = f"{standard} needs the weather, and it is unknown for {len(unknown)} of {total} pulls"
        raise NotComparable(Fault("weather-unknown", names, seen, f"{remedy}, or use --standard none"))
    seen = f"weather unknown for {len(unknown)} of {total} pulls, so observed values are compared"
    finding = Finding("no-weather", Severity.WARNING, names, seen, remedy)
    choices = {} if standard else {"standard": "none (default where weather is not known for every pull)"}
    return Weather("none", {}, (finding,), {}, choices | {"standard formula": _formula("none")})


def _choices(chosen: str, named: str, missing: Mapping[str, str], asked: Mapping[str, Asked]) -> dict[str, str]:
    said = {}
    if not named:
        passed = [f"{key}: {missing[key]}" for key in DEFAULTS[: DEFAULTS.index(chosen)]] if chosen in DEFAULTS else []
        because = f"; not computed: {'; '.join(passed)}" if passed else ""
        said["standard"] = f"{chosen} (default where weather is known{because})"
    said["standard formula"] = _formula(chosen)
    if missing:
        said["standards not computed"] = "; ".join(f"{key}: {why}" for key, why in missing.items())
    kinds = sorted({f"{one['induction']} induction, {one['ignition']} ignition" for one in asked.values()})
    said["factors computed for"] = "; ".join(kinds)
    burning = {name: fuel for name, one in asked.items() if (fuel := one.get("fuel_per_cycle")) is not None}
    if burning:
        said["fuel per cycle"] = "mean over each pull: " + "; ".join(
            f"{name} {fuel * 1e3:.1f} mg/(l cycle)" for name, fuel in burning.items()
        )
    return said


def _formula(key: str) -> str:
    one = air.standard(key)
    return f"{one.title}: factor {one.formula}; reference {one.reference} [{', '.join(one.sources)}]"
