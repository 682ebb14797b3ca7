"""The bare machine, as far as the main job needs it. All SI."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Fuel:
    """A fuel: stoichiometric air-fuel mass ratio [-], lower heating value [J/kg], liquid density [kg/m3]."""

    name: str
    stoichiometric: float
    heating_value: float
    density: float


@dataclass(frozen=True, slots=True)
class Engine:
    """Bore, stroke, rod [m]; cylinders; strokes per cycle (4 or 2); compression ratio [-]; parts as given.

    ``induction`` is "natural", "belt" (driven compressor), "turbo" or "turbo-held" (control holds absolute
    manifold pressure); ``ignition`` is "spark" or "compression". ``inertia`` is the rotating inertia of
    engine, coupling and brake rotor [kg m2], None when unknown. ``displacement`` [m3] is set where it was
    stated instead of bore and stroke; bore or stroke may then be NaN and cylinders 0, and whatever needs
    them is not computed.
    """

    name: str
    bore: float
    stroke: float
    cylinders: int
    rod: float | None = None
    strokes: int = 4
    compression_ratio: float | None = None
    fuel: Fuel | None = None
    induction: str = "natural"
    ignition: str = "spark"
    inertia: float | None = None
    parts: Mapping[str, str] = field(default_factory=dict)
    displacement: float | None = None
