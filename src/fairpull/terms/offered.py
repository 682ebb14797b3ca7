"""What was recognised in files that were offered to the book, before anything of them is kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from fairpull.terms.errors import Fault
from fairpull.terms.findings import Finding


@dataclass(frozen=True, slots=True)
class OfferedColumn:
    """One column of an offered file.

    Attributes:
        column, unit, channel, how, reason: as on ``Mapped``; channel is None where it is left aside.
        low, high: least and most; in the channel's house unit, else as they stood; None where there is no number.
        missing: how many values are not there.
    """

    column: str
    unit: str
    channel: str | None
    how: str
    reason: str
    low: float | None = None
    high: float | None = None
    missing: int = 0


@dataclass(frozen=True, slots=True)
class OfferedPull:
    """One pull that was found.

    Attributes:
        name, kind, sweep_rate, findings, choices: as on ``Pull``; findings without those of its recording.
        first_row, last_row: of the recording, both included.
        rows: how many of them are used.
        start, end: on the recording's clock [s]; row numbers from 1 where it has none.
        rpm: lowest and highest speed [rpm].
        torque: least and most [N m].
    """

    name: str
    kind: str
    first_row: int
    last_row: int
    rows: int
    start: float
    end: float
    rpm: tuple[float, float]
    torque: tuple[float, float]
    sweep_rate: float = 0.0
    findings: tuple[Finding, ...] = ()
    choices: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class OfferedRecording:
    """One recording of an offered file.

    Attributes:
        name, kind, started_at, findings, choices: as on ``Recording``.
        rows: how many.
        given: conditions by hand, SI, those that are known.
        logged: channel of the weather that the file holds -> its mean, house unit.
        along: clock [s] of the preview, or row numbers from 1 where there is none.
        clocked: whether ``along`` is a clock.
        rpm, torque: preview, thinned, along ``along``; None where missing.
        pulls: those found in it.
    """

    name: str
    kind: str
    rows: int
    started_at: float | None = None
    given: Mapping[str, float] = field(default_factory=dict)
    logged: Mapping[str, float] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    choices: Mapping[str, str] = field(default_factory=dict)
    along: tuple[float, ...] = ()
    clocked: bool = False
    rpm: tuple[float | None, ...] = ()
    torque: tuple[float | None, ...] = ()
    pulls: tuple[OfferedPull, ...] = ()


@dataclass(frozen=True, slots=True)
class OfferedFile:
    """One offered file.

    Attributes:
        name: under which it lies; called: as the person has it.
        size: bytes.
        build, session: names of the sheets that it would be kept under; "" where there is none.
        format, reason, detail: as on ``Origin``; "" where none took it.
        rivals: other formats -> why they did not take it.
        sheets: of a workbook.
        columns: every column, in order.
        recordings: what was read; () where it was refused.
        faults: all that stands against keeping it.
        already: pulls of the book that these bytes gave before.
        twin: an earlier file of the same bytes among those offered; "" for none.
        paper: it is no log: a note or a table of weather or names that lies beside the logs.
    """

    name: str
    called: str
    size: int = 0
    build: str = ""
    session: str = ""
    format: str = ""
    reason: str = ""
    detail: str = ""
    rivals: Mapping[str, str] = field(default_factory=dict)
    sheets: tuple[str, ...] = ()
    columns: tuple[OfferedColumn, ...] = ()
    recordings: tuple[OfferedRecording, ...] = ()
    faults: tuple[Fault, ...] = ()
    already: tuple[str, ...] = ()
    twin: str = ""
    paper: bool = False

    @property
    def pulls(self) -> tuple[OfferedPull, ...]:
        """All pulls found in it."""
        return tuple(pull for one in self.recordings for pull in one.pulls)


@dataclass(frozen=True, slots=True)
class TypedFile:
    """What a person typed about one offered file, as typed.

    Attributes:
        build, format, sheet, by, date, weather, displacement, altitude: "" where nothing was typed.
        aside: why its pulls do not count.
        left: the file is left out.
        columns: column -> channel, "-" to leave it aside.
        units: column -> unit.
    """

    build: str = ""
    format: str = ""
    sheet: str = ""
    by: str = ""
    date: str = ""
    weather: str = ""
    displacement: str = ""
    altitude: str = ""
    aside: str = ""
    left: bool = False
    columns: Mapping[str, str] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Typed:
    """What a person typed about all offered files: build and session for all, and what holds for one (by its name)."""

    build: str = ""
    session: str = ""
    files: Mapping[str, TypedFile] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Look:
    """What was recognised, and what had been typed when it was."""

    typed: Typed
    files: tuple[OfferedFile, ...]
