"""Quantities of hand-written sheets: house unit, what is possible, an example, and how the trade writes them."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Annotated

from fairpull.engine.form_types import Held, as_ratio, refuse_entry, refused, text_of, with_unit
from fairpull.engine.sheet_words import told_plainly
from fairpull.terms.errors import FairpullError, UnitRefused
from fairpull.terms.unit_table import GRAVITY
from fairpull.terms.units import parse, to_house

_DEGREE = math.pi / 180.0


def as_force(value: object, held: Held) -> float:
    """A force; a load in pounds or kilograms is the weight of that mass, as spring testers show it.

    Args:
        value: as written, "110 lb" or "490 N".
        held: the entry.

    Returns:
        Force [N].

    Raises:
        PydanticCustomError: no force.
    """
    text = text_of(value, held)
    try:
        return parse(text, held.unit)
    except UnitRefused:
        try:
            return parse(text, "kg") * GRAVITY
        except FairpullError:
            return with_unit(value, held)
    except FairpullError as refusal:
        raise refused(told_plainly(refusal.faults[0], text, held.unit, held.example)) from refusal


def as_stiffness(value: object, held: Held) -> float:
    """A spring rate, written as force over length: "320 lb/in", "56 N/mm".

    Args:
        value: as written.
        held: the entry.

    Returns:
        Rate [N/m].

    Raises:
        PydanticCustomError: no force over a length.
    """
    text = text_of(value, held)
    force, stroke, length = text.rpartition("/")
    try:
        per = to_house(1.0, length.strip(), "m")
    except FairpullError:
        stroke = ""
        per = 1.0
    if not stroke:
        raise refuse_entry("unit-unknown", repr(text), f'write a force over a length, such as "{held.example}"')
    return as_force(force, replace(held, unit="N")) / per


# Entries that are columns of tables too.
LIFT = Held("m", 0.0, 0.05, "mm", "0.440 in", with_unit)
SIGNED_ANGLE = Held("rad", -360.0 * _DEGREE, 360.0 * _DEGREE, "°", "31 deg", with_unit)
AIR_FLOW = Held("m3/s", 0.0, 20.0, "L/s", "119 cfm", with_unit)
AIR_MASS_FLOW = Held("kg/s", 0.0, 20.0, "g/s", "18 lb/min", with_unit)
MASS_FLOW = Held("kg/s", 1e-6, 1.0, "g/s", "29 lb/h", with_unit)
SPEED = Held("rpm", 0.0, 500e3, "rpm", "6000 rpm", with_unit)
FRACTION = Held("1", 0.0, 1.0, "%", "70 %", with_unit)
PRESSURE_RATIO = Held("1", 0.8, 10.0, "1", "1.8", as_ratio)

Length = Annotated[float, Held("m", 0.005, 2.0, "mm", "88 mm", with_unit)]
Thin = Annotated[float, Held("m", -0.01, 0.05, "mm", "1.0 mm", with_unit)]
Lift = Annotated[float, LIFT]
Lash = Annotated[float, Held("m", 0.0, 0.002, "mm", "0.010 in", with_unit)]
PipeLength = Annotated[float, Held("m", 0.005, 10.0, "mm", "32 in", with_unit)]
Volume = Annotated[float, Held("m3", -1e-4, 0.05, "cm3", "45 cc", with_unit)]
PortArea = Annotated[float, Held("m2", 1e-6, 0.5, "cm2", "2.1 in2", with_unit)]
Angle = Annotated[float, Held("rad", 0.0, 360.0 * _DEGREE, "°", "260 deg", with_unit)]
SignedAngle = Annotated[float, SIGNED_ANGLE]
Duration = Annotated[float, Held("rad", 90.0 * _DEGREE, 400.0 * _DEGREE, "°", "260 deg", with_unit)]
Centreline = Annotated[float, Held("rad", 60.0 * _DEGREE, 160.0 * _DEGREE, "°", "108 deg", with_unit)]
SeatAngle = Annotated[float, Held("rad", 20.0 * _DEGREE, 60.0 * _DEGREE, "°", "45 deg", with_unit)]
Inertia = Annotated[float, Held("kg m2", 1e-4, 500.0, "kg m2", "0.20 kg m2", with_unit)]
Displacement = Annotated[float, Held("m3", 1e-5, 2.0, "L", "2.0 L", with_unit)]
HeatingValue = Annotated[float, Held("J/kg", 1e7, 1.5e8, "MJ/kg", "43.4 MJ/kg", with_unit)]
Density = Annotated[float, Held("kg/m3", 50.0, 1500.0, "kg/m3", "745 kg/m3", with_unit)]
AirFlow = Annotated[float, AIR_FLOW]
LiquidFlow = Annotated[float, Held("m3/s", 1e-8, 1e-3, "mL/min", "440 mL/min", with_unit)]
MassFlow = Annotated[float, MASS_FLOW]
Depression = Annotated[float, Held("Pa", 50.0, 50e3, "kPa", "28 inH2O", with_unit)]
FuelPressure = Annotated[float, Held("Pa", 5e3, 5e8, "kPa", "43.5 psi", with_unit)]
GaugePressure = Annotated[float, Held("Pa", 0.0, 1e6, "kPa", "1.5 psi", with_unit)]
Force = Annotated[float, Held("N", 1.0, 2e4, "N", "110 lb", as_force)]
Stiffness = Annotated[float, Held("N/m", 1e3, 2e6, "N/mm", "320 lb/in", as_stiffness)]
Weight = Annotated[float, Held("kg", 1e-3, 200.0, "g", "520 g", with_unit)]
Power = Annotated[float, Held("W", 0.0, 1e6, "kW", "3 hp", with_unit)]
Speed = Annotated[float, SPEED]
Fraction = Annotated[float, FRACTION]
Hours = Annotated[float, Held("s", 0.0, 1e9, "h", "12 h", with_unit)]
Drive = Annotated[float, Held("1", 0.01, 100.0, "1", "1.6", as_ratio)]
Octane = Annotated[float, Held("1", 0.0, 200.0, "1", "95", as_ratio)]
