"""What a log file held, and the air it was made in, before anybody judged it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from fairpull.terms.arrays import FloatArray
from fairpull.terms.findings import Finding


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a recording came from: enough to find the bytes again and to say how they were understood."""

    path: str
    sha256: str
    format: str  # name of the log format, e.g. "delimited"
    reason: str  # why the sniffer took it, or "named by the person"
    detail: str = ""  # encoding, delimiter, sheet: one readable line


@dataclass(frozen=True, slots=True)
class Mapped:
    """How one column became a channel."""

    column: str  # name as it stood in the file
    unit: str  # unit as it stood or was assumed
    channel: str | None  # glossary name; None when it was left aside
    how: str  # "exact", "guessed", "person" (channels.toml), "option"
    reason: str


@dataclass(frozen=True, slots=True)
class Conditions:
    """The air of a pull as far as it is known, SI; None where nobody said. At most one humidity is needed.

    pressure: absolute station pressure [Pa]; temperature: inlet air [K]; relative_humidity: fraction;
    dew_point, wet_bulb [K]; vapour_pressure [Pa].
    """

    pressure: float | None = None
    temperature: float | None = None
    relative_humidity: float | None = None
    dew_point: float | None = None
    wet_bulb: float | None = None
    vapour_pressure: float | None = None


@dataclass(frozen=True, slots=True)
class Recording:
    """A log file's content, channel by channel.

    Attributes:
        name: short label, normally the file's stem (plus the value of --by).
        origin: where it came from.
        channels: glossary name -> values in the glossary's unit, each of shape (n,); NaN where missing.
        extra: columns that are numeric but not in the glossary, under their own names, as they stood.
        mapped: one row per column of the file.
        kind: "trace" (a clock column, many samples) or "table" (speed and torque rows without a clock).
        started_at: wall-clock time of the first row, seconds since 1970-01-01 UTC (local time taken as UTC), or None.
        given: conditions given by hand (option or conditions.toml); logged channels are in ``channels``.
        findings: what a tester should know about this reading.
        choices: what was chosen or assumed, name -> value, as readable text.
    """

    name: str
    origin: Origin
    channels: Mapping[str, FloatArray]
    extra: Mapping[str, FloatArray] = field(default_factory=dict)
    mapped: tuple[Mapped, ...] = ()
    kind: str = "trace"
    started_at: float | None = None
    given: Conditions = field(default_factory=Conditions)
    findings: tuple[Finding, ...] = ()
    choices: Mapping[str, str] = field(default_factory=dict)
