"""The one door to a correction: a key and an air in; the factor, with all that is to be said of it, out."""

from __future__ import annotations

from fairpull.air.registry import standard, unknown_name
from fairpull.air.review import review
from fairpull.air.standard import IGNITIONS, INDUCTIONS, Case, Standard
from fairpull.terms.correction import Correction
from fairpull.terms.errors import Fault, UnknownName, ValueRefused
from fairpull.terms.pull import Air


def correct(
    key: str,
    air: Air | None,
    *,
    induction: str = "natural",
    ignition: str = "spark",
    fuel_per_cycle: float | None = None,
    pressure_ratio: float | None = None,
    mechanical_efficiency: float | None = None,
    coolant_temperature: float | None = None,
) -> Correction:
    """Factor on observed torque and power by one standard, with its findings. Flows are never corrected.

    Args:
        key: of the standard, see STANDARDS.
        air: at the inlet; None (weather unknown) is accepted by "none" only.
        induction: "natural", "belt", "turbo" or "turbo-held" (control holds absolute manifold pressure).
        ignition: "spark" or "compression".
        fuel_per_cycle: compression ignition only: fuel for each cycle and swept volume [kg/m3];
            50 mg/(l cycle) is 0.050.
        pressure_ratio: turbocharged compression ignition only: absolute manifold over ambient pressure [1].
        mechanical_efficiency: iso-3046 with compression ignition only [1]; None: 0.80 is assumed and said.
        coolant_temperature: iso-3046 with turbo only: charge coolant [K]; None: as in the reference, and
            said.

    Returns:
        The correction.

    Raises:
        UnknownName: unknown standard, induction or ignition.
        ValueRefused: what the standard needs is missing or impossible; all faults at once.
    """
    chosen = standard(key)
    words = []
    if induction not in INDUCTIONS:
        words.append(unknown_name("induction", induction, INDUCTIONS))
    if ignition not in IGNITIONS:
        words.append(unknown_name("ignition", ignition, IGNITIONS))
    if words:
        raise UnknownName(words)
    if key == "none":
        return Correction(key, 1.0, air, None if air is None else air.pressure - air.vapour_pressure)
    if air is None:
        raise ValueRefused(
            Fault(
                "weather-unknown",
                f"standard {key}",
                "no air to correct from",
                "give pressure, temperature and a humidity, or use the standard none",
            )
        )
    case = Case(
        air.pressure,
        air.temperature,
        air.vapour_pressure,
        induction,
        ignition,
        fuel_per_cycle,
        pressure_ratio,
        mechanical_efficiency,
        coolant_temperature,
    )
    faults = _faults(chosen, case)
    if faults:
        raise ValueRefused(faults)
    factor = float(chosen.factor(case))
    return Correction(key, factor, air, air.pressure - air.vapour_pressure, review(chosen, case, factor))


def _faults(chosen: Standard, case: Case) -> list[Fault]:
    where = f"standard {chosen.key}"
    faults = []
    if float(case.dry_pressure) <= 0.0:
        faults.append(
            Fault(
                "vapour-above-pressure",
                "air",
                f"vapour pressure {case.vapour_pressure:.0f} Pa is not below {case.pressure:.0f} Pa",
                "give the absolute station pressure and the vapour pressure of the same air",
            )
        )
    if case.ignition == "compression":
        if chosen.compression == "unread":
            faults.append(
                Fault(
                    "compression-ignition-unread",
                    where,
                    "its formula for compression ignition could not be read",
                    "use iso-1585, un-r85, jis-d1001, iso-3046, iso-15550 or none",
                )
            )
        if chosen.compression == "own, needs fuel":
            faults.extend(_fuel_faults(where, case))
        if chosen.compression == "own, needs efficiency":
            faults.extend(_efficiency_faults(where, case))
    return faults


def _fuel_faults(where: str, case: Case) -> list[Fault]:
    faults = []
    fuel, ratio = case.fuel_per_cycle, case.pressure_ratio
    if fuel is None:
        faults.append(
            Fault(
                "fuel-per-cycle-missing",
                where,
                "compression ignition, and no fuel flow",
                "give the fuel for each cycle and litre swept, 50 mg/(l cycle) as 0.050 kg/m3, or use none",
            )
        )
    elif not 0.0 < float(fuel) < 1.0:
        faults.append(
            Fault(
                "fuel-per-cycle-implausible",
                where,
                f"{fuel:g} kg for each m3 swept and cycle",
                "give it in kg/m3: 50 mg/(l cycle) is 0.050",
            )
        )
    if ratio is None and case.charged:
        faults.append(
            Fault(
                "pressure-ratio-missing",
                where,
                f"induction {case.induction} with compression ignition, and no pressure ratio",
                "give absolute manifold pressure over ambient pressure at full load, such as 2.4",
            )
        )
    elif ratio is not None and not 0.9 <= float(ratio) <= 8.0:
        faults.append(
            Fault(
                "pressure-ratio-implausible",
                where,
                f"{ratio:g}",
                "give absolute over ambient pressure, 1 to 8",
            )
        )
    return faults


def _efficiency_faults(where: str, case: Case) -> list[Fault]:
    efficiency = case.mechanical_efficiency
    if efficiency is None or 0.3 <= efficiency <= 1.0:
        return []
    return [
        Fault(
            "mechanical-efficiency-implausible",
            where,
            f"{efficiency:g}",
            "give it as a fraction between 0.3 and 1, such as 0.85",
        )
    ]
