"""What engine and parts yield together: compression, breathing, springs, drives, fuel, pipes."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from fairpull.engine import drives, ports, tuned_lengths, valve_springs
from fairpull.engine.cams import lift_over_diameter
from fairpull.engine.compression import dynamic_compression_ratio
from fairpull.engine.flows import power_of_injectors
from fairpull.engine.geometry import (
    bore_volume,
    clearance_volume,
    compression_ratio,
    displacement_of,
    mean_piston_speed,
    rod_ratio,
    rpm_at_piston_speed,
)
from fairpull.terms.arrays import FloatArray
from fairpull.terms.build import Build, Fact, Part
from fairpull.terms.units import from_house, parse, to_house

RPM_LIMIT = "rpm_limit"  # name of the setting that speeds are worked out at
_PISTON_SPEED = to_house(4000.0, "ft/min", "m/s")  # practice: production engines stay below it
# practice: what good engines burn at peak power; by heating value for other fuels
_SPECIFIC_FUEL = {"natural": 0.50, "belt": 0.57, "turbo": 0.57, "turbo-held": 0.57}
_SPECIFIC_FUEL_DIESEL = 0.38
_PETROL_HEATING_VALUE = 43.44e6


def build_facts(build: Build) -> tuple[Fact, ...]:
    """All facts that need the engine and its parts together.

    Args:
        build: engine, parts, settings.

    Returns:
        Facts with formula and source; whatever lacks an entry is left out.
    """
    chapters: tuple[Callable[[_Sheets], None], ...] = (
        _sizes,
        _compression,
        _breathing,
        _inlet,
        _valves,
        _springs,
        _injectors,
        _compressor,
        _headers,
    )
    sheets = _Sheets(build)
    for chapter in chapters:
        chapter(sheets)
    return tuple(sheets.found)


class _Sheets:
    """The build's entries where they are known, and the facts found so far."""

    def __init__(self, build: Build) -> None:
        self.build, self.engine = build, build.engine
        self.found: list[Fact] = []
        self.bore, self.stroke = (_known(value) for value in (build.engine.bore, build.engine.stroke))
        self.cylinders = build.engine.cylinders or None
        self.cylinder = displacement_of(build.engine) / self.cylinders if self.cylinders else None
        limit = build.settings.get(RPM_LIMIT)
        self.limit = None if limit is None else parse(limit, "rpm")
        self.ratio = build.engine.compression_ratio

    def number(self, kind: str, entry: str) -> float | None:
        """An entry of a part, in house units."""
        part = self.build.parts.get(kind)
        value = None if part is None else part.data.get(entry)
        return float(value) if isinstance(value, (int, float)) else None

    def computed(self, kind: str, name: str) -> float | None:
        """A fact of a part."""
        part = self.build.parts.get(kind)
        facts = () if part is None else part.facts
        return next((float(fact.value) for fact in facts if fact.name == name), None)

    def add(self, name: str, value: object, unit: str, how: str, source: str = "practice") -> None:
        """One more fact; values that are not finite are left out."""
        number = float(np.asarray(value, dtype=np.float64))
        if math.isfinite(number):
            self.found.append(Fact(name, number, unit, f"{how}; source: {source}"))


