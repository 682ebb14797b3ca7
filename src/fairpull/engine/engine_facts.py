"""What follows from an engine's sheet alone, and from the speed at which it made its power."""

from __future__ import annotations

import math

from fairpull.engine.geometry import bore_volume, displacement_of, mean_piston_speed, rod_ratio, rpm_at_piston_speed
from fairpull.terms.build import Fact
from fairpull.terms.engine import Engine
from fairpull.terms.units import to_house

PISTON_SPEEDS = (
    ("low: cruises at it all day", to_house(2500.0, "ft/min", "m/s")),
    ("as in production engines", to_house(4000.0, "ft/min", "m/s")),
    ("high: well-built engines", 25.0),
)
"""Class of a mean piston speed and the speed that it reaches up to [m/s]; above the last: racing. Source: practice."""
FASTEST = "very high: racing only"
_BANDS = "2,500 ft/min and less all day, production engines below 4,000 ft/min, well-built ones to 25 m/s"


def piston_speed_class(speed: float) -> str:
    """What the trade makes of a mean piston speed.

    Args:
        speed: mean piston speed [m/s].

    Returns:
        The class in words. It says what is usual, not what an engine stands.

    Source: practice (no source; trade pages put production engines below 4000 ft/min and well-built ones at 20 to
    25 m/s).
    """
    return next((name for name, most in PISTON_SPEEDS if speed <= most), FASTEST)


def stroke_over_bore(stroke: float, bore: float) -> float:
    """Stroke over bore; 1 is square.

    Args:
        stroke: [m].
        bore: above zero [m].

    Returns:
        Ratio [1].

    Source: practice (definition).
    """
    return stroke / bore


def engine_facts(
    engine: Engine, volumes_ratio: float | None = None, peaks: tuple[tuple[str, float], ...] = ()
) -> list[Fact]:
    """All facts of an engine's sheet.

    Args:
        engine: as read.
        volumes_ratio: compression ratio from the volumes on the sheet [1]; None where it holds none.
        peaks: what happened at a speed, and the speed [rpm], e.g. ("peak power of anvil-log", 4350).

    Returns:
        Facts with formula and source; whatever lacks an entry is left out.
    """
    found = []

    def add(name: str, value: float | str, unit: str, how: str, source: str = "practice") -> None:
        if isinstance(value, str) or math.isfinite(value):
            found.append(Fact(name, value, unit, f"{how}; source: {source}"))

    if engine.displacement is None:
        add("displacement", displacement_of(engine), "m3", "pi / 4 x bore squared x stroke x cylinders")
    if engine.cylinders:
        how = "displacement / cylinders" if engine.displacement else "pi / 4 x bore squared x stroke"
        add("displacement of one cylinder", displacement_of(engine) / engine.cylinders, "m3", how)
    if volumes_ratio is not None:
        how = "(swept + clearance volume) / clearance volume; clearance = chamber + gasket + deck + dish - dome"
        add("compression ratio from volumes", volumes_ratio, "1", how)
        if engine.cylinders:
            swept = displacement_of(engine) / engine.cylinders
            add("clearance volume of one cylinder", swept / (volumes_ratio - 1.0), "m3", "sum of the volumes")
    found += _of_stroke(engine, peaks)
    return found


def _of_stroke(engine: Engine, peaks: tuple[tuple[str, float], ...]) -> list[Fact]:
    stroke, bore = engine.stroke, engine.bore
    found: list[Fact] = []
    if not math.isfinite(stroke):
        return found
    if math.isfinite(bore):
        how = "stroke / bore; source: practice"
        found.append(Fact("stroke over bore", stroke_over_bore(stroke, bore), "1", how))
        area = float(bore_volume(bore, 1.0))
        found.append(Fact("piston area", area, "m2", "pi / 4 x bore squared; source: practice"))
    if engine.rod is not None:
        how = "rod / stroke; 1.5 to 1.8 is usual; source: practice"
        found.append(Fact("rod ratio", float(rod_ratio(engine.rod, stroke)), "1", how))
    for what, rpm in peaks:
        speed = float(mean_piston_speed(stroke, rpm))
        how = f"2 x stroke x {rpm:,.0f} rpm; source: practice"
        found.append(Fact(f"mean piston speed at {what}", speed, "m/s", how))
        found.append(
            Fact(f"its class at {what}", piston_speed_class(speed), "", f"what is usual: {_BANDS}; source: practice")
        )
    rpm = float(rpm_at_piston_speed(stroke, PISTON_SPEEDS[1][1]))
    how = "60 x 20.32 m/s / (2 x stroke); source: practice"
    found.append(Fact("speed at 4000 ft/min mean piston speed", rpm, "rpm", how))
    return found
