"""Invented sheets that the tests of parts and builds share."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from typing import Any

from fairpull import engine
from fairpull.terms.build import Build, Fact, Part
from fairpull.terms.engine import Engine
from fairpull.terms.units import from_house

ANVIL = """
name = "Anvil"
bore = "3.455 in"
stroke = "3.900 in"
rod = "6.125 in"
cylinders = 6
compression_ratio = "9.4:1"
fuel = "petrol"
"""
WREN = """
name = "Wren"
bore = "77.9 mm"
stroke = "88.0 mm"
rod = "140 mm"
cylinders = 4
compression_ratio = 9.0
fuel = "petrol"
"""
CAM_A = """
kind = "camshaft"
advertised_lift = "0.006 in"
intake_advertised = "260 deg"
exhaust_advertised = "266 deg"
checking_lift = "0.050 in"
intake_duration = "204 deg"
exhaust_duration = "210 deg"
intake_valve_lift = "0.440 in"
exhaust_valve_lift = "0.450 in"
lobe_separation = "112 deg"
intake_centreline = "108 deg"
"""
CAM_B = """
kind = "camshaft"
advertised_lift = "0.006 in"
intake_advertised = "274 deg"
exhaust_advertised = "280 deg"
checking_lift = "1.27 mm"
intake_duration = "218 deg"
exhaust_duration = "224 deg"
intake_valve_lift = "0.480 in"
exhaust_valve_lift = "0.480 in"
intake_lash = "0.010 in"
exhaust_lash = "0.010 in"
lobe_separation = "110 deg"
intake_centreline = "106 deg"
"""
HEAD = """
kind = "head"
material = "iron"
intake_valve = "1.73 in"
exhaust_valve = "1.38 in"
depression = "28 inH2O"
flow = [
    ["in", "cfm", "cfm"],
    [0.100, 47, 36],
    [0.200, 88, 67],
    [0.300, 119, 89],
    [0.400, 137, 102],
    [0.450, 141, 105],
    [0.500, 143, 107],
]
"""
HEADER = """
kind = "exhaust"
design = "tubular"
primary_diameter = "1.38 in"
primary_length = "42 in"
collector_length = "18 in"
"""
SPRINGS = """
kind = "springs"
seat_load = "110 lb"
seat_height = "1.700 in"
open_load = "260 lb"
open_height = "1.250 in"
coil_bind = "1.100 in"
"""


def table(text: str) -> dict[str, Any]:
    return tomllib.loads(text)


def machine(text: str = ANVIL) -> Engine:
    return engine.engine_from_table(table(text), where="engine.toml", name="engine")


def part(text: str, name: str = "part") -> Part:
    return engine.part_from_table(table(text), where=f"{name}.toml", name=name)


def shelf() -> dict[str, Part]:
    """Parts by name."""
    texts = {
        "cam A": CAM_A,
        "cam B": CAM_B,
        "iron head": HEAD,
        "tube header": HEADER,
        "log": 'kind = "exhaust"\ndesign = "log"\n',
        "stock springs": SPRINGS,
        "screw": 'kind = "compressor"\ndesign = "screw"\ndisplacement = "0.80 L"\n',
        "wheel": 'kind = "compressor"\ndesign = "centrifugal"\nimpeller = "88 mm"\ndrive_ratio = 4.0\n',
        "turbo wheel": 'kind = "compressor"\ndesign = "centrifugal"\ndrive = "turbine"\n',
        "small pulley": 'kind = "pulley"\ndriving = "6 in"\ndriven = "3 in"\n',
        "red nozzles": 'kind = "injectors"\nmass_flow = "29 lb/h"\npressure = "43.5 psi"\ncount = 4\n',
        "pump 95": 'kind = "fuel"\nfuel = "e10"\nresearch_octane = 95\n',
    }
    return {name: part(text, name) for name, text in texts.items()}


def build(name: str = "build", text: str = ANVIL, **entries: Any) -> Build:
    """A build of the shelf's parts on one engine."""
    bare = machine(text)
    raw = {"engine": bare.name, **entries}
    return engine.build_from_table(raw, where=f"{name}.toml", name=name, engine={bare.name: bare}, parts=shelf())


def values(facts: tuple[Fact, ...], units: Mapping[str, str]) -> dict[str, float]:
    """Facts by name, in the units asked for (house unit -> shown unit)."""
    return {
        fact.name: from_house(float(fact.value), units.get(fact.unit, fact.unit), fact.unit)
        for fact in facts
        if fact.unit != "N/m"
    }


US = {"m": "in", "rad": "°", "m3/s": "cfm", "W": "hp", "N": "lbf", "m2": "in2"}
