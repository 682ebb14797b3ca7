"""What presses air into the engine: compressor, turbine, pulley, cooler."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, ClassVar, Literal

from pydantic import BeforeValidator

from fairpull.engine import drives
from fairpull.engine.form_types import Text, word
from fairpull.engine.parts.base import PartForm, disagree, fact
from fairpull.engine.sheet_quantities import (
    AIR_MASS_FLOW,
    FRACTION,
    PRESSURE_RATIO,
    SPEED,
    Drive,
    Fraction,
    GaugePressure,
    Length,
    Power,
    Speed,
    Volume,
)
from fairpull.engine.sheet_tables import Rows, Table
from fairpull.terms.build import Fact
from fairpull.terms.errors import Fault

_RATIO_TOLERANCE = 0.02

CompressorPoints = Annotated[
    Rows,
    Table(
        ("air flow", "pressure ratio", "efficiency", "speed"),
        (AIR_MASS_FLOW, PRESSURE_RATIO, FRACTION, SPEED),
        2,
    ),
]


class CompressorForm(PartForm):
    """A compressor, driven by belt, gears or a turbine."""

    design: Annotated[Literal["centrifugal", "screw", "roots", "vane", "piston"], BeforeValidator(word)]
    drive: Annotated[Literal["belt", "turbine"], BeforeValidator(word)] | None = None
    displacement: Volume | None = None
    impeller: Length | None = None
    inducer: Length | None = None
    drive_ratio: Drive = 1.0
    speed_limit: Speed | None = None
    drive_power: Power | None = None
    points: CompressorPoints | None = None

    def contradictions(self) -> list[Fault]:
        """A wheel has a diameter, rotors displace."""
        if self.design == "centrifugal" and self.displacement is not None:
            return [Fault("entries-disagree", "displacement", "a centrifugal wheel displaces nothing", "leave it out")]
        if self.design != "centrifugal" and (self.impeller is not None or self.inducer is not None):
            entry = "impeller" if self.impeller is not None else "inducer"
            return [Fault("entries-disagree", entry, f"a {self.design} compressor has no wheel", "leave it out")]
        return []

    def facts(self, written: Mapping[str, Any]) -> list[Fact]:
        """Tip speed at the maker's speed limit."""
        if self.impeller is None or self.speed_limit is None:
            return []
        speed = float(drives.tip_speed(self.impeller, self.speed_limit))
        return [fact("tip speed at the speed limit", speed, "m/s", "pi x impeller diameter x speed limit")]


class TurbineForm(PartForm):
    """A turbine and its gate."""

    design: Text = ""
    wheel: Length | None = None
    area_over_radius: Drive | None = None
    gate_opens: GaugePressure | None = None


class PulleyForm(PartForm):
    """Pulleys of a driven compressor."""

    NEEDS: ClassVar = (
        ("driving", "driven", 'driven = "3.2 in"'),
        ("driven", "driving", 'driving = "6.0 in"'),
    )

    driving: Length | None = None
    driven: Length | None = None
    ratio: Drive | None = None
    belt: Text = ""

    def contradictions(self) -> list[Fault]:
        """Diameters make a ratio."""
        made = self._made()
        if made is None or self.ratio is None or abs(made / self.ratio - 1.0) <= _RATIO_TOLERANCE:
            return []
        return [disagree("ratio", f"{self.ratio:.3f}, but the diameters make {made:.3f}")]

    def _made(self) -> float | None:
        if self.driving is None or self.driven is None:
            return None
        return float(drives.pulley_ratio(self.driving, self.driven))

    def facts(self, written: Mapping[str, Any]) -> list[Fact]:
        """Ratio from the diameters."""
        made = self._made()
        return [] if made is None else [fact("pulley ratio", made, "1", "driving / driven diameter, without slip")]


class CoolerForm(PartForm):
    """A charge cooler."""

    design: Text = ""
    effectiveness: Fraction | None = None
    pressure_loss: GaugePressure | None = None
    volume: Volume | None = None


FORMS = {"compressor": CompressorForm, "turbine": TurbineForm, "pulley": PulleyForm, "cooler": CoolerForm}
