"""The fields of every kind of sheet, read off the models that check them: what can be typed, and how."""

from __future__ import annotations

import types
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from fairpull.terms.build import PART_KINDS
from fairpull.terms.errors import Fault, UnknownName

MORE = "more"
"""The free area: TOML for what a form cannot hold."""
LINE, AREA, CHOICE, COUNT, LIST, TABLE = "line", "area", "choice", "count", "list", "table"

HINTS: Mapping[str, str] = {
    "label": "in your own words",
    "notes": "in your own words",
    "rod": "centre to centre, 6.125 in",
    "displacement": "2.0 L; instead of bore and stroke",
    "compression_ratio": "9.4:1",
    "strokes": "4 or 2; 4 if left out",
    "inertia": "engine, coupling and brake rotor, 0.20 kg m2",
    "volumes.dish": "adds volume, 3 cc",
    "volumes.dome": "takes volume away, 4 cc",
    "volumes.gasket": "45 cc, or thickness and bore instead",
    "volumes.deck": "5 cc, or the clearance instead",
    "volumes.deck_clearance": "0.020 in; negative where the piston stands proud",
    "advertised_lift": "lift that the advertised durations are stated at, 0.006 in, or: not stated",
    "checking_lift": "lift of the two durations below, 0.050 in or 1 mm",
    "lobe_separation": "between the lobes, cam degrees, 112 deg",
    "intake_centreline": "after top centre, as installed, 108 deg",
    "exhaust_centreline": "before top centre, where it was measured, 116 deg",
    "intake_valve_lift": "at the valve, lash not taken off, 0.440 in",
    "exhaust_valve_lift": "at the valve, lash not taken off, 0.450 in",
    "depression": "of the flow bench or the rating, 28 inH2O",
    "reference": "the build that it is judged against",
    "tuned_from": "the same parts as bolted on; this build is them at their own best spark and mixture",
    "gear": "engine turns for each turn of the output shaft, 1.6:1",
    "hours": "on the engine at the start, 12 h",
    "fuel": "e10; a fuel of your own goes into the free area as [fuel]",
    "accessories": "one a line",
    "fitted": "names alone, one a line",
    "date": "2026-05-23",
    "altitude": "400 ft",
    "operator": "initials",
    "weather": "29.62 inHg 68 degF 56 %",
    "values": "one a line: 165 psi",
    "wanted": "one for all, or one each a line",
    "full_scale": "of the brake, 300 lb-ft",
    "builds": "one a line, the reference first",
    "band": "1800-4600 rpm",
    "smallest": "1 %",
    "planned_pulls": "of each build, 4",
    "purpose": "what the engine is for",
}
EXAMPLES: Mapping[str, str] = {
    "bore": "3.455 in",
    "stroke": "3.900 in",
    "cylinders": "6",
    "volumes.chamber": "68 cc",
    "volumes.gasket_thickness": "0.039 in",
    "volumes.gasket_bore": "3.54 in",
    "intake_valve": "diameter of the valve's head, 1.73 in",
    "exhaust_valve": "diameter of the valve's head, 1.38 in",
    "intake_valves": "in one cylinder; 1 if left out",
    "exhaust_valves": "in one cylinder; 1 if left out",
    "chamber_volume": "58 cc",
    "gasket_thickness": "as pressed, 1.0 mm",
    "gasket_bore": "inside of the ring, 90 mm",
    "intake_port_volume": "140 cc",
    "exhaust_port_volume": "60 cc",
    "intake_port_area": "the smallest, 1.9 in2",
    "exhaust_port_area": "the smallest, 1.4 in2",
    "exhaust_advertised": "266 deg",
    "intake_duration": "at the checking lift, 204 deg",
    "exhaust_duration": "at the checking lift, 210 deg",
    "intake_lobe_lift": "0.293 in",
    "exhaust_lobe_lift": "0.300 in",
    "intake_rocker_ratio": "1.5",
    "exhaust_rocker_ratio": "1.5",
    "exhaust_lash": "0.012 in",
    "lifters": "flat, mechanical",
    "runner_length": "port face to plenum, 0.36 m",
    "runner_diameter": "40 mm",
    "runner_area": "where it is not round, 12.6 cm2",
    "plenum_volume": "2.5 L",
    "venturi": "27 mm",
    "barrels": "2",
    "float_level": "8 mm",
    "main": "72",
    "secondary": "76",
    "idle": "55",
    "power": "0.060 in",
    "pump": "35",
    "air": "180",
    "diameter": "of one bore, 42 mm",
    "primary_diameter": "1.50 in",
    "primary_wall": "0.065 in",
    "primary_length": "42 in",
    "collector_diameter": "2.5 in",
    "collector_length": "18 in",
    "back_pressure_at": "4800 rpm",
    "impeller": "88 mm",
    "inducer": "62 mm",
    "drive_ratio": "4.1",
    "speed_limit": "60000 rpm",
    "drive_power": "11 hp",
    "wheel": "54 mm",
    "area_over_radius": "0.63",
    "gate_opens": "6 psi",
    "driving": "on the crank, 6.0 in",
    "driven": "on the compressor, 3.2 in",
    "ratio": "1.875, instead of the diameters",
    "pressure_loss": "0.8 psi",
    "volume": "4 L",
    "initial_advance": "8 deg",
    "plug_gap": "0.8 mm",
    "seat_height": "1.700 in",
    "open_load": "260 lb",
    "open_height": "1.250 in",
    "coil_bind": "1.100 in",
    "retainer_weight": "22 g",
    "valve_weight": "95 g",
    "dome": "4 cc",
    "dish": "6 cc",
    "deck_clearance": "0.5 mm; negative where it stands proud",
    "compression_height": "42 mm",
    "pin_weight": "120 g",
    "rod_weight": "640 g",
    "wall_clearance": "0.0025 in",
    "stated_at": "4800 rpm",
    "gear_efficiency": "98.5 %",
    "count": "how many",
    "duty_limit": "of the time open, 85 %",
    "ethanol": "by volume, 10 %",
    "stoichiometric": "14.1",
}
"""Examples where that of the quantity alone would mislead."""
PART_HINTS: Mapping[tuple[str, str], str] = {
    ("compressor", "displacement"): "in one turn, 0.80 L; not for a centrifugal one",
    ("carburettor", "bore"): "36 mm",
    ("carburettor", "depression"): "of the rating, 3.0 inHg",
    ("fuel", "fuel"): "e10, or your own figures below",
}
TABLE_HINTS: Mapping[tuple[str, str], str] = {
    ("part", "head"): 'flow = [["in", "cfm", "cfm"], [0.100, 47, 36], [0.200, 88, 67]]',
    ("part", "camshaft"): 'intake_lift_table = [["deg", "in"], [-130, 0.000], [0, 0.293], [130, 0.000]]',
    ("part", "compressor"): 'points = [["lb/min", "1"], [10, 1.40], [18, 1.62]]',
    ("part", "ignition"): 'curve = [["rpm", "deg"], [1000, 12], [3000, 31]]',
    ("part", "accessories"): 'drive_power = { fan = "3 hp", "water pump" = "1.5 hp" }',
    ("part", "fuel"): 'batch = "drum 3"',
    ("part", "other"): 'colour = "green": entries of your own making, kept as words',
    (
        "engine",
        "",
    ): 'fuel = { name = "own", stoichiometric = 14.6, heating_value = "43.4 MJ/kg", density = "745 kg/m3" }',
    ("session", ""): 'dead_weights = { unit = "lb-ft", hung = [0, 50, 100], read = [0.1, 50.1, 100.2] }',
    ("duty", ""): 'band = [{ speed = "1600-2200 rpm", weight = 1.0 }]; or line, time, gears, cycle; site, limit',
}


