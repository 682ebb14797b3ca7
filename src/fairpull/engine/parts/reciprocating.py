"""Valve springs and pistons."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from fairpull.engine import valve_springs
from fairpull.engine.form_types import Text
from fairpull.engine.parts.base import PartForm, disagree, fact
from fairpull.engine.sheet_quantities import Force, Length, Stiffness, Thin, Volume, Weight
from fairpull.terms.build import Fact
from fairpull.terms.errors import Fault

_RATE_TOLERANCE = 0.15  # a spring is stiffer near its ends, and cards are rounded


class SpringsForm(PartForm):
    """Valve springs, one valve's set as installed."""

    NEEDS: ClassVar = (
        ("seat_load", "seat_height", 'seat_height = "1.700 in"'),
        ("open_load", "open_height", 'open_height = "1.250 in"'),
    )

    seat_load: Force | None = None
    seat_height: Length | None = None
    open_load: Force | None = None
    open_height: Length | None = None
    rate: Stiffness | None = None
    coil_bind: Length | None = None
    retainer_weight: Weight | None = None
    valve_weight: Weight | None = None
    design: Text = ""

    def contradictions(self) -> list[Fault]:
        """Heights out of order, loads against rate."""
        faults = []
        if self.seat_height and self.open_height and self.open_height >= self.seat_height:
            seen = f"{self.open_height * 1e3:.1f} mm, not less than the seat height {self.seat_height * 1e3:.1f} mm"
            faults.append(disagree("open_height", seen))
        if self.coil_bind and self.seat_height and self.coil_bind >= self.seat_height:
            seen = f"{self.coil_bind * 1e3:.1f} mm, not less than the seat height {self.seat_height * 1e3:.1f} mm"
            faults.append(disagree("coil_bind", seen))
        made = None if faults else self._rate()
        if made is not None and self.rate is not None and abs(made / self.rate - 1.0) > _RATE_TOLERANCE:
            seen = f"{self.rate / 1e3:.1f} N/mm, but loads and heights make {made / 1e3:.1f} N/mm"
            faults.append(disagree("rate", seen))
        return faults

    def _rate(self) -> float | None:
        if self.seat_load is None or self.open_load is None or self.seat_height is None or self.open_height is None:
            return None
        return float(valve_springs.spring_rate(self.seat_load, self.open_load, self.seat_height - self.open_height))

    def facts(self, written: Mapping[str, Any]) -> list[Fact]:
        """Rate, open load and coil-bind margin at the heights of the card."""
        found = []
        made = self._rate()
        if made is not None and self.rate is None:
            found.append(fact("spring rate", made, "N/m", "(open load - seat load) / (seat height - open height)"))
        if self.seat_height is None or self.open_height is None:
            return found
        travel = self.seat_height - self.open_height
        if self.open_load is None and self.seat_load is not None and self.rate is not None:
            load = float(valve_springs.spring_load(self.seat_load, self.rate, travel))
            found.append(fact("open load", load, "N", "seat load + rate x (seat height - open height)"))
        if self.coil_bind is not None:
            margin = float(valve_springs.coil_bind_margin(self.seat_height, travel, self.coil_bind))
            found.append(fact("coil-bind margin at open height", margin, "m", "open height - coil bind"))
        return found


class PistonForm(PartForm):
    """Pistons, one of the set."""

    dome: Volume | None = None
    dish: Volume | None = None
    deck_clearance: Thin | None = None
    compression_height: Length | None = None
    weight: Weight | None = None
    pin_weight: Weight | None = None
    rod_weight: Weight | None = None
    wall_clearance: Thin | None = None
    rings: Text = ""
    ring_gaps: Text = ""
    material: Text = ""


FORMS = {"springs": SpringsForm, "piston": PistonForm}
