"""What the pages of sheets show: one sheet with what follows from it, its form, and two of them beside each other."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from fairpull.terms.bench import Attachment, Remark, Sheet
from fairpull.terms.build import Change, Fact
from fairpull.terms.errors import Fault
from fairpull.terms.findings import Finding


@dataclass(frozen=True, slots=True)
class FormField:
    """One field of a sheet's form.

    Attributes:
        name: of the field, and of the entry: "bore", "volumes.chamber", "parts.camshaft".
        label: as a person says it.
        value: as typed, or as it stands on the sheet.
        hint: an example with its unit, and what is accepted.
        shape: "line", "area", or "choice".
        choices: (value, words) of a choice.
        needed: the sheet cannot be kept without it.
        faults: what is wrong with it.
    """

    name: str
    label: str
    value: str = ""
    hint: str = ""
    shape: str = "line"
    choices: tuple[tuple[str, str], ...] = ()
    needed: bool = False
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True, slots=True)
class SheetForm:
    """A sheet's form.

    Attributes:
        kind: of sheet; part: kind of part, "" for other sheets.
        groups: heading and fields.
        others: faults that belong to no field.
    """

    kind: str
    part: str
    groups: tuple[tuple[str, tuple[FormField, ...]], ...]
    others: tuple[Fault, ...] = ()

    @property
    def faults(self) -> tuple[Fault, ...]:
        """Every fault, those of no field first."""
        return (*self.others, *(fault for _, fields in self.groups for one in fields for fault in one.faults))


@dataclass(frozen=True, slots=True)
class FlowRow:
    """One row of a flow table, house units; None where it is not known.

    lift [m]; flow at the stated depression [m3/s]; coefficient: on the smaller of curtain and valve area; area:
    effective, flow over the speed that the depression gives [m2].
    """

    side: str
    lift: float
    flow: float
    coefficient: float | None
    area: float | None


@dataclass(frozen=True, slots=True)
class FlowBench:
    """A head's flow table. depression: of the bench [Pa]; stated: as written."""

    depression: float
    stated: str
    rows: tuple[FlowRow, ...]


@dataclass(frozen=True, slots=True)
class ValveSpan:
    """How long a valve is open, as the card says. Angles from top centre at overlap, after it positive [rad]."""

    side: str
    opens: float
    closes: float
    centre: float


@dataclass(frozen=True, slots=True)
class CamCard:
    """Both valves' events at one lift. stated: the lift in words."""

    stated: str
    spans: tuple[ValveSpan, ...]


@dataclass(frozen=True, slots=True)
class UsedBy:
    """A build that holds a sheet, and its counted pulls."""

    build: str
    pulls: int


@dataclass(frozen=True, slots=True)
class VersionLine:
    """One version of a sheet. changed: against the one before, in words."""

    version: int
    added_at: float | None
    changed: str


@dataclass(frozen=True, slots=True)
class PartFacts:
    """A part of a build with what follows from it."""

    kind: str
    name: str
    body: Mapping[str, object]
    facts: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class SheetView:
    """One sheet as its page shows it.

    Attributes:
        sheet: the version that is shown; newest: number of the newest.
        versions: newest first.
        facts: what follows from it.
        parts: of a build.
        engine: of a build, its sheet's entries; empty otherwise.
        changes: of a build, against its reference.
        findings: what it means; faults: why it cannot be read.
        flow, cams: of a head, of a camshaft; also of a build that has them.
        used_by: builds that hold it; pulls: counted ones of a build or of those builds.
        notes, laid: remarks and papers.
    """

    sheet: Sheet
    newest: int
    versions: tuple[VersionLine, ...]
    facts: tuple[Fact, ...] = ()
    parts: tuple[PartFacts, ...] = ()
    engine: Mapping[str, object] = field(default_factory=dict)
    changes: tuple[Change, ...] = ()
    findings: tuple[Finding, ...] = ()
    faults: tuple[Fault, ...] = ()
    flow: FlowBench | None = None
    cams: tuple[CamCard, ...] = ()
    used_by: tuple[UsedBy, ...] = ()
    pulls: int = 0
    notes: tuple[Remark, ...] = ()
    laid: tuple[Attachment, ...] = ()


@dataclass(frozen=True, slots=True)
class Pair:
    """One entry or computed value of two sheets.

    group: part, settings, computed; one, other: as written, or a fact; "" where absent.
    """

    group: str
    name: str
    one: str | Fact
    other: str | Fact
    same: bool


@dataclass(frozen=True, slots=True)
class Beside:
    """Two sheets of one kind. changes: of two builds, as they are told everywhere else."""

    kind: str
    names: tuple[str, str]
    versions: tuple[int, int]
    pairs: tuple[Pair, ...]
    changes: tuple[Change, ...] = ()
    faults: tuple[Fault, ...] = ()
