"""Rows of weather and of what the correction made of it."""

from __future__ import annotations

import numpy as np

from fairpull import pulls
from fairpull.compare.ledger import rules
from fairpull.compare.ledger.case import Case, estimate, numbers, said
from fairpull.terms.ledger import CONFOUNDER, EQUAL, UNKNOWN, LedgerRow, RunFacts
from fairpull.terms.pull import Air

PRESSURE_EQUAL = 500.0  # 0.15 inHg, half a per cent [Pa]
TEMPERATURE_EQUAL = 5.0 / 1.8  # 5 degF [K]
VAPOUR_EQUAL = 508.0  # 0.15 inHg [Pa]
FACTOR_EQUAL = 0.005
LARGE_FACTOR = 0.03  # a correction beyond this is less to be trusted between days
IN_FACTOR = "inside the correction; what that leaves stands under correction size [practice]"


def air_rows(case: Case) -> list[LedgerRow]:
    """Pressure, inlet temperature, vapour, and the size of the correction.

    Args:
        case: both builds.

    Returns:
        Four rows.

    Source: practice (same weather: factors within 0.5 %, vapour within 0.15 inHg, inlet within 5 degF).
    """
    one, two = _air(case.reference), _air(case.other)
    pressure = (one.pressure, two.pressure)
    temperature = (one.temperature, two.temperature)
    vapour = (one.vapour_pressure, two.vapour_pressure)
    held = "turbo-held" in _inductions(case)
    return [_pressure(case, pressure, held), _temperature(case, temperature, held), _vapour(case, one, vapour),
            _factor(case)]  # fmt: skip


def _inductions(case: Case) -> set[str]:
    return {facts.build.engine.induction for facts in (case.reference, case.other) if facts.build is not None}


def _air(facts: RunFacts) -> Air:
    """Mean air of a build's pulls, NaN where unknown."""
    found = [air for pull in facts.pulls if (air := pulls.air_of(pull)) is not None]
    if not found:
        return Air(float("nan"), float("nan"), float("nan"))
    table = np.array([[air.pressure, air.temperature, air.vapour_pressure] for air in found])
    pressure, temperature, vapour = (float(value) for value in table.mean(axis=0))
    return Air(pressure, temperature, vapour)


def _with_none(reach: rules.Reach, held: bool) -> rules.Reach:
    """A control that holds absolute manifold pressure may take all of it away."""
    return (0.5 * reach[0], min(reach[1], 0.0), max(reach[2], 0.0)) if held else reach


def _pressure(case: Case, values: tuple[float, float], held: bool) -> LedgerRow:
    reach = None if case.corrected else _with_none(rules.pressure_effect(*values), held)
    rule = IN_FACTOR if case.corrected else "4.1 % for each inHg, 1.2 % for each kPa [practice]"
    text = "The barometer moved between the two; thinner air gives less torque."
    return numbers("air pressure", "barometer", values, PRESSURE_EQUAL, reach, rule, (text, "No barometer for both."))


def _temperature(case: Case, values: tuple[float, float], held: bool) -> LedgerRow:
    if case.corrected:
        reach = rules.heat_soak_effect(values[1] - values[0])
        rule = "correction covers the air, not hot walls, oil and fuel: up to 1 % for each 10 degF (5.6 K) [practice]"
    else:
        reach = _with_none(rules.temperature_effect(*values), held)
        rule = "1 % for each 10 degF (5.6 K) [practice]"
    text = "The inlet air was not equally warm; a factor does not mend heat soak."
    texts = (text, "No inlet temperature for both.")
    return numbers("inlet temperature", "temperature", values, TEMPERATURE_EQUAL, reach, rule, texts)


def _vapour(case: Case, air: Air, values: tuple[float, float]) -> LedgerRow:
    reach = None if case.corrected else rules.vapour_effect(air.pressure, *values)
    rule = IN_FACTOR if case.corrected else "vapour takes the place of air: 4.1 % for each inHg [practice]"
    text = "The air was not equally damp."
    return numbers(
        "water vapour", "vapour_pressure", values, VAPOUR_EQUAL, reach, rule, (text, "No humidity for both.")
    )


def _factor(case: Case) -> LedgerRow:
    """Size of the correction: the means of both, and what they leave open."""
    name = "correction size"
    if not case.corrected:
        return said(name, EQUAL, ("observed", "observed"), "Nothing is corrected for air.")
    one, two = (float(factors.mean()) if factors.size else float("nan") for factors in case.factors)
    if not np.isfinite([one, two]).all():
        return said(name, UNKNOWN, (UNKNOWN, UNKNOWN), "No factor for both.")
    shown = (f"{one:.4f}", f"{two:.4f}")
    if abs(two / one - 1.0) <= FACTOR_EQUAL:
        return said(name, EQUAL, shown, f"Factors differ by {abs(two / one - 1.0) * 100:.2f} %.")
    rule = "a fifth of the difference between factors: formulas differ by as much [practice]"
    reach = _measured(case, rules.correction_effect(one, two))
    text = f"Factors differ by {(two / one - 1.0) * 100:+.1f} %; what is corrected is not measured."
    if max(abs(one - 1.0), abs(two - 1.0)) > LARGE_FACTOR:
        text += " One of them lies more than 3 % from 1."
    return said(name, CONFOUNDER, shown, text, rule, estimate(reach, rule))


def _measured(case: Case, reach: rules.Reach) -> rules.Reach:
    """At least the spread that this very comparison shows between standards that correct."""
    if case.comparison is None:
        return reach
    for one in case.comparison.differences:
        if one.other == case.names[1]:
            means = [mean for key, mean in one.mean_by_standard.items() if key != "none"]
            half = 0.5 * (max(means) - min(means)) if means else 0.0
            return reach[0], min(reach[1], -half), max(reach[2], half)
    return reach
