"""What mixes and burns: carburettor, jets, injectors, fuel."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Annotated, Any, ClassVar

from pydantic import AfterValidator

from fairpull.engine import ports
from fairpull.engine.form_types import Count, Ratio, Text, fuel_name
from fairpull.engine.fuels import ALSO, FUELS
from fairpull.engine.parts.base import PartForm, fact
from fairpull.engine.sheet_quantities import (
    AirFlow,
    Density,
    Depression,
    Fraction,
    FuelPressure,
    HeatingValue,
    Length,
    LiquidFlow,
    MassFlow,
    Octane,
)
from fairpull.terms.build import Fact
from fairpull.terms.engine import Fuel
from fairpull.terms.errors import Fault


class CarburettorForm(PartForm):
    """A carburettor with the depression that its flow is rated at."""

    NEEDS: ClassVar = (
        ("flow", "depression", 'depression = "3.0 inHg" (usual for one and two barrels) or "1.5 inHg" (four)'),
    )

    flow: AirFlow | None = None
    depression: Depression | None = None
    barrels: Count | None = None
    count: Count = 1
    venturi: Length | None = None
    bore: Length | None = None
    float_level: Text = ""
    power_circuit: Text = ""
    fuel_pressure: FuelPressure | None = None

    def facts(self, written: Mapping[str, Any]) -> list[Fact]:
        """Flow of all of them at the rating of four-barrel carburettors."""
        if self.flow is None or self.depression is None:
            return []
        flow = float(ports.flow_at_pressure_drop(self.flow, self.depression, ports.CARBURETTOR_DEPRESSION))
        how = f"flow x sqrt(1.5 inHg / {written.get('depression')}) x count"
        return [fact("carburettor flow at 1.5 inHg", flow * self.count, "m3/s", how)]


class JetsForm(PartForm):
    """Jets by what they feed, each as its maker stamps it, or a size with a unit."""

    main: Text = ""
    secondary: Text = ""
    idle: Text = ""
    power: Text = ""
    pump: Text = ""
    air: Text = ""
    emulsion: Text = ""
    needle: Text = ""


class InjectorsForm(PartForm):
    """Injectors with the pressure at which their flow is stated."""

    NEEDS: ClassVar = (
        ("mass_flow", "pressure", 'pressure = "43.5 psi"'),
        ("volume_flow", "pressure", 'pressure = "3 bar"'),
    )

    mass_flow: MassFlow | None = None
    volume_flow: LiquidFlow | None = None
    pressure: FuelPressure | None = None
    running_pressure: FuelPressure | None = None
    count: Count | None = None
    duty_limit: Fraction = 0.85

    def contradictions(self) -> list[Fault]:
        """One flow is enough."""
        if self.mass_flow is None or self.volume_flow is None:
            return []
        density = self.mass_flow / self.volume_flow
        if 600.0 <= density <= 900.0:
            return []
        seen = f"with mass_flow it makes a density of {density:.0f} kg/m3"
        return [Fault("entries-disagree", "volume_flow", seen, "give one of the two flows")]

    def facts(self, written: Mapping[str, Any]) -> list[Fact]:
        """Flow at the pressure that they run at."""
        if self.pressure is None or self.running_pressure is None:
            return []
        how = f"stated flow x sqrt({written.get('running_pressure')} / {written.get('pressure')})"
        return [
            fact(
                f"injector {name} at running pressure",
                float(ports.flow_at_pressure_drop(flow, self.pressure, self.running_pressure)),
                unit,
                how,
            )
            for name, unit, flow in (("mass flow", "kg/s", self.mass_flow), ("volume flow", "m3/s", self.volume_flow))
            if flow is not None
        ]


class FuelPartForm(PartForm):
    """A fuel: one that is known by name, or its figures, or both."""

    fuel: Annotated[str, AfterValidator(fuel_name)] | None = None
    stoichiometric: Ratio | None = None
    heating_value: HeatingValue | None = None
    density: Density | None = None
    research_octane: Octane | None = None
    motor_octane: Octane | None = None
    ethanol: Fraction | None = None
    batch: Text = ""

    def contradictions(self) -> list[Fault]:
        """Without a known fuel's name its figures must stand here: lambda and efficiency need them."""
        if self.fuel is not None:
            return []
        remedy = 'give fuel = "petrol" or another known fuel, or stoichiometric, heating_value and density of this one'
        return [
            Fault("entry-missing", entry, "not given, and no known fuel is named", remedy)
            for entry in ("stoichiometric", "heating_value", "density")
            if getattr(self, entry) is None
        ]

    def facts(self, written: Mapping[str, Any]) -> list[Fact]:
        """What the known fuel of that name adds, and the energy that a kilogram of air can release."""
        row = FUELS.get(ALSO.get(self.fuel or "", self.fuel or ""))
        found = []
        whole = fuel_of_data(self.data(), self.name)
        if row is not None:
            for name, unit in (("stoichiometric", "1"), ("heating_value", "J/kg"), ("density", "kg/m3")):
                value = getattr(whole, name)
                if getattr(self, name) is None and math.isfinite(value):
                    how = f"table of known fuels, {row.fuel.name}: {row.note}"
                    found.append(fact(name.replace("_", " "), value, unit, how, row.source))
        energy = whole.heating_value / whole.stoichiometric
        if math.isfinite(energy):
            how = "heating value / stoichiometric air-fuel ratio"
            found.append(fact("energy for each mass of air", energy, "J/kg", how))
        return found


def fuel_of_data(data: Mapping[str, Any], name: str) -> Fuel:
    """The fuel that a fuel part stands for.

    Args:
        data: the part's entries in house units.
        name: of the part.

    Returns:
        The fuel; what neither the sheet nor the table of known fuels holds is NaN.
    """
    known = str(data.get("fuel", ""))
    row = FUELS.get(ALSO.get(known, known))
    base = row.fuel if row is not None else Fuel(name, math.nan, math.nan, math.nan)
    return Fuel(
        name or base.name,
        data.get("stoichiometric", base.stoichiometric),
        data.get("heating_value", base.heating_value),
        data.get("density", base.density),
    )


FORMS = {"carburettor": CarburettorForm, "jets": JetsForm, "injectors": InjectorsForm, "fuel": FuelPartForm}
