"""What is wrong with a declared duty, all of it at once."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from fairpull.terms.errors import Fault, ValueRefused
from fairpull.terms.purpose import DUTY_KINDS, Duty

MOST_SMALLEST = 0.2


def check_duty(duty: Duty) -> None:
    """Refuse a duty that cannot be scored.

    Args:
        duty: what was declared.

    Raises:
        ValueRefused: an unknown kind, or parts that are missing, empty, upside down or not positive.
    """
    where = f"duty {duty.name!r}" if duty.name else "duty"
    if duty.kind not in DUTY_KINDS:
        raise ValueRefused(Fault("duty-kind", where, repr(duty.kind), f"use one of {', '.join(DUTY_KINDS)}"))
    of_kind = {
        "bands": _bands,
        "load line": _line,
        "histogram": _histogram,
        "gears": _gears,
        "cycle": _cycle,
    }[duty.kind]
    faults = [*of_kind(duty, where), *_common(duty, where)]
    if faults:
        raise ValueRefused(faults)


def _positive(value: float) -> bool:
    return 0.0 < value < math.inf


def _common(duty: Duty, where: str) -> Iterator[Fault]:
    if not 0.0 <= duty.smallest <= MOST_SMALLEST:
        yield Fault("smallest", f"{where}, smallest", f"{duty.smallest:g}", 'give a share from 0 to 20 %, e.g. "1 %"')
    if not 0.0 <= duty.margin < 10.0:
        yield Fault("duty-margin", f"{where}, margin", f"{duty.margin:g}", "give what must be left over, 0 % or more")
    for veto in duty.vetoes:
        if veto.least is None and veto.most is None:
            yield Fault("duty-limit", f"{where}, limit on {veto.name}", "neither least nor most", "give at least one")


def _bands(duty: Duty, where: str) -> Iterator[Fault]:
    if not duty.bands:
        yield Fault("duty-band", where, "no band", "give at least one band of output speed with its weight")
    for band in duty.bands:
        here = f"{where}, band {band.low:g}-{band.high:g} rpm"
        if not 0.0 < band.low < band.high < math.inf:
            yield Fault("duty-band", here, "not two ascending speeds", "write the lower speed first, above 0 rpm")
        if not _positive(band.weight):
            yield Fault("duty-weight", here, f"weight {band.weight:g}", "give a weight above 0")
        if band.quantity not in ("power", "torque"):
            yield Fault("duty-quantity", here, repr(band.quantity), "use power or torque")
    if len({band.quantity for band in duty.bands}) > 1:
        yield Fault("duty-quantity", where, "bands of power and of torque", "use one quantity for all bands")


def _points(duty: Duty, where: str, *, load: bool) -> Iterator[Fault]:
    if not duty.points:
        yield Fault("duty-point", where, "no point", "give at least one speed")
    for point in duty.points:
        here = f"{where}, point at {point.rpm:g} rpm"
        if not _positive(point.rpm):
            yield Fault("duty-point", here, "no speed above 0", "give the output speed in rpm")
        if load and not 0.0 <= point.power < math.inf:
            yield Fault("duty-point", here, f"power {point.power:g} W", "give the power needed there, 0 or more")
        if not _positive(point.weight):
            yield Fault("duty-weight", here, f"weight {point.weight:g}", "give a weight above 0")


def _line(duty: Duty, where: str) -> Iterator[Fault]:
    yield from _points(duty, where, load=True)
    if duty.exponent is not None and not 0.0 <= duty.exponent <= 5.0:
        yield Fault("duty-exponent", where, f"{duty.exponent:g}", "use 3, 2.5, or 0 for a constant power")
    speeds = [point.rpm for point in duty.points]
    if duty.exponent is not None and speeds and max(speeds) > speeds[0]:
        yield Fault(
            "duty-point", where, "a speed above the rated point", "name the rated point first; it ends the line"
        )
    if duty.exponent is None and len(set(speeds)) < len(speeds):
        yield Fault("duty-point", where, "one speed twice", "give each speed of the load line once")
    if duty.points and all(point.power <= 0.0 for point in duty.points):
        yield Fault("duty-point", where, "no power is asked for", "give the power that the load takes")


def _histogram(duty: Duty, where: str) -> Iterator[Fault]:
    yield from _points(duty, where, load=False)


def _cycle(duty: Duty, where: str) -> Iterator[Fault]:
    if not any(point.power > 0.0 for point in duty.points):
        yield Fault("duty-point", where, "no loaded point", "make the duty from a published cycle and a rating")
    for point in duty.points:
        if point.power > 0.0 and not _positive(point.rpm):
            yield Fault("duty-point", where, f"{point.power:g} W at {point.rpm:g} rpm", "give the point's speed")


def _gears(duty: Duty, where: str) -> Iterator[Fault]:
    if len(duty.gears) < 2 or not all(map(_positive, duty.gears)):
        yield Fault("duty-gears", where, f"{len(duty.gears)} ratios", "give two or more gear ratios, above 0")
    elif any(after >= now for now, after in pairwise(duty.gears)):
        yield Fault("duty-gears", where, "ratios that do not fall", "give the ratios from first gear upwards")
    if duty.shift_rpm is None or not _positive(duty.shift_rpm):
        yield Fault("duty-shift", where, "no shift speed", "give the engine speed of each shift")
