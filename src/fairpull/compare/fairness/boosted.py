"""A boosted build against a naturally aspirated one: what the boost should give, and what it gave."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from fairpull.compare.fairness.boost import barometer_at, boost_at, charge_at, inlet_loss_of, is_boosted
from fairpull.compare.fairness.charge import pressure_ratio
from fairpull.compare.fairness.sides import Side, Sides, nodes, plain_ratio, ratio_band, same_size, sides_of
from fairpull.compare.fairness.wording import per_cent
from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import Comparison
from fairpull.terms.errors import NotComparable
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.ledger import BoostFacts, RunFacts

PSI = 6894.757293168361  # one pound-force on a square inch, the trade's measure of boost [Pa]
LEAST = 0.5 * PSI  # below this a gain for each unit of boost says nothing [Pa]
# (low, high) that the trade expects of power over (naturally aspirated power x pressure ratio), common practice.
SHORTFALL = {
    ("turbo", True): (0.85, 0.95),
    ("screw", True): (0.80, 0.90),
    ("centrifugal", True): (0.82, 0.92),
}
UNCOOLED = (0.75, 0.87)
# Gain for each psi by the driver of the compressor, common practice.
GAIN = {"turbo": (0.07, 0.07), "belt": (0.05, 0.06)}


def boost_facts(boosted: RunFacts, natural: RunFacts, comparison: Comparison) -> BoostFacts | None:
    """Pressure ratio, density ratio, gain, and how the boosted power compares with the simple estimate.

    Args:
        boosted: circumstances of one build.
        natural: circumstances of the other; the two may be given in either order.
        comparison: the plain comparison that holds both.

    Returns:
        The facts along rpm; None where not exactly one of the two was boosted, where the engines are of unlike size,
        where no boost was logged, or where the comparison does not hold both.

    Source: practice (naturally aspirated power times pressure ratio).
    """
    try:
        sides = _as_judged(natural, boosted, comparison)
        if is_boosted(sides.reference) == is_boosted(sides.other) or not same_size(sides):
            return None
        rpm = nodes(sides)
        blown = sides.other if is_boosted(sides.other) else sides.reference
        boost = boost_at(blown, rpm)
    except NotComparable:
        return None
    gain, low, high = gain_of(sides, rpm)
    ratio = np.asarray(pressure_ratio(boost, barometer_at(blown, rpm), inlet_loss_of(blown)), dtype=np.float64)
    density, findings = _density(blown, rpm)
    per, per_low, per_high = (gain_per_pressure(one, boost) for one in (gain, low, high))
    simple = of_simple_estimate(gain, ratio)
    kind, cooled = _drive(blown)
    other = sides.reference if blown is sides.other else sides.other
    names = (blown.name, other.name)
    columns = {"rpm": rpm, "gain": gain, "low": low, "high": high, "ratio": ratio, "density": density, "simple": simple}
    expected = SHORTFALL.get((kind, cooled), UNCOOLED if not cooled else None)
    return BoostFacts(
        *names,
        rpm,
        ratio,
        density,
        gain,
        per,
        simple,
        _text(names, columns, expected),
        boost,
        expected,
        _per_pascal(GAIN.get("turbo" if kind == "turbo" else "belt")),
        findings,
        low,
        high,
        per_low,
        per_high,
        ratio_band(sides),
    )


def _as_judged(one: RunFacts, two: RunFacts, comparison: Comparison) -> Sides:
    """Both builds in the order in which the comparison judged them, so that its own band is at hand."""
    sides = sides_of(one, two, comparison)
    if sides.difference is None:
        turned = sides_of(two, one, comparison)
        return sides if turned.difference is None else turned
    return sides


def gain_of(sides: Sides, rpm: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Torque of the boosted build over that of the other - 1; power has the same ratio at the same rpm.

    Args:
        sides: the builds, in either order.
        rpm: shape (g,).

    Returns:
        Gain with the plain difference's band, turned where the boosted build is its reference: gain, low, high,
        fractions of shape (g,).

    Source: definition.
    """
    plain, low, high = plain_ratio(sides, rpm)
    if is_boosted(sides.other):
        return plain, low, high
    return 1.0 / (1.0 + plain) - 1.0, 1.0 / (1.0 + high) - 1.0, 1.0 / (1.0 + low) - 1.0


