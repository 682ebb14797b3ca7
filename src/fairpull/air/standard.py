"""What a correction standard is: formula, reference air, limits, and how far its text was verified."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from fairpull.terms.arrays import Number

INDUCTIONS = ("natural", "belt", "turbo", "turbo-held")
IGNITIONS = ("spark", "compression")


@dataclass(frozen=True, slots=True)
class Case:
    """Everything a factor may depend on: the air, and as much of the engine as some standard asks for.

    Attributes:
        pressure: total absolute pressure at the inlet, scalar or shape (n,) [Pa].
        temperature: inlet air, scalar or shape (n,) [K].
        vapour_pressure: scalar or shape (n,) [Pa].
        induction: one of INDUCTIONS.
        ignition: one of IGNITIONS.
        fuel_per_cycle: fuel mass for each cycle and swept volume [kg/m3]; 1 mg/(l cycle) is 0.001 kg/m3.
        pressure_ratio: absolute manifold pressure over ambient pressure [1].
        mechanical_efficiency: of the engine [1], where a standard asks for it; None: that standard's default.
        coolant_temperature: of the charge cooler's coolant [K]; None: as in the reference.
    """

    pressure: Number
    temperature: Number
    vapour_pressure: Number
    induction: str = "natural"
    ignition: str = "spark"
    fuel_per_cycle: Number | None = None
    pressure_ratio: Number | None = None
    mechanical_efficiency: float | None = None
    coolant_temperature: float | None = None

    @property
    def dry_pressure(self) -> Number:
        """Dry pressure [Pa]."""
        return self.pressure - self.vapour_pressure

    @property
    def corrected_fuel(self) -> Number:
        """Fuel for each cycle and swept volume over pressure ratio, ``qc`` [kg/m3]; NaN where unknown."""
        fuel = float("nan") if self.fuel_per_cycle is None else self.fuel_per_cycle
        return fuel / (1.0 if self.pressure_ratio is None else self.pressure_ratio)

    @property
    def charged(self) -> bool:
        """True for an engine with a compressor of any kind."""
        return self.induction != "natural"


@dataclass(frozen=True, slots=True)
class Limit:
    """A range outside which a standard does not want its factor used.

    Attributes:
        quantity: "factor", "temperature" or "dry pressure".
        low, high: in the house unit.
        status: how far the limit was verified: "second-hand" or "memory".
        ignition: "spark", "compression", or "" for both.
    """

    quantity: str
    low: float
    high: float
    status: str
    ignition: str = ""


@dataclass(frozen=True, slots=True)
class Standard:
    """One convention for bringing power measured in one air to another air.

    Attributes:
        key: name on the command line and in results.
        title: what it is called.
        reference: the reference air, as readable text.
        formula: the factor, as readable text.
        factor: the factor itself, for scalars and arrays.
        limits: where it may be used.
        charged: how pressure-charged engines are treated, as readable text.
        charged_covered: True where the formula is meant for pressure-charged spark-ignition engines too.
        compression: "own" (has its own formula for compression ignition), "own, needs fuel", "own, needs
            efficiency", "none" (spark only; the same factor is given with a finding) or "unread" (refused).
        sources: keys of terms/sources.py.
    """

    key: str
    title: str
    reference: str
    formula: str
    factor: Callable[[Case], Number]
    limits: tuple[Limit, ...]
    charged: str
    charged_covered: bool
    compression: str
    sources: tuple[str, ...]
