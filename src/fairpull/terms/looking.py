"""What looking through the book gives: the bench day at a glance, what a watched folder brought, and what was found."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from fairpull.terms.bench import KeptPull
from fairpull.terms.errors import Fault
from fairpull.terms.findings import Finding
from fairpull.terms.ledger import FairComparison


@dataclass(frozen=True, slots=True)
class NextStep:
    """The one thing that matters next, and why.

    Attributes:
        rule: short stable name of the rule that gave it, kebab case.
        say: what to do, a few words: the button.
        reason: why, one sentence.
        place: where it is done: ("take",), ("pull", NAME), ("compare", REFERENCE, BUILD), ("build", NAME),
            ("edit", NAME), ("new", KIND), ("sheets", KIND), or ("here", ANCHOR) for a place on the page itself.
    """

    rule: str
    say: str
    reason: str
    place: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Pair:
    """Two builds that are judged: the reference, and the build that was changed."""

    reference: str
    build: str


@dataclass(frozen=True, slots=True)
class BenchDay:
    """What was pulled on a day.

    Attributes:
        day: shown; None where the book has no pull.
        today: what day it is.
        before, after: nearest days with pulls; None for none.
        pulls: newest first, in full; at most as many as a page can bear.
        total: how many there are that day.
        pair: what the newest pull's build is judged against; None where its sheet names nothing.
        mark: changes when anything of this does.
    """

    day: date | None
    today: date
    before: date | None = None
    after: date | None = None
    pulls: tuple[KeptPull, ...] = ()
    total: int = 0
    pair: Pair | None = None
    mark: str = ""

    @property
    def live(self) -> bool:
        """Whether the day is still running, so that what is missing can be pulled today."""
        return self.day == self.today

    @property
    def newest(self) -> KeptPull | None:
        """The newest pull of the day."""
        return self.pulls[0] if self.pulls else None


@dataclass(frozen=True, slots=True)
class Judged:
    """The verdict on a pair, or why there is none.

    Attributes:
        pair: of builds; None where there is nothing to judge.
        made: the comparison; None where there is none.
        faults: why there is none.
        waiting: it is not worked out yet, for it takes a while.
    """

    pair: Pair | None
    made: FairComparison | None = None
    faults: tuple[Fault, ...] = ()
    waiting: bool = False


@dataclass(frozen=True, slots=True)
class Came:
    """One file that a watched folder brought.

    Attributes:
        file: its name.
        at: when it was done with [s since 1970].
        pulls: names of the pulls it gave; already: of those that its bytes gave before.
        faults: why it was refused, empty where it was not.
        findings: about the file as such.
        why_not: why there is no verdict, "" where there is one.
        look: number of this look at the build, 0 for none.
    """

    file: str
    at: float
    pulls: tuple[str, ...] = ()
    already: tuple[str, ...] = ()
    faults: tuple[Fault, ...] = ()
    findings: tuple[Finding, ...] = ()
    why_not: str = ""
    look: int = 0


PULL, REMARK, PAPER, RESULT = "pull", "remark", "paper", "result"


@dataclass(frozen=True, slots=True)
class Hit:
    """One thing in the book that holds the words looked for.

    Attributes:
        kind: PULL, a kind of sheet, REMARK, PAPER or RESULT.
        name: of the pull, sheet or result; of what a remark or paper is about ("" for the book itself).
        field: where the words stand, e.g. "name", "reason", "finding belt-slip"; "" for the thing's own text.
        text: what stands there.
        about: of a remark or paper: kind of what it is about.
        rank: how likely it is meant: 0 its whole name, 1 its name begins so, 2 in its name, 3 beside it, 4 in its text.
    """

    kind: str
    name: str
    field: str
    text: str
    about: str = ""
    rank: int = 4


@dataclass(frozen=True, slots=True)
class HitGroup:
    """Hits of one kind, likeliest first.

    total: how many there are, some perhaps not listed; more: there may be more than that.
    """

    kind: str
    hits: tuple[Hit, ...]
    total: int
    more: bool = False


@dataclass(frozen=True, slots=True)
class Found:
    """Everything that a text finds.

    Attributes:
        asked: the text; words: what was looked for in it.
        groups: likeliest first.
        search: the text is a search sentence that can be understood.
        fits: how many pulls the sentence finds; None where that would take reading traces.
        faults: what is wrong with a text that looks like a search sentence.
        near: names in the book that look like it, (kind, name), where nothing was found.
    """

    asked: str
    words: tuple[str, ...] = ()
    groups: tuple[HitGroup, ...] = ()
    search: bool = False
    fits: int | None = None
    faults: tuple[Fault, ...] = ()
    near: tuple[tuple[str, str], ...] = field(default_factory=tuple)

    @property
    def total(self) -> int:
        """Hits of all groups."""
        return sum(group.total for group in self.groups)
