"""What the bench book keeps: sheets, pulls with their summary figures, papers beside them, stored results."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from fairpull.terms.findings import Finding
from fairpull.terms.health import HealthReport
from fairpull.terms.pull import Pull
from fairpull.terms.recording import Conditions, Origin

SHEET_KINDS = ("engine", "part", "build", "session", "check", "question", "duty")

COUNTS = "counts"
SET_ASIDE = "set aside"
VOID = "void"
STATES = (COUNTS, SET_ASIDE, VOID)


@dataclass(frozen=True, slots=True)
class Sheet:
    """One page written by a person: an engine, a part, a build, a session, a check, a question or a duty.

    The book keeps it as it was written (text with units, numbers, lists, tables: what TOML can hold) and never changes
    it: a correction is a new version, and older versions stay.

    Attributes:
        kind: one of SHEET_KINDS. A check is measured health of an engine: compression or leakdown by cylinder, valve
            lash, spring loads, dead weights hung on the brake.
        name: unique within its kind.
        body: the page.
        version: 1 for the first; 0 while not kept yet.
        added_at: when it was kept [s since 1970]; None while not kept yet.
    """

    kind: str
    name: str
    body: Mapping[str, Any]
    version: int = 0
    added_at: float | None = None


@dataclass(frozen=True, slots=True)
class Figure:
    """One channel of one pull in three numbers, house unit: least, mean and most over the rows of the pull."""

    least: float
    mean: float
    most: float


@dataclass(frozen=True, slots=True)
class NewPull:
    """A judged pull on its way into the book.

    Attributes:
        pull: cleaned pull with its channels; ``pull.name`` is the name wished for, ``pull.origin`` names its file.
        build, session: names of their sheets; session "" where none was given.
        state: one of STATES; reason: why it does not count, "" where it does.
        summary: summary figures, house units, e.g. "peak_power" [W], "peak_power_rpm", "peak_torque" [N m],
            "peak_torque_rpm", "mean_torque", "mean_power" (corrected to the house standard where the weather is known),
            "observed_peak_power", "observed_peak_torque", "factor" [-], "rpm_low", "rpm_high", "duration" [s].
        figures: channel -> figure.
        health: what the health detectors said when it was taken.
        reading: options of reading and cleaning that were not the defaults, as plain data, so that the original can be
            read again the same way.
    """

    pull: Pull
    build: str
    session: str = ""
    state: str = COUNTS
    reason: str = ""
    summary: Mapping[str, float] = field(default_factory=dict)
    figures: Mapping[str, Figure] = field(default_factory=dict)
    health: HealthReport | None = None
    reading: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Resummary:
    """Summary figures of a kept pull under another correction standard.

    Attributes:
        pull: its name.
        summary: as on ``NewPull``, all of them.
        correction: the choice in words.
        findings: all of the pull's, with those of the new standard.
    """

    pull: str
    summary: Mapping[str, float]
    correction: str
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class KeptPull:
    """One line of the catalogue: everything about a kept pull but its trace.

    Attributes:
        number: running number in the book, 1 first, in order of taking in; never used twice.
        name: unique in the book.
        build, build_version: the build's sheet as it was when the pull was taken in.
        session: name of the session's sheet, "" for none.
        state, reason: one of STATES; why it does not count.
        valid_to: counts up to this speed only [rpm]; None: to its end.
        started_at: first row's wall clock [s since 1970], None where the log has no date.
        kind, sweep_rate: as on the pull.
        tested: (lowest, highest) rpm of the pull.
        summary, figures, health, reading: as on ``NewPull``. Listings may leave figures, health, findings and choices
            empty; ``Book.pull`` has them all.
        original: content hash of the file it came from; original_name: that file's name; piece: which pull of that
            file, from 0.
        trace: content hash of its trace's canonical bytes.
        origin, given, findings, choices: as on the pull.
        taken_at: [s since 1970]; version: code version that took it in.
    """

    number: int
    name: str
    build: str
    build_version: int
    session: str
    state: str
    reason: str
    valid_to: float | None
    started_at: float | None
    kind: str
    sweep_rate: float
    tested: tuple[float, float]
    summary: Mapping[str, float]
    original: str
    original_name: str
    piece: int
    trace: str
    origin: Origin
    taken_at: float
    version: str
    given: Conditions = field(default_factory=Conditions)
    figures: Mapping[str, Figure] = field(default_factory=dict)
    health: HealthReport | None = None
    findings: tuple[Finding, ...] = ()
    choices: Mapping[str, str] = field(default_factory=dict)
    reading: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Taken:
    """What taking in did.

    kept: names of the new pulls, in order; already: file name -> names of the pulls that its bytes gave before.
    """

    kept: tuple[str, ...]
    already: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Mark:
    """One judgement of a pull's state.

    Attributes:
        pull: its name.
        state, reason, valid_to: as on ``KeptPull``.
        by: who said so, "" where nobody is named.
        at: [s since 1970].
    """

    pull: str
    state: str
    reason: str
    valid_to: float | None
    by: str
    at: float


@dataclass(frozen=True, slots=True)
class Attachment:
    """A photograph or another file laid beside something: ``about`` is (kind, name), e.g. ("pull", "cam-b-first")."""

    sha256: str
    file_name: str
    about: tuple[str, str]
    note: str
    added_at: float


@dataclass(frozen=True, slots=True)
class Remark:
    """A note in somebody's words about something; ``about`` as on an attachment."""

    about: tuple[str, str]
    text: str
    by: str
    added_at: float


@dataclass(frozen=True, slots=True)
class StoredResult:
    """A result kept with everything that decides it, so that it can be computed again.

    Attributes:
        name: unique in the book.
        kind: "comparison", "purpose", "tune", ...
        request: what was asked, as plain data.
        traces: pull name -> content hash of the trace that went in.
        sheets: (kind, name) as "kind/name" -> version that went in.
        result: the result as JSON text.
        version: code version; machine: of the computation, e.g. "x86_64".
        made_at: [s since 1970].
    """

    name: str
    kind: str
    request: Mapping[str, Any]
    traces: Mapping[str, str]
    sheets: Mapping[str, int]
    result: str
    version: str
    machine: str
    made_at: float


@dataclass(frozen=True, slots=True)
class BookCheck:
    """What a check of the book found: one finding per thing that is wrong; counts of what was looked at."""

    findings: tuple[Finding, ...]
    looked_at: Mapping[str, int]