@dataclass(frozen=True, slots=True)
class Field:
    """One entry that a form holds.

    Attributes:
        name: path of the entry, "bore" or "volumes.chamber".
        group: heading.
        shape: one of the shapes above.
        hint: an example, and what is meant.
        choices: (value, words) of a choice.
        needed: nothing is kept without it.
        sheet: kind of sheet, or "part KIND", whose names are offered; "" for none.
    """

    name: str
    group: str
    shape: str = LINE
    hint: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    needed: bool = False
    sheet: str = ""


def fields(kind: str, part: str = "") -> tuple[Field, ...]:
    """The fields of a sheet.

    Args:
        kind: of sheet.
        part: kind of part, for a part.

    Returns:
        In the order of the form. What is not among them is written in the free area.

    Raises:
        UnknownName: no such kind of part or sheet.
    """
    if kind == "part" and part not in PART_KINDS:
        raise UnknownName(Fault("unknown-word", "kind", repr(part[:40]), f"one of: {', '.join(PART_KINDS)}"))
    return _fields(kind, part)


def in_order(body: Mapping[str, Any], kind: str, part: str = "") -> dict[str, Any]:
    """A sheet's entries in the order of its form; others follow as they stand.

    Args:
        body: of the sheet.
        kind: of sheet; part: kind of part.

    Returns:
        The same entries.
    """
    try:
        known = [one.name.partition(".")[0] for one in fields(kind, part)]
    except UnknownName:
        return dict(body)
    rank = {name: place for place, name in enumerate(dict.fromkeys(("kind", *known[:-1], "", *known[-1:])))}
    return dict(sorted(body.items(), key=lambda entry: rank.get(entry[0], rank[""])))


@lru_cache(maxsize=32)
def _fields(kind: str, part: str) -> tuple[Field, ...]:
    if kind == "part":
        return tuple(_of_part(part))
    made = {"engine": _of_engine, "build": _of_build}.get(kind)
    if made is not None:
        return tuple(made())
    if kind in PLAIN:
        return PLAIN[kind]
    raise UnknownName(Fault("sheet-kind", "sheet", repr(kind[:40]), "one of: engine, part, build, session, check"))


