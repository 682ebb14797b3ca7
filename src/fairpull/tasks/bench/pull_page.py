"""Everything that the page of one pull shows, worked out from the book."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from fairpull import air, book, engine, pulls
from fairpull.tasks.bench.builds import Shelf
from fairpull.tasks.bench.judge import STEP
from fairpull.tasks.bench.take import content_hash
from fairpull.terms.bench import COUNTS
from fairpull.terms.comparison import Derived
from fairpull.terms.errors import BookRefused, FairpullError, Fault, UnknownName
from fairpull.terms.pull_page import Earlier, Making, PullPage

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from fairpull.book import Book
    from fairpull.terms.bench import KeptPull
    from fairpull.terms.engine import Engine
    from fairpull.terms.pull import Curve, Pull

NONE = "none"
AIR_NAME = "dry air of the room"


def pull_page(kept: Book, name: str, *, earlier: int = 0) -> PullPage:
    """A kept pull with all that its page shows.

    What cannot be worked out (a damaged trace, a build whose sheet no longer fits, too few samples for a curve) is left
    out and said in ``faults``, so that what the book keeps can be read all the same.

    Args:
        kept: the book.
        name: of the pull.
        earlier: how many earlier counted pulls of its build are wanted beside it, the latest.

    Returns:
        The page's content.

    Raises:
        UnknownName: the book holds no such pull.
    """
    line = kept.pull(name)
    about = ("pull", line.name)
    faults: list[Fault] = []
    machine, against = _machine(kept, line, faults)
    trace = _trace(kept, line.name, faults)
    counted = None if trace is None else _curve(trace, faults)
    whole = None
    if trace is not None and line.valid_to is not None:
        whole = _curve(replace(trace, valid_to=None), [])
    before, after = _neighbours(kept, line)
    return PullPage(
        line=line,
        marks=kept.marks(line.name),
        notes=kept.remarks(about),
        papers=kept.attachments(about),
        making=_making(line, counted, machine),
        against=against,
        before=before,
        after=after,
        trace=trace,
        counted=counted,
        whole=whole,
        derived={} if machine is None or counted is None else _derived(counted, machine),
        earlier=_earlier(kept, line, earlier),
        faults=tuple(faults),
    )


def _machine(kept: Book, line: KeptPull, faults: list[Fault]) -> tuple[Engine | None, str]:
    """The build's engine and the reference that it names."""
    try:
        sheet = kept.sheet("build", line.build)
        against = sheet.body.get("reference")
        return Shelf(kept).build_of(sheet).engine, against if isinstance(against, str) else ""
    except FairpullError as error:
        faults.extend(error.faults)
        return None, ""


def _trace(kept: Book, name: str, faults: list[Fault]) -> Pull | None:
    try:
        return kept.trace(name)
    except FairpullError as error:
        faults.extend(error.faults)
        return None


def _curve(trace: Pull, faults: list[Fault]) -> Curve | None:
    """The curve on the grid that the summary figures were read from."""
    try:
        return pulls.curve(trace, step=STEP)
    except FairpullError as error:
        faults.extend(error.faults)
        return None


def _derived(curve: Curve, machine: Engine) -> dict[str, Derived]:
    channels = {name: values for name, values in curve.channels.items() if len(values) == len(curve.rpm)}
    channels |= {"rpm": curve.rpm, "torque": curve.torque}
    density = None
    if curve.air is not None:
        dry = curve.air.pressure - curve.air.vapour_pressure
        density = float(air.density(dry, curve.air.temperature, 0.0))
    try:
        out = engine.derive(machine, channels, reference_density=density, reference_name=AIR_NAME)
    except FairpullError:
        return {}
    return {name: Derived(one.unit, one.values, one.how) for name, one in out.columns.items()}


def _making(line: KeptPull, counted: Curve | None, machine: Engine | None) -> Making:
    """How the kept factor was made, as its choices say; the air is worked out again from the trace."""
    key = line.choices.get("correction", NONE).partition(",")[0]
    if key not in air.STANDARDS:
        key = NONE
    one = air.standard(key)
    engine_words = "" if machine is None else f"{machine.induction} induction, {machine.ignition} ignition"
    return Making(
        standard=key,
        title=one.title,
        formula=one.formula,
        reference=one.reference,
        sources=one.sources,
        air=None if counted is None else counted.air,
        engine=engine_words,
        factor=line.summary.get("factor", 1.0),
    )


def _neighbours(kept: Book, line: KeptPull) -> tuple[str, str]:
    """The pulls that ran before and after it on its day; of its build where the log has no date."""
    if line.started_at is None:
        found = kept.pulls(builds=(line.build,))
    else:
        day = datetime.fromtimestamp(line.started_at, UTC).strftime("%Y-%m-%d")
        found = kept.pulls(book.parse_where(f"date = {day}"))
    order = [one.name for one in sorted(found, key=_running)]
    if line.name not in order:
        return "", ""
    at = order.index(line.name)
    return order[at - 1] if at else "", order[at + 1] if at + 1 < len(order) else ""


def _running(line: KeptPull) -> tuple[float, int]:
    return (line.started_at if line.started_at is not None else 0.0, line.number)


def _earlier(kept: Book, line: KeptPull, most: int) -> tuple[Earlier, ...]:
    if most <= 0:
        return ()
    found: list[Earlier] = []
    for other in _before(kept.pulls(builds=(line.build,), states=(COUNTS,)), line)[-most:]:
        try:
            trace = kept.trace(other.name)
            found.append(Earlier(pulls.curve(trace, step=STEP), other.summary.get("factor", 1.0), trace))
        except FairpullError:
            continue
    return tuple(found)


def _before(lines: Sequence[KeptPull], line: KeptPull) -> list[KeptPull]:
    """Those that ran before it; in order of taking in where either has no clock."""
    return [
        other
        for other in sorted(lines, key=_running)
        if other.name != line.name
        and (
            other.number < line.number
            if other.started_at is None or line.started_at is None
            else other.started_at < line.started_at
        )
    ]


def original_of(kept: Book, name: str) -> tuple[Path, str]:
    """Where the original of a pull lies, its bytes checked, and the file's name.

    Args:
        kept: the book.
        name: of the pull.

    Returns:
        Its place on the disk, and the name that it came with.

    Raises:
        UnknownName: the book holds no such pull. BookRefused: the original is not there, or its bytes changed.
    """
    line = kept.pull(name)
    return _checked(kept, line.original, line.original_name), line.original_name


def paper_of(kept: Book, name: str, sha256: str) -> tuple[Path, str]:
    """Where a file beside a pull lies, its bytes checked, and the file's name.

    Args:
        kept: the book.
        name: of the pull.
        sha256: content hash of one of its attachments.

    Returns:
        Its place on the disk, and the name that it came with.

    Raises:
        UnknownName: no such pull, or no such file beside it. BookRefused: it is not there, or its bytes changed.
    """
    for one in kept.attachments(("pull", kept.pull(name).name)):
        if one.sha256 == sha256:
            return _checked(kept, sha256, one.file_name), one.file_name
    raise UnknownName(Fault("not-in-book", name, "no such file lies beside this pull", "take one from its page"))


def _checked(kept: Book, sha256: str, file_name: str) -> Path:
    path = kept.original(sha256)
    found = content_hash(path)
    if found != sha256:
        remedy = "put the file back from a backup; fairpull book check lists all damage"
        raise BookRefused(Fault("original-changed", file_name, f"its bytes have the hash {found[:12]}...", remedy))
    return path
