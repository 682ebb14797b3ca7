"""Every fault as data: its sizes, where it is visible, what is done. The docs print this table."""

from __future__ import annotations

from dataclasses import replace

from simulations.health import desk_faults as desk
from simulations.health import engine_faults as engine
from simulations.health import supply_faults as supply
from simulations.health.injected import Fault, boosted, natural
from simulations.health.machines import Machine
from simulations.health.shop import Wish

SWEEP = Wish(kinds=("sweep",), per_row=25.0)
FULL = ("full",)
MOSTLY_FULL = ("full", "full", "shop")
METERED = Wish(needs=("fuel_mass_flow", "lambda"))
METERED_WIDE = Wish(needs=METERED.needs, wide=True)


def _needs(*channels: str, wish: Wish | None = None) -> Wish:
    return replace(wish or Wish(), needs=channels)


def _several(machine: Machine) -> bool:
    return machine.cylinders >= 3


def _slow_natural(machine: Machine) -> bool:
    return not machine.boosted and 4000.0 < machine.turn < 6600.0


def _gated(machine: Machine) -> bool:
    return machine.blower == "turbo"


def _belted(machine: Machine) -> bool:
    return machine.induction == "belt"


def _corrected(machine: Machine) -> bool:
    return machine.induction != "turbo-held"


def _watered(machine: Machine) -> bool:
    return machine.water