def gain_per_pressure(gain: FloatArray, boost: FloatArray, least: float = LEAST) -> FloatArray:
    """Gain for each unit of boost.

    Args:
        gain: fractions of shape (g,).
        boost: gauge, shape (g,) [Pa].
        least: boost below which the quotient says nothing [Pa].

    Returns:
        Gain over boost [1/Pa], shape (g,); NaN below the least boost.

    Source: practice (per cent for each psi).
    """
    per: FloatArray = np.where(boost >= least, gain / np.maximum(boost, least), np.nan)
    return per


def of_simple_estimate(gain: FloatArray, ratio: FloatArray) -> FloatArray:
    """Boosted power over naturally aspirated power times pressure ratio.

    Args:
        gain: of the boosted build, fractions of shape (g,).
        ratio: pressure ratio, shape (g,) [1].

    Returns:
        Share of the simple estimate, fractions of shape (g,).

    Source: practice (naturally aspirated power times pressure ratio).
    """
    share: FloatArray = (1.0 + gain) / ratio
    return share


def _density(side: Side, rpm: FloatArray) -> tuple[FloatArray, tuple[Finding, ...]]:
    try:
        return charge_at(side, rpm).density_ratio, ()
    except NotComparable as refusal:
        fault = refusal.faults[0]
        text = f"No density ratio: {fault.seen}."
        finding = Finding("fair-look-missing", Severity.NOTE, f"boost of {side.name}", text, f"{fault.remedy}.")
        return np.full(len(rpm), np.nan), (finding,)


def _drive(side: Side) -> tuple[str, bool]:
    """What kind of compressor by the sheet ("" where it does not say), and whether a cooler is fitted."""
    build = side.facts.build
    if build is None:
        return "", False
    if build.engine.induction.startswith("turbo"):
        return "turbo", "cooler" in build.parts
    part = build.parts.get("compressor")
    told = f"{part.data.get('design', '')} {part.name}".lower() if part is not None else ""
    kind = next((word for word in ("screw", "centrifugal", "roots") if word in told), "")
    return kind, "cooler" in build.parts


def _per_pascal(per_psi: tuple[float, float] | None) -> tuple[float, float] | None:
    return None if per_psi is None else (per_psi[0] / PSI, per_psi[1] / PSI)


def _ends(facts: Mapping[str, FloatArray], at: int) -> str:
    return f"{per_cent(float(facts['low'][at])).removesuffix(' %')} to {per_cent(float(facts['high'][at]))}"


def _text(names: tuple[str, str], facts: Mapping[str, FloatArray], expected: tuple[float, float] | None) -> str:
    boosted, natural = names
    rpm, gain, ratio = facts["rpm"], facts["gain"], facts["ratio"]
    known = np.isfinite(gain) & np.isfinite(ratio)
    if not known.any():
        return f"{boosted} against {natural}: no pressure ratio is known, so what boost should give cannot be said."
    top = int(np.flatnonzero(known)[np.argmax(ratio[known])])
    share = facts["simple"][known]
    said = (
        f"{boosted} makes {per_cent(float(gain[top]))} ({_ends(facts, top)}) over {natural} at {rpm[top]:,.0f} rpm, "
        f"where its pressure ratio is highest ({ratio[top]:.2f}). Over the range its power is "
        f"{share.min() * 100:.0f} to {share.max() * 100:.0f} % of naturally aspirated power times pressure ratio"
    )
    if expected is not None:
        said += f"; {expected[0] * 100:.0f} to {expected[1] * 100:.0f} % is usual (common practice, no source)"
    density = facts["density"]
    dense = np.isfinite(density) & known
    if dense.any():
        said += f". Its charge is {density[dense].min():.2f} to {density[dense].max():.2f} times as dense as the room's"
    return f"{said}."