def _known(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _sizes(sheets: _Sheets) -> None:
    engine = sheets.engine
    sheets.add(
        "displacement", displacement_of(engine), "m3", "as stated, or pi / 4 x bore squared x stroke x cylinders"
    )
    if sheets.stroke is None:
        return
    if engine.rod is not None:
        sheets.add("rod ratio", rod_ratio(engine.rod, sheets.stroke), "1", "rod / stroke; 1.5 to 1.8 is usual")
    rpm = rpm_at_piston_speed(sheets.stroke, _PISTON_SPEED)
    sheets.add("speed at 4000 ft/min mean piston speed", rpm, "rpm", "60 x 20.32 m/s / (2 x stroke)")
    if sheets.limit is not None:
        how = f"2 x stroke x {sheets.limit:.0f} rpm"
        sheets.add("mean piston speed at the limit", mean_piston_speed(sheets.stroke, sheets.limit), "m/s", how)


def _compression(sheets: _Sheets) -> None:
    engine = sheets.engine
    if (made := _static_ratio(sheets)) is not None:
        sheets.ratio = made
        how = "swept and clearance volume, from chamber, gasket, deck clearance, dish and dome of the fitted parts"
        if engine.compression_ratio is not None:
            how += f"; the engine's sheet says {engine.compression_ratio:.2f}"
        sheets.add("compression ratio from volumes", made, "1", how)
    closing = sheets.computed("camshaft", "intake closing ABDC, advertised")
    if closing is None or sheets.ratio is None or sheets.stroke is None or engine.rod is None:
        return
    value = dynamic_compression_ratio(sheets.ratio, sheets.stroke, engine.rod, closing)
    degrees = from_house(closing, "°", "rad")
    how = (
        f"1 + effective stroke / stroke x (CR - 1), CR {sheets.ratio:.2f}, effective stroke from the exact piston "
        f"travel at the advertised intake closing, {degrees:.0f} deg ABDC"
    )
    sheets.add("dynamic compression ratio", value, "1", how)


def _static_ratio(sheets: _Sheets) -> float | None:
    chamber, thickness = (sheets.number("head", entry) for entry in ("chamber_volume", "gasket_thickness"))
    deck = sheets.number("piston", "deck_clearance")
    if chamber is None or thickness is None or deck is None or sheets.bore is None or sheets.stroke is None:
        return None
    clearance = clearance_volume(
        chamber,
        gasket=bore_volume(sheets.number("head", "gasket_bore") or sheets.bore, thickness),
        deck=bore_volume(sheets.bore, deck),
        dish=sheets.number("piston", "dish") or 0.0,
        dome=sheets.number("piston", "dome") or 0.0,
    )
    return float(compression_ratio(bore_volume(sheets.bore, sheets.stroke), clearance)) if clearance > 0.0 else None


def _flow_table(head: Part | None) -> FloatArray | None:
    if head is None or "flow" not in head.data or "depression" not in head.data:
        return None
    rows = np.array(head.data["flow"], dtype=np.float64)
    return ports.flow_table_at(rows, head.data["depression"], ports.BENCH_DEPRESSION)


def _net_lift(sheets: _Sheets, side: str) -> float | None:
    return sheets.computed("camshaft", f"{side} net lift")


def _breathing(sheets: _Sheets) -> None:
    table = _flow_table(sheets.build.parts.get("head"))
    if table is None:
        return
    lift = _net_lift(sheets, "intake")
    flow, at = float(np.max(table[:, 1])), "the most of the flow table"
    if lift is not None:
        flow, at = float(ports.flow_at_lift(lift, table[:, 0], table[:, 1])), "at the camshaft's net lift"
        beyond = "; the lift lies beyond the table, its last row is held" if lift > table[-1, 0] else ""
        how = f"flow table at the net lift, straight lines between its rows{beyond}"
        sheets.add("intake flow at net lift, 28 inH2O", flow, "m3/s", how)
    if sheets.cylinders is not None:
        how = f"0.257 hp x cfm at 28 inH2O x cylinders, {at}; mild engines reach 60 to 75 %, hot ones 75 to 90 % of it"
        sheets.add("power ceiling from flow", ports.power_ceiling(flow, sheets.cylinders), "W", how, "head-flow-rule")
    if sheets.cylinder is not None:
        how = f"1196 x cfm at 28 inH2O / in3 of one cylinder, {at}"
        sheets.add("speed of peak power from flow", ports.rpm_of_peak_power(flow, sheets.cylinder), "rpm", how)


def _inlet(sheets: _Sheets) -> None:
    table, lift = _flow_table(sheets.build.parts.get("head")), _net_lift(sheets, "intake")
    valve, count = sheets.number("head", "intake_valve"), sheets.number("head", "intake_valves") or 1.0
    if table is None or lift is None or valve is None or sheets.bore is None or sheets.stroke is None:
        return
    area = count * float(tuned_lengths.pipe_area(valve))
    mean = ports.mean_flow(table[:, 0], table[:, 1], lift)
    coefficient = float(ports.flow_coefficient(mean, area, ports.BENCH_DEPRESSION))
    how = (
        "flow over a half-cosine lift curve of the net lift, over what the valve heads' area would pass without losses"
    )
    sheets.add("mean inlet flow coefficient", coefficient, "1", how, "heywood")
    at_thousand = float(ports.inlet_mach_index(sheets.bore, sheets.stroke, 1000.0, area, coefficient))
    how = "Z = piston area x mean piston speed / (valve area x mean coefficient x speed of sound at 20 degC)"
    sheets.add("speed at inlet Mach index 0.5", 1000.0 * ports.MACH_LIMIT / at_thousand, "rpm", how, "heywood")
    if sheets.limit is not None:
        sheets.add("inlet Mach index at the limit", at_thousand * sheets.limit / 1000.0, "1", how, "heywood")


def _valves(sheets: _Sheets) -> None:
    for side in ("intake", "exhaust"):
        lift, valve = _net_lift(sheets, side), sheets.number("head", f"{side}_valve")
        if lift is not None and valve is not None:
            how = "net lift / valve diameter; near 0.25 more lift brings little flow"
            sheets.add(f"{side} lift over diameter", lift_over_diameter(lift, valve), "1", how)


def _springs(sheets: _Sheets) -> None:
    lifts = [lift for side in ("intake", "exhaust") if (lift := _net_lift(sheets, side)) is not None]
    if not lifts:
        return
    lift = max(lifts)
    seat, height, bind = (sheets.number("springs", name) for name in ("seat_load", "seat_height", "coil_bind"))
    rate = sheets.number("springs", "rate") or sheets.computed("springs", "spring rate")
    if seat is not None and rate is not None:
        how = "seat load + rate x the larger net lift"
        sheets.add("spring load at full lift", valve_springs.spring_load(seat, rate, lift), "N", how)
    if height is not None and bind is not None:
        how = "seat height - the larger net lift - coil bind"
        sheets.add("coil-bind margin at full lift", valve_springs.coil_bind_margin(height, lift, bind), "m", how)


def _injectors(sheets: _Sheets) -> None:
    count, duty = sheets.number("injectors", "count"), sheets.number("injectors", "duty_limit")
    fuel = sheets.engine.fuel
    flow = sheets.computed("injectors", "injector mass flow at running pressure") or sheets.number(
        "injectors", "mass_flow"
    )
    if flow is None:
        volume = sheets.computed("injectors", "injector volume flow at running pressure") or sheets.number(
            "injectors", "volume_flow"
        )
        flow = None if volume is None or fuel is None else _known(volume * fuel.density)
    if flow is None or count is None or duty is None:
        return
    specific = _specific_fuel(sheets)
    how = (
        f"flow x {count:.0f} x duty {100.0 * duty:.0f} % / BSFC; "
        f"{from_house(specific, 'lb/hp h', 'kg/J'):.2f} lb/hp h is taken, not measured"
    )
    sheets.add("power limit of the injectors", power_of_injectors(flow, count, duty, specific), "W", how)


def _specific_fuel(sheets: _Sheets) -> float:
    engine = sheets.engine
    if engine.ignition == "compression":
        return to_house(_SPECIFIC_FUEL_DIESEL, "lb/hp h", "kg/J")
    petrol = to_house(_SPECIFIC_FUEL[engine.induction], "lb/hp h", "kg/J")
    if engine.fuel is None or not math.isfinite(engine.fuel.heating_value):
        return petrol
    return petrol * _PETROL_HEATING_VALUE / engine.fuel.heating_value


def _compressor(sheets: _Sheets) -> None:
    pulley = sheets.number("pulley", "ratio") or sheets.computed("pulley", "pulley ratio")
    step_up = sheets.number("compressor", "drive_ratio")
    if pulley is None or step_up is None:
        return
    overall = float(drives.compressor_speed(1.0, pulley, step_up))
    sheets.add("compressor turns for each engine turn", overall, "1", "pulley ratio x the compressor's own gears")
    if sheets.limit is not None:
        speed = float(drives.compressor_speed(sheets.limit, pulley, step_up))
        sheets.add("compressor speed at the limit", speed, "rpm", f"{sheets.limit:.0f} rpm x overall ratio")
        impeller = sheets.number("compressor", "impeller")
        if impeller is not None:
            how = "pi x impeller diameter x compressor speed"
            sheets.add("impeller tip speed at the limit", drives.tip_speed(impeller, speed), "m/s", how)
    volume = sheets.number("compressor", "displacement")
    if volume is not None:
        value = drives.delivery_ratio(volume, overall, displacement_of(sheets.engine), sheets.engine.strokes)
        how = "compressor displacement x overall ratio / volume the engine sweeps in a turn; before leakage and heat"
        sheets.add("compressor over engine displacement", value, "1", how)


def _headers(sheets: _Sheets) -> None:
    opening = sheets.computed("camshaft", "exhaust opening BBDC, advertised")
    length = sheets.number("exhaust", "primary_length")
    peak = next((float(f.value) for f in sheets.found if f.name == "speed of peak power from flow"), None)
    rule = "850 x (180 + exhaust opening in deg BBDC) / rpm - 3 in"
    if opening is not None and length is not None:
        rpm = tuned_lengths.rpm_of_header_length(length, opening)
        sheets.add("speed that the primary length suits", rpm, "rpm", f"solved for rpm: {rule}", "header-length-rule")
    if opening is not None and peak is not None:
        wanted = tuned_lengths.header_length(peak, opening)
        how = f"{rule}, at the speed of peak power from flow"
        sheets.add("primary length for peak power", wanted, "m", how, "header-length-rule")
    area = sheets.computed("exhaust", "primary area")
    if area is not None and sheets.cylinder is not None:
        rpm = tuned_lengths.rpm_of_header_area(area, sheets.cylinder)
        how = "speed of peak torque: 88200 x primary area in2 / in3 of one cylinder"
        sheets.add("speed that the primary area suits", rpm, "rpm", how, "header-area-rule")