def _of_engine() -> Iterator[Field]:
    from fairpull.engine.file_form import EngineForm, VolumesForm

    groups = {
        "Sizes": ("bore", "stroke", "rod", "cylinders", "displacement", "strokes", "inertia"),
        "Compression": ("compression_ratio",),
    }
    rest = [one for one in EngineForm.model_fields if one not in ("name", "parts", "volumes", "fuel")]
    taken = [one for names in groups.values() for one in names]
    for group, names in groups.items():
        for name in names:
            yield _field(name, EngineForm.model_fields[name], group)
    for name, info in VolumesForm.model_fields.items():
        group = "Volumes of one cylinder at top centre, which the compression ratio is computed from"
        yield _field(f"volumes.{name}", info, group, free=True)
    yield Field("fuel", "Fuel and air", hint=HINTS["fuel"])
    for name in rest:
        if name not in taken:
            yield _field(name, EngineForm.model_fields[name], "Fuel and air", free=True)


def _of_part(part: str) -> Iterator[Field]:
    from fairpull.engine.parts import forms

    form = forms()[part]
    yield Field("label", "The part", hint=HINTS["label"])
    for name, info in form.model_fields.items():
        if name not in ("kind", "name", "label", "notes"):
            made = _field(name, info, "Entries")
            if made.shape != TABLE:
                yield replace(made, hint=PART_HINTS.get((part, name), made.hint))
    yield Field("notes", "Notes", AREA, HINTS["notes"])


def _of_build() -> Iterator[Field]:
    from fairpull.engine.build_form import BuildForm

    yield Field("label", "The build", hint=HINTS["label"])
    yield Field("engine", "The build", CHOICE, "the engine's sheet", needed=True, sheet="engine")
    yield Field("reference", "The build", CHOICE, HINTS["reference"], sheet="build")
    yield Field("tuned_from", "The build", CHOICE, HINTS["tuned_from"], sheet="build")
    for kind in PART_KINDS:
        yield Field(
            f"parts.{kind}", "Parts, each made once and used by any number of builds", CHOICE, sheet=f"part {kind}"
        )
    for name in ("gear", "gear_efficiency", "hours", "induction"):
        yield _field(name, BuildForm.model_fields[name], "Circumstances", free=True)
    yield Field("fuel", "Circumstances", hint=HINTS["fuel"])
    yield Field("accessories", "Circumstances", LIST, HINTS["accessories"])
    yield Field("notes", "Notes", AREA, HINTS["notes"])


def _plain(group: str, *names: str, **more: str) -> tuple[Field, ...]:
    return tuple(Field(name, group, more.get(name, LINE), HINTS.get(name, "")) for name in names)


_WHAT = tuple((one, one) for one in ("compression", "leakdown", "lash", "springs", "dead weights"))
PLAIN: Mapping[str, tuple[Field, ...]] = {
    "session": _plain("The day", "date", "brake", "place", "altitude", "operator", "weather", "notes", notes=AREA),
    "check": (
        Field("what", "The check", CHOICE, "what was measured", _WHAT, needed=True),
        Field("values", "The check", LIST, HINTS["values"], needed=True),
        Field("wanted", "The check", LIST, HINTS["wanted"]),
        Field("full_scale", "The check", hint=HINTS["full_scale"]),
        Field("engine", "Of what", CHOICE, sheet="engine"),
        Field("build", "Of what", CHOICE, sheet="build"),
        Field("session", "Of what", CHOICE, sheet="session"),
        *_plain("Of what", "date", "hours", "notes", notes=AREA),
    ),
    "question": _plain(
        "The question",
        *("question", "builds", "band", "smallest", "expectation", "planned_pulls"),
        builds=LIST,
        planned_pulls=COUNT,
    ),
    "duty": _plain("The duty", "purpose", "smallest"),
}


def _field(name: str, info: Any, group: str, *, free: bool = False) -> Field:
    """A field from a model's entry; ``free``: an entry with a default of its own, which may be left out."""
    shape, hint, choices = _shape(info.annotation, info.metadata)
    told = HINTS.get(name) or EXAMPLES.get(name) or hint
    default = info.default if shape == CHOICE and isinstance(info.default, str) and info.default else ""
    if default:
        told = f"{default} if left out"
    return Field(name, group, shape, told, choices, needed=not free and info.is_required())


def _shape(annotation: Any, metadata: Any = ()) -> tuple[str, str, tuple[tuple[str, str], ...]]:
    from fairpull.engine.form_types import Held, OrWord
    from fairpull.engine.sheet_tables import Table

    for one in metadata:
        if isinstance(one, Held):
            return LINE, one.example, ()
        if isinstance(one, OrWord):
            return LINE, f"{one.held.example}, or: {one.said}", ()
        if isinstance(one, Table):
            return TABLE, "", ()
    origin, inner = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        return _shape(inner[0], inner[1:])
    if origin in (Union, types.UnionType):
        return next(_shape(one) for one in inner if one is not type(None))
    if origin is Literal:
        return (COUNT, "", ()) if isinstance(inner[0], int) else (CHOICE, "", tuple((one, one) for one in inner))
    if origin in (tuple, list):
        return (
            (LIST, "one a line", ()) if inner[0] is not tuple and get_origin(inner[0]) is not tuple else (TABLE, "", ())
        )
    if origin is dict or annotation is dict:
        return TABLE, "", ()
    return (COUNT, "a whole number", ()) if annotation is int else (LINE, "", ())
