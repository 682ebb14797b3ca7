"""One kept pull with everything that its page shows: what the book keeps, and what is worked out from its trace."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from fairpull.terms.bench import Attachment, KeptPull, Mark, Remark
from fairpull.terms.comparison import Derived
from fairpull.terms.errors import Fault
from fairpull.terms.health import Sign
from fairpull.terms.pull import Air, Curve, Pull

AIR_PATH = ("torque", "manifold_pressure", "boost", "air_mass_flow")
MIXTURE = ("lambda", "air_fuel_ratio", "air_mass_flow", "fuel_mass_flow")

CONCERNS: Mapping[str, tuple[str, ...]] = {
    "valve-float": ("torque", "power", "air_mass_flow"),
    "misfire": ("torque", "power", "rpm", "lambda", "exhaust_temperature"),
    "fuel-starvation": ("torque", "fuel_pressure", "fuel_mass_flow", "lambda", "air_fuel_ratio", "injector_duty"),
    "knock": ("knock", "spark_advance"),
    "mixture-rich": MIXTURE,
    "mixture-lean": MIXTURE,
    "belt-slip": ("blower_rpm", "boost", "manifold_pressure"),
    "boost-creep": ("boost", "manifold_pressure"),
    "boost-shortfall": ("boost", "manifold_pressure", "turbine_rpm"),
    "exhaust-restriction": ("exhaust_pressure", "torque", "air_mass_flow"),
    "intake-restriction": ("manifold_pressure", "barometer"),
    "low-cylinder": ("exhaust_temperature", "torque"),
    "heat-soak": (
        *("torque", "oil_temperature", "coolant_out", "coolant_in", "inlet_temperature"),
        "charge_temperature_after_cooler",
    ),
    "torque-zero": ("torque", "power"),
    "torque-span": ("torque", "power"),
    "speed-pickup": ("rpm", "air_mass_flow", "fuel_mass_flow", "lambda"),
    "wrong-barometer": ("barometer", "manifold_pressure"),
    "flow-lambda-disagreement": MIXTURE,
    "reversion": ("lambda", "torque", "air_mass_flow"),
    "oil-out-of-window": ("oil_temperature",),
    "coolant-out-of-window": ("coolant_out", "coolant_in"),
    "brake-water-hot": ("brake_outlet_temperature",),
    "peak-at-end": ("torque", "power"),
    "sweep-too-fast": ("rpm", "torque", "lambda"),
}
"""Kind of sign -> the channels that its detector reads it from; numbered ones are meant with their plain name."""


@dataclass(frozen=True, slots=True)
class Making:
    """How a pull's correction factor was made.

    Attributes:
        standard: key of the standard; "none" where nothing is corrected.
        title, formula, reference: of the standard, as readable text.
        sources: keys of terms/sources.py.
        air: mean air of the pull; None where it is not known.
        engine: induction and ignition that the factor was made for, in words; "" where no engine is known.
        factor: as kept with the pull.
    """

    standard: str
    title: str
    formula: str
    reference: str
    sources: tuple[str, ...]
    air: Air | None
    engine: str
    factor: float


@dataclass(frozen=True, slots=True)
class Earlier:
    """An earlier counted pull of the same build: its curve up to where it counts, and its correction factor."""

    curve: Curve
    factor: float
    trace: Pull


@dataclass(frozen=True, slots=True)
class PullPage:
    """What the page of a pull shows.

    Attributes:
        line: everything that the catalogue says of it.
        marks: every judgement, oldest first.
        notes, papers: remarks and attachments beside it.
        making: how its correction factor was made.
        against: the reference of its build, "" where the build names none.
        before, after: names of the pulls that ran before and after it that day; "" where there is none.
        trace: its channels; None where the trace cannot be read.
        counted: its observed curve as far as it counts; None where there are too few samples for one.
        whole: its observed curve to its end, where it counts up to a speed only; else None.
        derived: quantities from channels and engine on the rpm of ``counted``, observed.
        earlier: earlier counted pulls of the same build, oldest first; empty unless they were asked for.
        faults: what could not be shown, and why.
    """

    line: KeptPull
    marks: tuple[Mark, ...]
    notes: tuple[Remark, ...]
    papers: tuple[Attachment, ...]
    making: Making
    against: str = ""
    before: str = ""
    after: str = ""
    trace: Pull | None = None
    counted: Curve | None = None
    whole: Curve | None = None
    derived: Mapping[str, Derived] = field(default_factory=dict)
    earlier: tuple[Earlier, ...] = ()
    faults: tuple[Fault, ...] = ()

    @property
    def signs(self) -> tuple[Sign, ...]:
        """What the detectors saw when it was taken in, most severe first; their order numbers them on the page."""
        return () if self.line.health is None else self.line.health.signs
