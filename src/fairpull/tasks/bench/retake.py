"""A kept log read again another way: weather that was forgotten, a column, a unit, inertia, the brake's line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fairpull.tasks.bench import reading
from fairpull.tasks.bench.builds import Shelf
from fairpull.tasks.bench.judge import NO_CLOCK, judged, verdict_on
from fairpull.tasks.bench.session_file import Session, session_from_table
from fairpull.tasks.bench.take import (
    REFERENCES,
    TakeOptions,
    TakeReport,
    content_hash,
    plan_of,
    pulls_of,
    references_of,
)
from fairpull.tasks.progress import Progress, silent
from fairpull.terms.bench import COUNTS, KeptPull, NewPull
from fairpull.terms.errors import FairpullError, Fault, ReadRefused, ValueRefused

if TYPE_CHECKING:
    from fairpull.book import Book

MOST_SAID = 12  # differences that a remark names


def take_again(
    kept: Book,
    files: Sequence[Path],
    reason: str,
    options: TakeOptions | None = None,
    *,
    sheet: Path | None = None,
    build: str = "",
    progress: Progress = silent,
    by: str = "",
) -> tuple[TakeReport, ...]:
    """Read kept logs again, and judge their pulls anew.

    What was said of a log before holds unless it is said anew: an option goes first, then a conditions.toml beside the
    log, then what was said when it was taken in, then the session. What a person said of a pull stands.

    Args:
        kept: the book.
        files: logs whose bytes are kept already.
        reason: why they are read again; needed.
        options: session, reading and cleaning, where they differ from before.
        sheet: a day sheet, which is refused: what it says of each log was kept when it was taken in.
        build: only for a refusal where it is not the one that they are kept under.
        progress: is told of each file before it is read.
        by: initials.

    Returns:
        One report for each file; its ``kept`` are the pulls as they stand now.

    Raises:
        ValueRefused: no reason.
        ReadRefused: files whose bytes are not kept, that cannot be read that way, or that give other pulls than are
            kept; all faults at once, and nothing is changed.
    """
    if not reason.strip():
        remedy = 'say it with --reason, such as --reason "weather forgotten"'
        raise ValueRefused(Fault("reason-missing", "--again", "read again without a reason", remedy))
    if sheet is not None or not files:
        seen = "a day sheet" if sheet is not None else "no log files"
        raise ReadRefused(Fault("nothing-to-take", "--again", seen, "name the log files"))
    faults: list[Fault] = []
    again: list[tuple[list[KeptPull], list[NewPull]]] = []
    for number, path in enumerate(files, start=1):
        progress(path, number, len(files))
        try:
            lines = _kept_lines(kept, path, build)
            again.append((lines, _judged_again(kept, path, lines, options or TakeOptions())))
        except FairpullError as error:
            faults += error.faults
    if faults:
        raise ReadRefused(faults)
    reports = []
    for lines, fresh in again:
        now = [
            kept.retake(line.name, new, f"{reason}. {_changes(line, new)}", by=by)
            for line, new in zip(lines, fresh, strict=True)
        ]
        reports.append(TakeReport(lines[0].build, tuple(now), {}))
    return tuple(reports)


def _kept_lines(kept: Book, path: Path, build: str) -> list[KeptPull]:
    """The pulls that a file's bytes gave, in the file's order."""
    try:
        names = kept.names_of(content_hash(path))
    except OSError as error:
        seen = "a folder" if path.is_dir() else error.strerror or str(error)
        raise ReadRefused(Fault("file-unreadable", str(path), seen, "name a file that exists")) from error
    if not names:
        seen, remedy = "these bytes are not kept yet", "take it in without --again"
        raise ReadRefused(Fault("not-kept-yet", str(path), seen, remedy))
    lines = [kept.pull(name) for name in names]
    if build and build != lines[0].build:
        seen = f"kept under build {lines[0].build}, not {build}"
        remedy = f"move it first: fairpull move {names[0]} {build} --reason WHY"
        raise ReadRefused(Fault("kept-under-another-build", str(path), seen, remedy))
    return lines


def _judged_again(kept: Book, path: Path, lines: Sequence[KeptPull], asked: TakeOptions) -> list[NewPull]:
    """The pulls of a file, read with what was said before and now, and judged; each as one that may be kept."""
    first = lines[0]
    before = reading.from_data(first.reading)
    read, clean = reading.over(before, (asked.read, asked.clean))
    name = asked.session or first.session
    session = session_from_table(kept.sheet("session", name).body, where=f"session {name}") if name else Session()
    build = Shelf(kept).build_of(kept.sheet("build", first.build, first.build_version))
    plan = plan_of(kept, replace(asked, read=read, clean=clean), build, name, session)
    said_before = (before[0].given, "when it was taken in")
    plan = replace(plan, weather=(said_before, *plan.weather))
    found = pulls_of(path, plan)
    if len(found) != len(lines):
        seen = f"read that way it gives {len(found)} pulls; kept are {len(lines)}"
        remedy = "read it so that the same pulls are found in it"
        raise ReadRefused(Fault("other-pulls", str(path), seen, remedy))
    standard = kept.settings().get("standard", "")
    names = {line.name for line in lines}
    references = [
        one for one in references_of(kept, first.build, REFERENCES + len(lines)) if one.pull.name not in names
    ]
    fresh = []
    for line, (pull, recording, used) in zip(lines, found, strict=True):
        made = judged(
            replace(pull, name=line.name),
            build,
            references[-REFERENCES:],
            standard=standard,
            session=name,
            reading=reading.as_data(used.read, used.clean, recording),
        )
        fresh.append(_as_person_said(line, made))
    return fresh


def _as_person_said(line: KeptPull, made: NewPull) -> NewPull:
    """What a person said of the pull, or the book of its being another one's copy, stands over the detectors' word."""
    if line.health is None:
        return made
    state, reason, limit = verdict_on(line.health)
    limits = [one for one in (line.reading.get("clean", {}).get("valid_to"), limit) if one is not None]
    if line.valid_to != (min(limits) if limits else None):
        made = replace(made, pull=replace(made.pull, valid_to=line.valid_to))
    if line.reason.startswith(NO_CLOCK):
        return made
    if (line.state, line.reason if line.state != COUNTS else "") == (state, reason):
        return made
    return replace(made, state=line.state, reason=line.reason)


def _changes(line: KeptPull, new: NewPull) -> str:
    """What is read otherwise now, in words."""
    before, now = _flat(line.reading), _flat(new.reading)
    told = [
        f"{name.replace('_', ' ')}: {before.get(name, 'not said')} -> {now.get(name, 'not said')}"
        for name in sorted({*before, *now})
        if before.get(name) != now.get(name)
    ]
    more = len(told) - MOST_SAID
    told = [*told[:MOST_SAID], *([f"and {more} more"] if more > 0 else [])]
    factors = f"correction factor {line.summary.get('factor', 1.0):.4f} -> {new.summary.get('factor', 1.0):.4f}"
    return f"Changed: {'; '.join([*told, factors])}"


def _flat(data: Mapping[str, Any]) -> dict[str, str]:
    flat: dict[str, str] = {}
    for name, value in data.items():
        if isinstance(value, Mapping):
            flat |= {
                (f"{name} {key}" if name not in ("read", "clean") else key): one for key, one in _flat(value).items()
            }
        else:
            flat[name] = f"{value:.6g}" if isinstance(value, float) else str(value)
    return flat
