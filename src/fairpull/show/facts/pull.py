"""The head of a pull's page as finished strings: state, peaks, and every sign with its number."""

from __future__ import annotations

from dataclasses import dataclass, replace

from fairpull.show import digits, scale
from fairpull.show.facts import words
from fairpull.show.facts.state import observed, sign_line, state_text
from fairpull.show.facts.words import plain
from fairpull.terms.bench import KeptPull
from fairpull.terms.findings import Finding
from fairpull.terms.health import SIGN_CODES
from fairpull.terms.pull_page import PullPage

PEAKS = (("torque", "N m"), ("power", "W"))
AT_END = "peak-at-end"


@dataclass(frozen=True, slots=True)
class Peak:
    """One headline number.

    Attributes:
        name: "torque" or "power".
        value: with its unit, corrected where anything is corrected.
        where: the speed it stands at.
        seen: as observed, with its unit; "" where nothing is corrected.
    """

    name: str
    value: str
    where: str
    seen: str


@dataclass(frozen=True, slots=True)
class Told:
    """One sign of trouble with the number that the charts use too.

    Attributes:
        number: 1 for the most severe.
        weight: "fault", "warning" or "note".
        title: kind of sign and where it shows.
        evidence: what was seen; confirm: what would confirm it.
    """

    number: int
    weight: str
    title: str
    evidence: str
    confirm: str


@dataclass(frozen=True, slots=True)
class Head:
    """What stands on top of the page.

    Attributes:
        name, build, session: "" for no session.
        when: date and clock, or that the log has none.
        state: one of the book's states; said: the same with its limit, in words; reason: why, "" for none.
        basis: what the numbers are corrected to.
        factor: of correction; a dash where none is known.
        peaks: torque, then power; empty where the pull has no curve.
    """

    name: str
    build: str
    session: str
    when: str
    state: str
    said: str
    reason: str
    basis: str
    factor: str
    peaks: tuple[Peak, ...]


def head(page: PullPage, system: str) -> Head:
    """The head of the page.

    Args:
        page: content of the page.
        system: "us" or "metric".

    Returns:
        Finished strings; the numbers are those of ``fairpull pull``.
    """
    line = page.line
    when = "no date in the log" if line.started_at is None else words.moment(line.started_at)
    return Head(
        name=plain(line.name),
        build=line.build,
        session=line.session,
        when=when,
        state=line.state,
        said=state_text(replace(line, reason="")),
        reason=plain(line.reason),
        basis=words.basis(page.making.standard),
        factor=digits.number(line.summary.get("factor"), 4),
        peaks=tuple(one for name, unit in PEAKS if (one := _peak(line, name, unit, system)) is not None),
    )


def _peak(line: KeptPull, name: str, unit: str, system: str) -> Peak | None:
    top, at = line.summary.get(f"peak_{name}"), line.summary.get(f"peak_{name}_rpm")
    if top is None or at is None:
        return None
    seen = "" if observed(line) else shown(line.summary.get(f"observed_peak_{name}"), unit, system)
    open_end = name == "power" and line.health is not None and any(one.kind == AT_END for one in line.health.signs)
    least = "at least " if open_end else ""
    return Peak(name, f"{least}{shown(top, unit, system)}", f"{digits.number(at, -1)} rpm", seen)


def shown(value: float | None, unit: str, system: str) -> str:
    """A torque or a power as every face writes it: one decimal, with its unit.

    Args:
        value: house unit; None where there is none.
        unit: house unit.
        system: "us" or "metric".

    Returns:
        The number with its unit, or a dash.
    """
    if value is None:
        return digits.DASH
    return f"{digits.number(scale.scalar(value, unit, system), 1)} {scale.label(unit, system)}"


def told(page: PullPage) -> tuple[Told, ...]:
    """Every sign, most severe first, numbered as on the charts."""
    return tuple(
        Told(number, sign.severity.value, sign_line(sign), plain(sign.evidence), plain(sign.confirm))
        for number, sign in enumerate(page.signs, start=1)
    )


def other_findings(page: PullPage) -> tuple[Finding, ...]:
    """What reading, cleaning and correcting found; the signs are told by themselves."""
    return tuple(one for one in page.line.findings if one.code not in SIGN_CODES.values())


def blind(page: PullPage) -> bool:
    """Whether no detector could look, so that silence is no clean bill of health."""
    report = page.line.health
    return report is None or not report.looked
