"""The bench day as finished strings: each pull in a line, the verdict, and what can be read from across the room."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from fairpull.show import digits
from fairpull.show.bench_text import corrected_to, pull_table
from fairpull.show.facts import words
from fairpull.show.facts.state import observed
from fairpull.terms.bench import COUNTS, KeptPull
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.looking import BenchDay, Came, Judged

MARKS = {"differs": "differs", "no difference that matters": "same", "cannot tell": "open"}
"""Kind of verdict -> short mark for the style sheet."""


@dataclass(frozen=True, slots=True)
class PullLine:
    """One pull of the day.

    Attributes:
        name, build, number: as in the book.
        when: clock; a dash where the log has no date.
        torque, power: peaks with unit and speed; observed: nothing is corrected.
        counts: whether it counts; state: that in words, with its limit; reason: why it does not.
        findings: faults and warnings; notes: how many notes there are beside.
    """

    name: str
    build: str
    number: str
    when: str
    torque: str
    power: str
    observed: bool
    counts: bool
    state: str
    reason: str
    findings: tuple[Finding, ...]
    notes: int


@dataclass(frozen=True, slots=True)
class VerdictLine:
    """The verdict on the day's question.

    Attributes:
        reference, build: of the pair.
        kind: in words, "" where there is none; mark: the same for the style sheet.
        sentence: the whole verdict; settle: what would settle it, "" where it is settled.
        ledger: what else differs, one sentence.
        average: band average of the difference with its interval; ratio: the same in per cent.
        basis: what it is corrected to.
    """

    reference: str
    build: str
    kind: str
    mark: str
    sentence: str
    settle: str
    ledger: str
    average: str
    ratio: str
    basis: str


@dataclass(frozen=True, slots=True)
class Big:
    """One number for arm's length: its name, value, unit, and the speed it stands at."""

    name: str
    value: str
    unit: str
    at: str


def lines(day: BenchDay, system: str) -> tuple[PullLine, ...]:
    """The pulls of a day, newest first.

    Args:
        day: the day.
        system: "us" or "metric".

    Returns:
        One line a pull; the numbers are those of ``fairpull pulls``.
    """
    return tuple(one_line(line, system) for line in day.pulls)


def one_line(line: KeptPull, system: str) -> PullLine:
    """One pull, as in ``lines``."""
    torque, power = bigs(line, system)
    limit = "" if line.valid_to is None else f" up to {digits.number(line.valid_to, 0)} rpm"
    heavy = tuple(one for one in line.findings if one.severity is not Severity.NOTE)
    return PullLine(
        line.name,
        line.build,
        str(line.number),
        words.clock(line.started_at),
        _peak(torque),
        _peak(power),
        observed(line),
        line.state == COUNTS,
        f"{line.state}{limit}",
        line.reason if line.state != COUNTS else "",
        heavy,
        len(line.findings) - len(heavy),
    )


def _peak(one: Big) -> str:
    return one.value if one.value == digits.DASH else f"{one.value} {one.unit} at {one.at} rpm"


def bigs(line: KeptPull, system: str) -> tuple[Big, Big]:
    """Peak torque and peak power of a pull.

    Args:
        line: of the catalogue.
        system: "us" or "metric".

    Returns:
        Both, to the digits of every list of pulls.
    """
    table = pull_table([line], system)
    _, _, _, _, torque, torque_at, power, power_at, _ = table.rows[0]
    units = [column.unit for column in table.columns]
    bare = power.rstrip("*\u00a0")
    return Big("Peak torque", torque, units[4], torque_at), Big("Peak power", bare, units[6], power_at)


def basis(day: BenchDay, standard: str) -> str:
    """What the peaks of a day are corrected to, one sentence."""
    said = f"Peaks are corrected to {corrected_to(day.pulls, standard)} where the weather is known."
    return said if any(not observed(line) for line in day.pulls) else "Peaks are as observed, no correction."


def verdict(judged: Judged, system: str) -> VerdictLine | None:
    """The verdict on a day's pair.

    Args:
        judged: the verdict, or why there is none.
        system: "us" or "metric".

    Returns:
        Finished strings; None where there is none.
    """
    if judged.pair is None or judged.made is None:
        return None
    comparison = judged.made.comparison
    difference, ledger = comparison.differences[0], judged.made.ledgers[0]
    kind = difference.verdict.kind
    return VerdictLine(
        difference.reference,
        difference.other,
        kind,
        MARKS.get(kind, "open"),
        words.sentence(difference, comparison.quantity),
        words.settle(difference.verdict),
        ledger.summary,
        words.with_interval(difference.mean_torque, system, signed=True, quantity=comparison.quantity),
        words.with_interval(difference.mean_ratio, system, signed=True),
        words.basis(comparison.standard),
    )


def day_words(day: date) -> str:
    """A day as a person reads it: ``Friday 23 May 2031``."""
    return f"{day:%A} {day.day} {day:%B %Y}"


@dataclass(frozen=True, slots=True)
class CameLine:
    """One file of a watched folder: its name, when it came, what came of it, and why it was refused."""

    came: Came
    when: str
    said: str


def arrivals(came: Iterable[Came]) -> tuple[CameLine, ...]:
    """What a watched folder brought, newest first, each in a line.

    Args:
        came: as the watch tells it.

    Returns:
        One line a file.
    """
    return tuple(CameLine(one, f"{datetime.fromtimestamp(one.at):%H:%M}", _said(one)) for one in came)


def _said(one: Came) -> str:
    if one.faults:
        return "refused"
    if one.pulls:
        return f"taken in as {words.listed(one.pulls)}"
    return f"in the book already as {words.listed(one.already)}" if one.already else "no pull"
