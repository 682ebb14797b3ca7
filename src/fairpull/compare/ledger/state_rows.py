"""Rows of the engine's state: boost, temperatures, mixture, spark."""

from __future__ import annotations

import math

import numpy as np

from fairpull import pulls
from fairpull.compare.fairness.charge import density_ratio, pressure_ratio
from fairpull.compare.ledger import rules
from fairpull.compare.ledger.case import Case, channel_mean, estimate, numbers, readable, said
from fairpull.terms.ledger import CONFOUNDER, EQUAL, INTENDED, UNKNOWN, LedgerRow, RunFacts

OIL_EQUAL = 5.0 / 1.8  # 5 degF [K]
BOOST_EQUAL = 1379.0  # 0.2 psi [Pa]
CHARGE_EQUAL = 3.0 / 1.8  # 3 degF [K]
LAMBDA_EQUAL = 0.02
SPARK_EQUAL = math.radians(1.0)
GAUGE = ("boost", "boost_after_cooler", "boost_before_cooler")
CHARGE = ("charge_temperature_after_cooler", "charge_temperature_before_cooler")


def temperature_rows(case: Case) -> list[LedgerRow]:
    """Oil, coolant and, where one is boosted, charge temperature.

    Args:
        case: both builds.

    Returns:
        Two or three rows.

    Source: practice (oil and water within 5 degF, with a blower the same charge temperature).
    """
    oil = _pair(case, "oil_temperature")
    coolant = _pair(case, "coolant_out", "coolant_in")
    rows = [
        numbers(
            "oil temperature",
            "temperature",
            oil,
            OIL_EQUAL,
            rules.oil_effect(oil[1] - oil[0]),
            "0.05 % for each kelvin, from -0.1 to +0.15 %: thin oil frees, hot walls cost [practice]",
            ("Oil was not equally hot.", "No oil temperature in both."),
        ),
        numbers(
            "water temperature",
            "temperature",
            coolant,
            OIL_EQUAL,
            rules.coolant_effect(coolant[1] - coolant[0]),
            "-0.05 % for each kelvin, from -0.1 to +0.05 % [practice]",
            ("Coolant was not equally hot.", "No coolant temperature in both."),
        ),
    ]
    if all(_boosted(facts, case) for facts in (case.reference, case.other)):
        rows.append(_charge(case))
    return rows


def _charge(case: Case) -> LedgerRow:
    values = _pair(case, *CHARGE)
    counted = abs(_pair(case, *GAUGE)[1] - _pair(case, *GAUGE)[0]) > BOOST_EQUAL
    reach = None if counted else rules.charge_temperature_effect(*values)
    rule = "counted under boost, as density" if counted else "density goes with its inverse [practice]"
    texts = ("The charge was not equally hot.", "No charge temperature in both.")
    return numbers("charge temperature", "temperature", values, CHARGE_EQUAL, reach, rule, texts)


def _pair(case: Case, *names: str) -> tuple[float, float]:
    return channel_mean(case.reference, names, case.band), channel_mean(case.other, names, case.band)


def _boosted(facts: RunFacts, case: Case) -> bool:
    if facts.build is not None and facts.build.engine.induction != "natural":
        return True
    return channel_mean(facts, GAUGE, case.band) > 3000.0


def boost_row(case: Case) -> LedgerRow:
    """Boost over the common range.

    Args:
        case: both builds.

    Returns:
        The row: under test where only one of the two was boosted, a confounder where boosts differ.

    Source: practice (boost off plan by more than 0.2 psi where it should match).
    """
    boosted = [_boosted(facts, case) for facts in (case.reference, case.other)]
    if not any(boosted):
        return said("boost", EQUAL, ("none", "none"), "Both naturally aspirated.")
    measured = [
        _boost(facts, case) if on else 0.0 for facts, on in zip((case.reference, case.other), boosted, strict=True)
    ]
    values = (measured[0], measured[1])
    shown = tuple(readable(one, "boost") if on else "none" for one, on in zip(values, boosted, strict=True))
    if not np.isfinite(values).all():
        text = "A boosted build logged no boost."
        return said("boost", UNKNOWN, shown, text, values=values)
    if all(boosted) and abs(values[1] - values[0]) <= BOOST_EQUAL:
        text = "Mean boost is the same; the view at equal boost says where."
        return said("boost", EQUAL, shown, text, values=values)
    reach, rule = _boost_reach(case, values)
    effect = estimate(reach, rule) if np.isfinite(reach).all() else None
    if all(boosted):
        text = "Boosts are unequal, so a part of the difference is pressure and not the part under test."
        return said("boost", CONFOUNDER, shown, text, rule, effect, values)
    text = "Boost came with what is under test."
    return said("boost", INTENDED, shown, text, rule, effect, values)


def _boost(facts: RunFacts, case: Case) -> float:
    gauge = channel_mean(facts, GAUGE, case.band)
    if math.isfinite(gauge):
        return gauge
    return channel_mean(facts, ("manifold_pressure",), case.band) - _barometer(facts)


def _barometer(facts: RunFacts) -> float:
    known = [air.pressure for pull in facts.pulls if (air := pulls.air_of(pull)) is not None]
    return float(np.mean(known)) if known else float("nan")


def _inlet(facts: RunFacts) -> float:
    known = [air.temperature for pull in facts.pulls if (air := pulls.air_of(pull)) is not None]
    return float(np.mean(known)) if known else float("nan")


def _boost_reach(case: Case, values: tuple[float, float]) -> tuple[rules.Reach, str]:
    ratios, densities = [], []
    for facts, boost in zip((case.reference, case.other), values, strict=True):
        ratio = float(pressure_ratio(boost, _barometer(facts)))
        inlet, charge = _inlet(facts), channel_mean(facts, CHARGE, case.band)
        ratios.append(ratio)
        densities.append(1.0 if boost == 0.0 else float(density_ratio(ratio, inlet, charge)))
    if np.isfinite(densities).all():
        rule = "torque goes with charge density: 1.1 of its gain, 0.75 to 1.5 [practice]"
        return rules.boost_effect(densities[1] / densities[0]), rule
    rule = "0.85 of the gain in manifold pressure, 0.6 to 1.15: no charge temperature [practice]"
    return rules.boost_pressure_effect(ratios[1] / ratios[0]), rule


def tune_rows(case: Case) -> list[LedgerRow]:
    """Mixture and spark as they were measured, where the sheets name no change of them.

    Args:
        case: both builds.

    Returns:
        Up to two rows; spark of unlike engines is not compared.

    Source: practice (hold mixture and spark, or tune each to its own best and say so).
    """
    rows = []
    if not case.changed("mixture", "lambda", "jets", "fuel"):
        values = _pair(case, "lambda", "lambda_1")
        rows.append(
            numbers(
                "mixture (lambda)",
                "lambda",
                values,
                LAMBDA_EQUAL,
                rules.mixture_effect(values[1] - values[0]),
                "0.03 of lambda costs less than 1 % near best torque [practice]",
                ("Mixture moved with the change; is each at its own best?", "No mixture in both."),
            )
        )
    if not case.changed("spark", "ignition", "engine"):
        values = _pair(case, "spark_advance")
        rows.append(
            numbers(
                "spark advance",
                "angle",
                values,
                SPARK_EQUAL,
                rules.spark_effect(values[1] - values[0]),
                "1 % at 4 to 5 degrees from best, 4 to 5 % at 10 [practice]",
                ("Spark moved with the change; is each at its own best?", "No spark advance in both."),
            )
        )
    return rows