FAULTS: tuple[Fault, ...] = (
    Fault(
        "valve-float", (0.01, 0.08), "of torque", engine.valve_float,
        "one to three dips 45-85 rpm wide (standard deviation) near the top, often not all recovered; "
        "air with torque, hash on lambda and manifold",
        "1-8 %, the section's whole range",
        wish=SWEEP, shared=0.4,
    ),
    Fault(
        "misfire", (0.01, 0.10), "of torque", engine.misfire,
        "bursts of missed cycles of one cylinder about the torque peak; air unchanged, lambda false lean, "
        "its exhaust cold",
        "1-10 % lost on average there, the section's whole range",
        wish=_needs("lambda", wish=SWEEP),
    ),
    Fault(
        "fuel-starvation", (0.05, 0.25), "lambda", supply.fuel_starvation,
        "fuel flattens past the middle, pressure falls, lambda climbs, torque sags last",
        "lambda up by 0.05-0.25 at the end (the sheet's day: 0.20)",
        wish=_needs("lambda", "fuel_pressure", wish=Wish(kinds=("sweep",))),
    ),
    Fault(
        "knock", (2.5, 10.0), "times its level", engine.knock,
        "the knock instrument rises about the torque peak; exhaust 12-35 K cooler, coolant warmer, torque a "
        "little down",
        "2.5-10 times the level, chosen here",
        sets=FULL,
    ),
    Fault(
        "mixture-rich", (0.035, 0.12), "lambda", supply.mixture_rich,
        "richer than the series everywhere or in one half; flows and sensor agree",
        "0.035-0.12 lambda (the sheet: more than 0.03)",
        wish=_needs("lambda"), references=(1, 4),
    ),
    Fault(
        "mixture-lean", (0.035, 0.12), "lambda", supply.mixture_lean,
        "leaner than the series everywhere or in one half; fuel pressure holds",
        "0.035-0.12 lambda (the sheet: more than 0.03)",
        wish=_needs("lambda"), references=(1, 4),
    ),
    Fault(
        "belt-slip", (0.04, 0.15), "of blower speed", supply.belt_slip,
        "the blower falls behind towards the top; boost leaves its law; rich where fuel is scheduled by rpm",
        "4-15 % at the end (the section's case: boost fell by a sixth)",
        sets=MOSTLY_FULL, suits=_belted, wish=_needs("manifold_pressure", wish=Wish(kinds=("sweep",))), shared=0.2,
    ),
    Fault(
        "boost-creep", (0.8, 5.0), "psi", supply.boost_creep,
        "boost climbs past its target from the middle on",
        "0.8-5 psi at the end, chosen here",
        suits=_gated, wish=_needs("manifold_pressure"), shared=0.3,
    ),
    Fault(
        "boost-shortfall", (0.3, 2.5), "psi", supply.boost_shortfall,
        "less boost than the series, everywhere or growing with boost",
        "0.3-2.5 psi (the sheet: more than 0.2)",
        suits=boosted, wish=_needs("manifold_pressure"), references=(1, 4),
    ),
    Fault(
        "exhaust-restriction", (2.0, 7.0), "psi", engine.exhaust_restriction,
        "collector pressure more by this where flow is largest, with its square; about 1.5 % of torque a psi",
        "2-7 psi on top of the build's own; with no series, 3-7 (the sheet: good below 1.5, tolerable 2-3)",
        sets=("full", "full", "full", "shop"), suits=natural, references=(0, 4), shared=0.2, shop_references=2,
    ),
    Fault(
        "intake-restriction", (1.8, 4.0), "inHg", engine.intake_restriction,
        "manifold this much below the barometer at the end, with the square of flow; a carburettor goes rich",
        "1.8-4 inHg (the section: more than 1-1.5; the sheet calls 1-1.5 usual on the street, 2 restrictive)",
        suits=natural, wish=_needs("manifold_pressure"), shared=0.3,
    ),
    Fault(
        "low-cylinder", (0.03, 0.20), "of torque", engine.low_cylinder,
        "one cylinder weak at every speed, its exhaust 100-300 degF off the pack; half of them with false lean",
        "3-20 %, at most one dead cylinder",
        suits=_several, wish=_needs("exhaust_temperature"), shared=0.1,
    ),
    Fault(
        "heat-soak", (0.01, 0.04), "of torque", engine.heat_soak,
        "inlet 8-18 K and oil 8-16 K warmer than the series, and torque lost beyond the factor",
        "1-4 %, the section's whole range",
        wish=_needs("oil_temperature"), references=(1, 4),
    ),
    Fault(
        "torque-zero", (0.015, 0.05), "of largest torque", desk.torque_zero,
        "the same torque added or taken at every speed; air and fuel unchanged",
        "1.5-5 % of the largest torque (the sheet voids from 0.5 lb-ft; its day: 1.7 %)",
        both_signs=True, sets=MOSTLY_FULL, wish=METERED_WIDE, references=(2, 4),
    ),
    Fault(
        "torque-span", (0.02, 0.06), "of torque", desk.torque_span,
        "the same share of torque added or taken at every speed; air and fuel unchanged",
        "2-6 %, chosen here",
        both_signs=True, sets=MOSTLY_FULL, wish=METERED_WIDE, references=(2, 4),
    ),
    Fault(
        "speed-pickup", (0.015, 0.05), "of speed", desk.speed_pickup,
        "speed reads wrong by a share; torque true, its peaks shift, air per turn wrong",
        "1.5-5 %, chosen here (a tooth of 60 to one of 20)",
        both_signs=True, sets=MOSTLY_FULL, wish=METERED, references=(2, 4),
    ),
    Fault(
        "wrong-barometer", (0.015, 0.06), "of pressure", desk.wrong_barometer,
        "sea-level instead of station pressure, or an instrument off; observed torque agrees, corrected does not",
        "1.5-6 %, up to 19 % for sea level at 1,500 m; chosen here",
        both_signs=True, sets=("full", "shop", "bare"), suits=_corrected, references=(1, 4),
    ),
    Fault(
        "flow-lambda-disagreement", (0.04, 0.12), "of lambda", desk.flow_lambda,
        "air meter, fuel meter or lambda sensor off, so that flows and sensor are this far apart",
        "4-12 % (the sheet: good within 3)",
        both_signs=True, sets=FULL, shared=0.4,
    ),
    Fault(
        "reversion", (0.02, 0.08), "of torque", engine.reversion,
        "sag below 1,900-2,500 rpm, air stands off, lambda hashes and reads lean",
        "2-8 %, chosen here",
        suits=_slow_natural, wish=_needs("lambda", wish=Wish(kinds=("sweep",), per_row=25.0, low_start=1500.0)),
        shared=1.0,
    ),
    Fault(
        "oil-out-of-window", (8.0, 35.0), "degF", desk.oil,
        "off the series, colder or hotter; with no series, below 160 or above 260 degF",
        "8-35 degF off (the sheet: 5)",
        both_signs=True, wish=_needs("oil_temperature"),
    ),
    Fault(
        "coolant-out-of-window", (8.0, 30.0), "degF", desk.coolant,
        "off the series, colder or hotter; with no series, below 145 or above 215 degF",
        "8-30 degF off (the sheet: 5)",
        both_signs=True, wish=_needs("coolant_out"), suits=_watered,
    ),
    Fault(
        "brake-water-hot", (152.0, 190.0), "degF", desk.brake_water,
        "the brake's outlet this hot at the end of the pull",
        "152-190 degF (the sheet: below 140)",
        wish=_needs("brake_outlet_temperature"), shared=0.3,
    ),
    Fault(
        "peak-at-end", (0.82, 0.96), "of peak power's speed", desk.peak_at_end,
        "stopped at this share of the speed where power would have peaked",
        "0.82-0.96, chosen here",
        sets=("full", "shop", "bare"), shared=0.0,
    ),
    Fault(
        "sweep-too-fast", (300.0, 900.0), "rpm", desk.sweep_too_fast,
        "350-1,000 rpm/s and a load cell so slow that torque lies this far to the right; earlier pulls, with the "
        "same cell, at 100-200 rpm/s",
        "300-900 rpm, chosen here",
        sets=MOSTLY_FULL, wish=Wish(kinds=("sweep",), quick=(350.0, 1000.0)), references=(1, 4), slow_references=True,
    ),
)  # fmt: skip

BY_KIND = {fault.kind: fault for fault in FAULTS}
