"""Taking in: files are read, cut into pulls, judged against the build's earlier pulls, and kept; all or nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from fairpull import logs, pulls
from fairpull.logs import ReadOptions
from fairpull.pulls import PullOptions
from fairpull.tasks.bench import reading
from fairpull.tasks.bench.builds import Shelf
from fairpull.tasks.bench.judge import Reference, judged
from fairpull.tasks.bench.session_file import Session, session_from_table
from fairpull.tasks.names import with_own_names
from fairpull.tasks.progress import Progress, silent
from fairpull.terms.bench import COUNTS, KeptPull, NewPull
from fairpull.terms.errors import FairpullError, Fault, ReadRefused, UnknownName
from fairpull.terms.findings import Finding, Severity

if TYPE_CHECKING:
    from fairpull.book import Book
    from fairpull.terms.build import Build
    from fairpull.terms.pull import Pull
    from fairpull.terms.recording import Recording

REFERENCES = 6  # latest counted pulls of the build; more would slow every taking in and say little more
CHUNK = 1 << 20


@dataclass(frozen=True, slots=True)
class TakeOptions:
    """How files are read and cleaned on their way into the book.

    Attributes:
        session: name of the session's sheet; "" takes the house's current one, or none.
        read, clean: as for a comparison of files; the build's engine and the session fill in what is left out.
    """

    session: str = ""
    read: ReadOptions = field(default_factory=ReadOptions)
    clean: PullOptions = field(default_factory=PullOptions)


@dataclass(frozen=True, slots=True)
class TakeReport:
    """What taking in did.

    Attributes:
        build: name of the build.
        kept: the new lines of the catalogue, with their health.
        already: file -> names of the pulls that its bytes gave before.
        findings: about the files as such.
    """

    build: str
    kept: tuple[KeptPull, ...]
    already: Mapping[str, tuple[str, ...]]
    findings: tuple[Finding, ...] = ()


def take_files(
    kept: Book,
    files: Sequence[Path],
    build: str = "",
    options: TakeOptions | None = None,
    progress: Progress = silent,
) -> TakeReport:
    """Take log files into the book.

    Args:
        kept: the book.
        files: log files.
        build: what the engine ran with; "" takes what the book says is fitted.
        options: session, reading and cleaning.
        progress: is told of each file before it is read.

    Returns:
        What was kept, and what was there before.

    Raises:
        UnknownName: no such build or session.
        ReadRefused: files that cannot be read or hold no pull; all faults at once, and nothing is kept.
        BookRefused: the book cannot be written.
    """
    asked = options or TakeOptions()
    settings = kept.settings()
    made = Shelf(kept).build(_build_name(kept, build or settings.get("fitted", "")))
    name = asked.session or settings.get("session", "")
    session = session_from_table(kept.sheet("session", name).body, where=f"session {name}") if name else Session()
    read, clean = _options(kept, asked, made, session)
    hashes = _hashes(files)
    before = {digest: kept.names_of(digest) for digest in hashes}
    new_files = {digest: path for digest, path in hashes.items() if not before[digest]}
    fresh = _judge(kept, made, _pulls_of(new_files, read, clean, progress), settings.get("standard", ""), name)
    taken = kept.take(fresh, new_files)
    already = {str(hashes[digest]): names for digest, names in before.items() if names} | dict(taken.already)
    lines = tuple(kept.pull(one) for one in taken.kept)
    return TakeReport(made.name, lines, already, _elsewhere(kept, made.name, already))


def _build_name(kept: Book, name: str) -> str:
    if name:
        return name
    known = ", ".join(sheet.name for sheet in kept.sheets("build")) or "none yet"
    remedy = f"name it with --build, or say once what is on the brake: fairpull fitted NAME; builds: {known}"
    raise UnknownName(Fault("no-build", "--build", "no build named, and none is said to be fitted", remedy))


def _options(kept: Book, asked: TakeOptions, build: Build, session: Session) -> tuple[ReadOptions, PullOptions]:
    """Options filled in with what the build and the session know."""
    from fairpull import engine

    read, clean = asked.read, asked.clean
    if read.displacement is None:
        read = replace(read, displacement=engine.displacement_of(build.engine), strokes=build.engine.strokes)
    if read.altitude is None:
        read = replace(read, altitude=session.altitude)
    if not read.date:
        read = replace(read, date=session.date)
    own = kept.folder / "channels.toml"
    if read.channels_file is None and own.is_file():
        read = replace(read, channels_file=own)
    if clean.inertia is None:
        clean = replace(clean, inertia=build.engine.inertia)
    if clean.calibration is None and session.applied:
        clean = replace(clean, calibration=session.calibration)
    return read, clean


def _hashes(files: Sequence[Path]) -> dict[str, Path]:
    """Content hash -> file; the same bytes offered twice count once."""
    faults: list[Fault] = []
    found: dict[str, Path] = {}
    for path in files:
        try:
            digest = sha256()
            with path.open("rb") as stream:
                while chunk := stream.read(CHUNK):
                    digest.update(chunk)
            found.setdefault(digest.hexdigest(), path)
        except OSError as error:
            faults.append(Fault("file-unreadable", str(path), error.strerror or str(error), "name a file that exists"))
    if faults:
        raise ReadRefused(faults)
    return found


def _pulls_of(
    files: Mapping[str, Path], read: ReadOptions, clean: PullOptions, progress: Progress
) -> list[tuple[Pull, Recording, PullOptions, ReadOptions]]:
    faults: list[Fault] = []
    found: list[tuple[Pull, Recording, PullOptions, ReadOptions]] = []
    for number, path in enumerate(files.values(), start=1):
        progress(path, number, len(files))
        own = read
        if (path.parent / "channels.toml").is_file():
            own = replace(read, channels_file=None)  # the one beside the log knows it better than the book's
        try:
            for recording in logs.read(path, own):
                found += [(pull, recording, clean, own) for pull in pulls.find(recording, clean)]
        except FairpullError as error:
            faults += error.faults
    if faults:
        raise ReadRefused(faults)
    return found


def _judge(
    kept: Book,
    build: Build,
    found: Sequence[tuple[Pull, Recording, PullOptions, ReadOptions]],
    standard: str,
    session: str,
) -> list[NewPull]:
    """Judge pulls in running order; each that counts is a reference of the next."""
    named = with_own_names([(build.name, pull) for pull, *_ in found])
    order = sorted(range(len(found)), key=lambda i: (named[i].started_at is None, named[i].started_at or 0.0, i))
    references = references_of(kept, build.name)
    fresh: dict[int, NewPull] = {}
    for i in order:
        _, recording, clean, read = found[i]
        fresh[i] = judged(
            named[i],
            build,
            references[-REFERENCES:],
            standard=standard,
            session=session,
            reading=reading.as_data(read, clean, recording),
        )
        if fresh[i].state == COUNTS:
            references.append(Reference(fresh[i].pull, fresh[i].summary["factor"]))
    return [fresh[i] for i in range(len(found))]


def references_of(kept: Book, build: str, most: int = REFERENCES) -> list[Reference]:
    """The latest counted pulls of a build.

    Args:
        kept: the book.
        build: its name.
        most: how many at most.

    Returns:
        Oldest first.
    """
    lines = kept.pulls(builds=(build,), states=(COUNTS,))
    return [Reference(kept.trace(line.name), line.summary.get("factor", 1.0)) for line in lines[-most:]]


def _elsewhere(kept: Book, build: str, already: Mapping[str, tuple[str, ...]]) -> tuple[Finding, ...]:
    """Files whose pulls are kept under another build: the person may have meant to move them."""
    found = []
    for path, names in already.items():
        other = {kept.pull(name).build for name in names} - {build}
        if other:
            text = f"These bytes are kept already, as {', '.join(names)} of build {', '.join(sorted(other))}."
            remedy = f"If that build was wrong, move the pull: fairpull move PULL {build} --reason WHY."
            found.append(Finding("taken-under-another-build", Severity.WARNING, path, text, remedy))
    return tuple(found)
