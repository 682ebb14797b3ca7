"""What the engine breathes through: intake, throttle, exhaust."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, ClassVar, Literal

from pydantic import BeforeValidator

from fairpull.engine import tuned_lengths
from fairpull.engine.form_types import Count, Text, word
from fairpull.engine.parts.base import PartForm, disagree, fact
from fairpull.engine.sheet_quantities import (
    AirFlow,
    Depression,
    GaugePressure,
    Length,
    PipeLength,
    PortArea,
    Speed,
    Thin,
    Volume,
)
from fairpull.terms.build import Fact
from fairpull.terms.errors import Fault

_AREA_TOLERANCE = 0.05


class IntakeForm(PartForm):
    """Intake manifold: runners from port to plenum."""

    design: Text = ""
    runner_length: PipeLength | None = None
    runner_diameter: Length | None = None
    runner_area: PortArea | None = None
    plenum_volume: Volume | None = None

    def contradictions(self) -> list[Fault]:
        """A round runner has one area."""
        if self.runner_diameter is None or self.runner_area is None:
            return []
        made = float(tuned_lengths.pipe_area(self.runner_diameter))
        if abs(made / self.runner_area - 1.0) <= _AREA_TOLERANCE:
            return []
        seen = f"{self.runner_area * 1e4:.2f} cm2, but the diameter makes {made * 1e4:.2f} cm2"
        return [disagree("runner_area", seen)]

    def facts(self, written: Mapping[str, Any]) -> list[Fact]:
        """Area, volume, and the speeds that the length is tuned for."""
        found = []
        area = self.runner_area
        if area is None and self.runner_diameter is not None:
            area = float(tuned_lengths.pipe_area(self.runner_diameter))
            found.append(fact("runner area", area, "m2", "pi / 4 x diameter squared"))
        if self.runner_length is not None:
            if area is not None:
                found.append(fact("runner volume", area * self.runner_length, "m3", "area x length"))
            for harmonic in (3.0, 4.0, 5.0):
                rpm = float(tuned_lengths.rpm_of_runner_length(self.runner_length, harmonic))
                how = f"30 c / (L x {harmonic:.0f}) with c = 365 m/s; L from port face, add the port's own length"
                found.append(fact(f"runner tuned speed, wave {harmonic:.0f}", rpm, "rpm", how, "runner-rule"))
        return found


class ThrottleForm(PartForm):
    """Throttle bodies."""

    NEEDS: ClassVar = (("flow", "depression", 'depression = "28 inH2O"'),)

    diameter: Length | None = None
    count: Count = 1
    flow: AirFlow | None = None
    depression: Depression | None = None

    def facts(self, written: Mapping[str, Any]) -> list[Fact]:
        """Area of all bores."""
        if self.diameter is None:
            return []
        area = self.count * float(tuned_lengths.pipe_area(self.diameter))
        return [fact("throttle area", area, "m2", "pi / 4 x diameter squared x count")]


class ExhaustForm(PartForm):
    """Exhaust from port to the room."""

    design: Annotated[Literal["log", "tubular", "cast", "stepped"], BeforeValidator(word)] | None = None
    primary_diameter: Length | None = None
    primary_wall: Thin | None = None
    primary_length: PipeLength | None = None
    collector_diameter: Length | None = None
    collector_length: PipeLength | None = None
    pairing: Text = ""
    muffler: Text = ""
    back_pressure: GaugePressure | None = None
    back_pressure_at: Speed | None = None

    def contradictions(self) -> list[Fault]:
        """A pipe's walls leave room inside."""
        if self.primary_wall and self.primary_diameter and 2.0 * self.primary_wall >= self.primary_diameter:
            return [disagree("primary_wall", f"{self.primary_wall * 1e3:.1f} mm leaves nothing of the diameter")]
        return []

    def facts(self, written: Mapping[str, Any]) -> list[Fact]:
        """Area and volume of a primary, collector against primary."""
        found = []
        if self.primary_diameter is not None:
            area = float(tuned_lengths.pipe_area(self.primary_diameter, self.primary_wall or 0.0))
            inside = "less two walls" if self.primary_wall else "taken as the inside, no wall is given"
            found.append(fact("primary area", area, "m2", f"pi / 4 x diameter squared, diameter {inside}"))
            if self.primary_length is not None:
                found.append(fact("primary volume", area * self.primary_length, "m3", "primary area x length"))
        if self.primary_length is not None and self.collector_length is not None:
            ratio = self.collector_length / self.primary_length
            how = "collector length / primary length; 0.4 to 0.6 is usual"
            found.append(fact("collector over primary length", ratio, "1", how))
        return found


FORMS = {"intake": IntakeForm, "throttle": ThrottleForm, "exhaust": ExhaustForm}
