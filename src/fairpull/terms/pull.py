"""One full-load sweep or series of held steps, and the curve drawn from it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from fairpull.terms.arrays import FloatArray
from fairpull.terms.findings import Finding
from fairpull.terms.recording import Conditions, Origin


@dataclass(frozen=True, slots=True)
class Air:
    """Air at the inlet, SI: total absolute pressure [Pa], temperature [K], water-vapour partial pressure [Pa]."""

    pressure: float
    temperature: float
    vapour_pressure: float


@dataclass(frozen=True, slots=True)
class Pull:
    """One full-load run, cut out of a recording and cleaned.

    Attributes:
        name: label, unique within a comparison (recording name, plus "#2" ... where a file held several).
        origin: the file it came from.
        kind: "sweep" or "steps".
        channels: glossary name -> values, shape (n,), only the rows of the pull; always has "rpm" and "torque".
            For "steps" each row is one held step's mean.
        first_row, last_row: rows of the recording, first included, last included.
        started_at: wall-clock time of the first row [s since 1970], or None when the log has no date.
        sweep_rate: median rate [rpm/s]; 0 for steps.
        given: conditions given by hand.
        valid_to: the pull counts up to this rpm only; None: to its end.
        findings, choices: as on the recording, with what cleaning added.
    """

    name: str
    origin: Origin
    kind: str
    channels: Mapping[str, FloatArray]
    first_row: int = 0
    last_row: int = 0
    started_at: float | None = None
    sweep_rate: float = 0.0
    given: Conditions = field(default_factory=Conditions)
    valid_to: float | None = None
    findings: tuple[Finding, ...] = ()
    choices: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Curve:
    """A pull on an rpm grid, observed values, with its standard error. NaN outside the tested range.

    Attributes:
        name: the pull's name.
        rpm: grid, shape (g,), ascending, equal steps.
        torque: observed torque [N m], shape (g,); NaN where untested.
        torque_se: standard error of the local regression [N m], shape (g,).
        channels: other channels on the same grid, glossary name -> shape (g,).
        tested: (lowest, highest) rpm of usable data.
        started_at: as on the pull.
        air: mean air of the pull, or None where weather is unknown.
        findings, choices: as on the pull.
    """

    name: str
    rpm: FloatArray
    torque: FloatArray
    torque_se: FloatArray
    channels: Mapping[str, FloatArray]
    tested: tuple[float, float]
    started_at: float | None = None
    air: Air | None = None
    findings: tuple[Finding, ...] = ()
    choices: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class DeclaredCurve:
    """A maker's rating or somebody else's table: shown beside measured builds, never counted as evidence.

    rpm and torque [N m] have shape (n,). ``standard`` is the key of the stated correction or "unstated";
    ``basis`` is "net", "gross" or "unstated".
    """

    name: str
    origin: Origin
    rpm: FloatArray
    torque: FloatArray
    standard: str = "unstated"
    basis: str = "unstated"
    findings: tuple[Finding, ...] = ()
