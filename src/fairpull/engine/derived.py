"""What an engine and the channels of a curve yield together: BMEP, breathing, mixture, efficiency."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from fairpull.engine.flows import (
    bsac,
    bsfc,
    lambda_from_air_fuel_ratio,
    lambda_from_flows,
    thermal_efficiency,
    volumetric_efficiency,
)
from fairpull.engine.geometry import displacement_of, mean_piston_speed
from fairpull.engine.output import bmep, power_from_torque
from fairpull.terms.arrays import FloatArray, Number
from fairpull.terms.engine import Engine
from fairpull.terms.findings import Finding, Severity

LAMBDA_AGREEMENT = 0.03  # practice: flows against sensor within 3 % is good


@dataclass(frozen=True, slots=True)
class DerivedColumn:
    """A computed column: name, house unit, values of shape (n,), and how it was made."""

    name: str
    unit: str
    values: FloatArray
    how: str


@dataclass(frozen=True, slots=True)
class Derived:
    """All columns that engine and channels allow, name -> column, with findings."""

    columns: Mapping[str, DerivedColumn]
    findings: tuple[Finding, ...] = ()


def derive(
    engine: Engine,
    channels: Mapping[str, FloatArray],
    *,
    reference_density: float | None = None,
    reference_name: str = "",
) -> Derived:
    """Compute every column that engine and channels allow, from observed values.

    Args:
        engine: the machine.
        channels: glossary name -> values of shape (n,), house units; "rpm" and "torque" at least.
        reference_density: of the air that volumetric efficiency refers to [kg/m3]; None: it is not computed.
        reference_name: what that air is, such as "the room" or "the manifold"; shown with the column.

    Returns:
        The columns and findings. A channel that is missing leaves its columns out.
    """
    builder = _Builder(engine, channels)
    builder.output()
    builder.breathing(reference_density, reference_name)
    builder.fuel()
    builder.mixture()
    return Derived(builder.columns, tuple(builder.findings))


class _Builder:
    def __init__(self, engine: Engine, channels: Mapping[str, FloatArray]) -> None:
        self.engine, self.channels = engine, channels
        self.rpm, self.torque = channels["rpm"], channels["torque"]
        self.displacement = displacement_of(engine)
        self.columns: dict[str, DerivedColumn] = {}
        self.findings: list[Finding] = []
        power = np.asarray(power_from_torque(self.torque, self.rpm), dtype=np.float64)
        self.pulling = np.where(power > 0.0, power, np.nan)  # specific figures mean nothing at or below no load
        self.air = channels.get("air_mass_flow")
        self.fuel_flow = self._fuel_flow()

    def _fuel_flow(self) -> FloatArray | None:
        if "fuel_mass_flow" in self.channels:
            return self.channels["fuel_mass_flow"]
        if "fuel_volume_flow" not in self.channels:
            return None
        if "fuel_density" in self.channels:
            return self.channels["fuel_volume_flow"] * self.channels["fuel_density"]
        if self.engine.fuel is None or not np.isfinite(self.engine.fuel.density):
            return None
        density = self.engine.fuel.density
        self.findings.append(
            Finding(
                "fuel-density-assumed",
                Severity.WARNING,
                "fuel_volume_flow",
                f"Fuel density was not logged; {density:.0f} kg/m3 of {self.engine.fuel.name} is assumed.",
                "Measure the fuel's density on the day, or give it in the engine file.",
            )
        )
        return self.channels["fuel_volume_flow"] * density

    def _add(self, name: str, unit: str, values: Number, how: str) -> None:
        array = np.asarray(values, dtype=np.float64)
        if np.isfinite(array).any():
            self.columns[name] = DerivedColumn(name, unit, array, how)

    def output(self) -> None:
        strokes = self.engine.strokes
        litres = f"{self.displacement * 1e3:.3f} L"
        self._add(
            "bmep",
            "Pa",
            bmep(self.torque, self.displacement, strokes),
            f"observed torque, {litres}, {strokes} strokes",
        )
        self._add("torque_per_displacement", "N m/m3", self.torque / self.displacement, f"observed torque, {litres}")
        self._add(
            "mean_piston_speed",
            "m/s",
            mean_piston_speed(self.engine.stroke, self.rpm),
            "2 x stroke x shaft speed",
        )

    def breathing(self, density: float | None, name: str) -> None:
        if self.air is None:
            return
        self._add("bsac", "kg/J", bsac(self.air, self.pulling), "air flow over observed power")
        if density is not None:
            values = volumetric_efficiency(self.air, self.displacement, self.rpm, density, self.engine.strokes)
            how = f"air flow over displacement filled at {density:.4f} kg/m3"
            self._add("volumetric_efficiency", "1", values, f"{how} ({name})" if name else how)

    def fuel(self) -> None:
        if self.fuel_flow is None:
            return
        specific = bsfc(self.fuel_flow, self.pulling)
        self._add("bsfc", "kg/J", specific, "fuel flow over observed power")
        fuel = self.engine.fuel
        if fuel is not None:
            self._add(
                "thermal_efficiency",
                "1",
                thermal_efficiency(specific, fuel.heating_value),
                f"observed power over fuel flow x {fuel.heating_value / 1e6:.2f} MJ/kg ({fuel.name})",
            )

    def mixture(self) -> None:
        fuel = self.engine.fuel
        sensor = self._lambda_from_sensor()
        if self.air is None or self.fuel_flow is None or fuel is None:
            return
        burning = np.where(self.fuel_flow > 0.0, self.fuel_flow, np.nan)
        flows = np.asarray(lambda_from_flows(self.air, burning, fuel.stoichiometric), dtype=np.float64)
        self._add("lambda_from_flows", "1", flows, f"air over fuel over {fuel.stoichiometric:.2f} ({fuel.name})")
        if sensor is None or not np.isfinite(flows / sensor).any():
            return
        self._add("lambda_flows_over_sensor", "1", flows / sensor, "lambda from flows over lambda from the sensor")
        off = float(np.nanmean(flows / sensor)) - 1.0
        if abs(off) > LAMBDA_AGREEMENT:
            self.findings.append(_mixture_finding(off))

    def _lambda_from_sensor(self) -> FloatArray | None:
        for base in ("lambda", "air_fuel_ratio"):
            names = [name for name in self.channels if name == base or _numbered(name, base)]
            if not names:
                continue
            mean = np.mean([self.channels[name] for name in names], axis=0)
            if base == "lambda":
                return np.asarray(mean, dtype=np.float64)
            if self.engine.fuel is not None:
                return np.asarray(lambda_from_air_fuel_ratio(mean, self.engine.fuel.stoichiometric), dtype=np.float64)
        return None


def _numbered(name: str, base: str) -> bool:
    return name.startswith(f"{base}_") and name.removeprefix(f"{base}_").isdigit()


def _mixture_finding(off: float) -> Finding:
    if off < 0.0:
        cause = "the sensor reads leaner: look for a misfire, an exhaust leak ahead of the sensor, or reversion"
    else:
        cause = "the flows read leaner: look for an air leak after the meter's place or a fuel-meter error"
    return Finding(
        "lambda-flows-against-sensor",
        Severity.WARNING,
        "lambda",
        f"Lambda from flows lies {100.0 * off:+.1f} % off lambda from the sensor; {cause}.",
        "Check meters and sensor before using either for a mixture decision.",
    )
