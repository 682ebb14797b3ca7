"""From the air of the test to the site's own air: the correction, taken back by the same standard's formula."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from fairpull.air.correction import correct
from fairpull.air.registry import standard as standard_of
from fairpull.terms.build import Build
from fairpull.terms.correction import Correction
from fairpull.terms.errors import Fault, NotComparable
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.pull import Air
from fairpull.terms.units import from_house


@dataclass(frozen=True, slots=True)
class SiteAir:
    """factors: pull name -> factor on observed torque, to the air that is scored in; said: how, readable."""

    factors: Mapping[str, float]
    said: str
    findings: tuple[Finding, ...] = ()


def in_reference_air(standard: str, pulls: Sequence[str], factors: Mapping[str, Mapping[str, float]]) -> SiteAir:
    """Factors to the comparison's own reference air.

    Args:
        standard: key; "none" leaves observed values.
        pulls: names of all pulls.
        factors: standard key -> pull name -> factor [1].

    Returns:
        The factors.

    Raises:
        NotComparable: a pull has no factor under this standard.

    Source: definition, corrected = observed x factor.
    """
    if standard == "none":
        return SiteAir(dict.fromkeys(pulls, 1.0), "as observed, no correction")
    table = factors.get(standard, {})
    lacking = [name for name in pulls if name not in table]
    if lacking:
        raise NotComparable(
            Fault(
                "no-factor",
                ", ".join(lacking),
                f"no correction factor under {standard}",
                "give the weather of each pull, or score observed values with the standard none",
            )
        )
    return SiteAir({name: table[name] for name in pulls}, f"reference air of {standard}")


def at_site(
    air: Air,
    standard: str,
    reference: SiteAir,
    pulls: Mapping[str, Sequence[str]],
    builds: Mapping[str, Build],
) -> SiteAir:
    """Factors from the air of each test to the site's air.

    Torque at the site is observed torque times the test's factor over the site's factor, both by the same standard. An
    engine whose control holds absolute manifold pressure keeps its observed torque.

    Args:
        air: at the site.
        standard: key of the correction standard.
        reference: factors to the standard's reference air.
        pulls: build name -> its pulls' names.
        builds: known builds; another is taken as naturally aspirated with spark ignition.

    Returns:
        The factors, with the assumption as a finding, and what is different for charged engines.

    Raises:
        NotComparable: observed values have no reference air to go back from.
        ValueRefused: the standard cannot be computed for this kind of engine or this air.

    Source: own definition, ratio of two factors of one standard.
    """
    if standard == "none":
        raise NotComparable(
            Fault(
                "site-air-needs-standard",
                "site",
                "observed values carry no formula to another air",
                "name a correction standard; it is used in both directions",
            )
        )
    factors: dict[str, float] = {}
    found: list[Finding] = []
    for build, names in pulls.items():
        if _induction(builds.get(build)) == "turbo-held":
            factors |= dict.fromkeys(names, 1.0)
            found.append(_held(build))
            continue
        there = _site_factor(air, standard, builds.get(build))
        factors |= {name: reference.factors[name] / there.factor for name in names}
        found += [_assumed(build, standard, there.factor), *there.findings]
        found += [_turbo(build)] if _induction(builds.get(build)) == "turbo" else []
    pressure, temperature = from_house(air.pressure, "kPa", "Pa"), from_house(air.temperature, "°C", "K")
    said = f"site air, {pressure:.1f} kPa and {temperature:.0f} °C, by {standard} taken back"
    return SiteAir(factors, said, tuple(dict.fromkeys(found)))


def _induction(build: Build | None) -> str:
    return build.engine.induction if build else "natural"


def _site_factor(air: Air, standard: str, build: Build | None) -> Correction:
    ignition = build.engine.ignition if build else "spark"
    return correct(standard, air, induction=_induction(build), ignition=ignition)


def _assumed(build: str, standard: str, factor: float) -> Finding:
    return Finding(
        "site-air-assumed",
        Severity.NOTE,
        build,
        f"Torque in the site's air is taken as corrected torque over {factor:.3f}, the factor of "
        f"{standard_of(standard).title} for that air, so {100.0 / factor:.0f} % of it; nobody tested in that air, and "
        "mixture and spark are taken to be set for it. A belt-driven blower falls with the air all the same.",
        "Test at the site, or read the score as an estimate.",
    )


def _held(build: str) -> Finding:
    return Finding(
        "site-air-held",
        Severity.NOTE,
        build,
        "The control holds absolute manifold pressure, so the observed torque is taken to hold in the site's air too, "
        "as long as the turbocharger has speed and waste-gate margin left for it.",
        "Check turbine speed and boost at the site; where the margin runs out, torque falls with the air.",
    )


def _turbo(build: str) -> Finding:
    return Finding(
        "site-air-turbo",
        Severity.NOTE,
        build,
        "A turbocharger makes up for part of the thinner air; its torque is lowered here as if it made up for nothing.",
        "Read the score as a lower bound, or say turbo-held where the control holds absolute manifold pressure.",
    )
