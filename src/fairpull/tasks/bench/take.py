"""Taking in: files are read, cut into pulls, judged against the build's earlier pulls, and kept; all or nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from fairpull import pulls
from fairpull.logs import ReadOptions
from fairpull.pulls import PullOptions
from fairpull.tasks.bench import reading, same_pull
from fairpull.tasks.bench.builds import Shelf
from fairpull.tasks.bench.judge import Reference, judged
from fairpull.tasks.bench.same_pull import Earlier, Likeness
from fairpull.tasks.bench.session_file import Session, session_from_table
from fairpull.tasks.groups import NOT_LOGS
from fairpull.tasks.names import with_own_names
from fairpull.tasks.progress import Progress, silent
from fairpull.terms.bench import COUNTS, SET_ASIDE, KeptPull, NewPull
from fairpull.terms.errors import FairpullError, Fault, ReadRefused, UnknownName
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.recording import Conditions

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
        weather: for what neither a log, nor its conditions.toml, nor ``read`` tells of the air; before the session's.
    """

    session: str = ""
    read: ReadOptions = field(default_factory=ReadOptions)
    clean: PullOptions = field(default_factory=PullOptions)
    weather: Conditions = field(default_factory=Conditions)


@dataclass(frozen=True, slots=True)
class Order:
    """One file that is to be taken in.

    Attributes:
        file: the log.
        build: what the engine ran with; "" takes what the book says is fitted.
        options: session, reading and cleaning.
        aside: why its pulls do not count, in a person's words; "" where they may.
    """

    file: Path
    build: str = ""
    options: TakeOptions = field(default_factory=TakeOptions)
    aside: str = ""


@dataclass(frozen=True, slots=True)
class TakeReport:
    """What taking in did.

    Attributes:
        build: name of the build.
        kept: the new lines of the catalogue, with their health.
        already: file -> names of the pulls that its bytes gave before.
        findings: about the files as such.
        pieces: kept pull -> the new pull of which it turned out to be an unfinished piece.
    """

    build: str
    kept: tuple[KeptPull, ...]
    already: Mapping[str, tuple[str, ...]]
    findings: tuple[Finding, ...] = ()
    pieces: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Plan:
    """How one file is to be read and judged: build, session and options, filled in with what the book knows."""

    build: Build
    session: str
    read: ReadOptions
    clean: PullOptions
    weather: tuple[tuple[Conditions, str], ...]


@dataclass(frozen=True, slots=True)
class _Found:
    """A pull that was found in a file: of which order, how it was read, under a name of its own."""

    order: int
    pull: Pull
    recording: Recording
    plan: Plan


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
        files: log files; papers that lie among them are left alone.
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
    papers = [path for path in files if path.suffix.lower() in NOT_LOGS and path.is_file()]
    orders = [Order(path, build, asked) for path in files if path not in papers]
    if not orders:
        seen = f"no log among {', '.join(path.name for path in papers)}" if papers else "no log files"
        raise ReadRefused(Fault("nothing-to-take", "take", seen, "name log files"))
    reports = take_batch(kept, orders, progress)
    already: dict[str, tuple[str, ...]] = {}
    for report in reports:
        # the same bytes offered twice in one go are told once
        already |= {path: names for path, names in report.already.items() if names not in already.values()}
    lines = tuple(line for report in reports for line in report.kept)
    new = {line.name for line in lines}
    already = {path: names for path, names in already.items() if not new & set(names)}
    findings = [finding for report in reports for finding in report.findings if finding.where in already or new]
    pieces = {name: whole for report in reports for name, whole in report.pieces.items()}
    return TakeReport(reports[0].build, lines, already, (*dict.fromkeys(findings), *_left_alone(papers)), pieces)


def _left_alone(papers: Sequence[Path]) -> list[Finding]:
    if not papers:
        return []
    names = ", ".join(path.name for path in papers)
    remedy = "Nothing to do; a photograph or a note is laid beside a pull with fairpull attach."
    return [Finding("not-a-log", Severity.NOTE, names, f"Left alone, for it is no log: {names}.", remedy)]


def take_batch(
    kept: Book,
    orders: Sequence[Order],
    progress: Progress = silent,
    *,
    as_listed: bool = False,
    faults: Sequence[Fault] = (),
) -> tuple[TakeReport, ...]:
    """Take files in, of one build or of several: all of them, or none.

    Args:
        kept: the book.
        orders: the files.
        progress: is told of each file before it is read.
        as_listed: the files stand in running order; else their clocks say it.
        faults: found before; a refusal tells them too.

    Returns:
        One report for each file. Bytes that are offered twice are taken in for the first.

    Raises:
        FairpullError: builds, sessions or files that are not there, all faults at once; then logs that cannot be read,
            all at once. Nothing is kept.
    """
    plans = plans_of(kept, orders, faults)
    digests, unreadable = _hashes(orders)
    before = {digest: kept.names_of(digest) for digest in dict.fromkeys(digests) if digest}
    new = [n for n, digest in enumerate(digests) if digest and not before[digest] and digest not in digests[:n]]
    found = _read(orders, plans, new, progress, unreadable)
    fresh, pieces = _judge(kept, orders, found, digests, as_listed=as_listed)
    taken = kept.take(fresh, {digests[n]: orders[n].file for n in new})
    lines = [kept.pull(name) for name in taken.kept]
    grown = _set_pieces_aside(kept, lines, pieces)
    reports = []
    for n, (order, plan, digest) in enumerate(zip(orders, plans, digests, strict=True)):
        own = tuple(line for line in lines if line.original == digest) if n in new else ()
        names = () if own else (before[digest] or kept.names_of(digest))
        already = {str(order.file): names} if names else {}
        wholes = {name: whole for name, whole in grown.items() if whole in {line.name for line in own}}
        findings = [*_elsewhere(kept, plan.build.name, already), *_unused(kept, order, already), *_grown(wholes)]
        reports.append(TakeReport(plan.build.name, own, already, tuple(findings), wholes))
    return tuple(reports)


def plans_of(kept: Book, orders: Sequence[Order], faults: Sequence[Fault] = ()) -> list[Plan]:
    """How each file is to be read and judged.

    Args:
        kept: the book.
        orders: the files.
        faults: found before; a refusal tells them too.

    Returns:
        One for each.

    Raises:
        FairpullError: builds or sessions that are not there or cannot be understood; all faults at once.
    """
    settings, shelf = kept.settings(), Shelf(kept)
    builds: dict[str, Build] = {}
    sessions: dict[str, Session] = {"": Session()}
    refused: list[FairpullError] = []
    wanted = [
        (order.build or settings.get("fitted", ""), order.options.session or settings.get("session", ""))
        for order in orders
    ]
    for name in dict.fromkeys(build for build, _ in wanted):
        try:
            builds[name] = shelf.build(_build_name(kept, name))
        except FairpullError as error:
            refused.append(error)
    for name in dict.fromkeys(session for _, session in wanted if session):
        try:
            sessions[name] = session_from_table(kept.sheet("session", name).body, where=f"session {name}")
        except FairpullError as error:
            refused.append(error)
    if refused or faults:
        kind = ReadRefused if faults else type(refused[0])
        raise kind([*faults, *(fault for error in refused for fault in error.faults)])
    return [
        plan_of(kept, order.options, builds[build], session, sessions[session])
        for order, (build, session) in zip(orders, wanted, strict=True)
    ]


def _build_name(kept: Book, name: str) -> str:
    if name:
        return name
    known = ", ".join(sheet.name for sheet in kept.sheets("build")) or "none yet"
    remedy = f"name it with --build, or say once what is on the brake: fairpull fitted NAME; builds: {known}"
    raise UnknownName(Fault("no-build", "--build", "no build named, and none is said to be fitted", remedy))


def plan_of(kept: Book, asked: TakeOptions, build: Build, name: str, session: Session) -> Plan:
    """How a file is to be read: what was asked, filled in with what the build and the session know.

    Args:
        kept: the book.
        asked: options.
        build: that the engine ran with.
        name: of the session; "" for none.
        session: its sheet.

    Returns:
        The plan.
    """
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
    weather = ((asked.weather, "option --weather"), (session.weather, f"session {name}"))
    return Plan(build, name, read, clean, weather)


def _hashes(orders: Sequence[Order]) -> tuple[list[str], list[Fault]]:
    """Content hash of each file, "" where it cannot be read; and why it cannot."""
    faults: list[Fault] = []
    found: list[str] = []
    for order in orders:
        try:
            found.append(content_hash(order.file))
        except OSError as error:
            seen, remedy = error.strerror or str(error), "name a file that exists"
            if order.file.is_dir():
                seen, remedy = "a folder", "name its files, such as FOLDER/*"
            faults.append(Fault("file-unreadable", str(order.file), seen, remedy))
            found.append("")
    return found, list(dict.fromkeys(faults))


def content_hash(path: Path) -> str:
    """SHA-256 of a file, as hexadecimal text; OSError where it cannot be read."""
    digest = sha256()
    with path.open("rb") as stream:
        while chunk := stream.read(CHUNK):
            digest.update(chunk)
    return digest.hexdigest()


def _read(
    orders: Sequence[Order], plans: Sequence[Plan], new: Sequence[int], progress: Progress, faults: Sequence[Fault]
) -> list[_Found]:
    """All pulls of the new files, each under a name of its own."""
    wrong = list(faults)
    found: list[_Found] = []
    for number, n in enumerate(new, start=1):
        progress(orders[n].file, number, len(new))
        try:
            found += [_Found(n, pull, recording, plan) for pull, recording, plan in pulls_of(orders[n].file, plans[n])]
        except FairpullError as error:
            wrong += error.faults
    if wrong:
        raise ReadRefused(wrong)
    named = with_own_names([(one.plan.build.name, one.pull) for one in found])
    return [replace(one, pull=pull) for one, pull in zip(found, named, strict=True)]


def pulls_of(path: Path, plan: Plan) -> list[tuple[Pull, Recording, Plan]]:
    """The pulls of one log, each with the recording it was cut from and how that was read.

    Args:
        path: the log.
        plan: how it is to be read.

    Returns:
        In the file's order.

    Raises:
        FairpullError: it cannot be read, or holds no pull.
    """
    read = plan.read
    if (path.parent / "channels.toml").is_file():
        read = replace(read, channels_file=None)  # the one beside the log knows it better than the book's
    plan = replace(plan, read=read)
    recordings = reading.read_filled(path, read, plan.weather)
    return [(pull, one, plan) for one in recordings for pull in pulls.find(one, plan.clean)]


def _judge(
    kept: Book, orders: Sequence[Order], found: Sequence[_Found], digests: Sequence[str], *, as_listed: bool
) -> tuple[list[NewPull], dict[str, tuple[str, int]]]:
    """Judge pulls in running order; each that counts is a reference of the next of its build.

    Returns:
        The pulls as they were found, and kept pulls that are unfinished pieces -> (file, pull of that file).
    """
    standard = kept.settings().get("standard", "")
    order = list(range(len(found)))
    if not as_listed:
        order.sort(key=lambda i: (found[i].pull.started_at is None, found[i].pull.started_at or 0.0, i))
    references: dict[str, list[Reference]] = {}
    batch: list[tuple[int, Earlier]] = []
    fresh: dict[int, NewPull] = {}
    pieces: dict[str, tuple[str, int]] = {}
    for i in order:
        one, file = found[i], orders[found[i].order].file
        name = one.plan.build.name
        like = same_pull.find_like(kept, one.pull, file, [earlier for _, earlier in batch])
        if name not in references:
            references[name] = references_of(kept, name)
        leave = {each.earlier.name for each in like}
        usable = [each for each in references[name] if each.pull.name not in leave]
        made = judged(
            one.pull,
            one.plan.build,
            usable[-REFERENCES:],
            standard=standard,
            session=one.plan.session,
            reading=reading.as_data(one.plan.read, one.plan.clean, one.recording),
        )
        fresh[i] = made = _with_words(made, _as_like(like), orders[one.order].aside)
        if made.state == COUNTS:
            references[name].append(Reference(made.pull, made.summary["factor"]))
        place = (digests[one.order], sum(other.order == one.order for other in found[:i]))
        for each in like:
            within = next((j for j, earlier in batch if earlier is each.earlier), None)
            if each.kind == same_pull.PIECE and within is None:
                pieces[each.earlier.name] = place
            elif each.kind == same_pull.PIECE and within is not None:
                fresh[within] = _set_aside(fresh[within], piece_of(made.pull.name))
                references[name] = [ref for ref in references[name] if ref.pull is not fresh[within].pull]
        batch.append((i, Earlier(made.pull.name, made.pull, file, made.state == COUNTS)))
    return [fresh[i] for i in range(len(found))], pieces


def piece_of(whole: str) -> str:
    """Reason of a pull that is only the beginning of another."""
    return f"an unfinished piece of {whole}: the log went on growing after it was taken in"


def _as_like(like: Sequence[Likeness]) -> tuple[str, Finding | None]:
    """Why a pull does not count for being an earlier one once more, "" where it is not."""
    same = [each for each in like if each.kind != same_pull.PIECE]
    same.sort(key=lambda each: not each.earlier.counts)
    if not same:
        return "", None
    name = same[0].earlier.name
    if same[0].kind == same_pull.WHOLE:
        reason = f"an unfinished piece of {name}, which was taken in before"
    else:
        reason = f"the same pull as {name}, saved again"
    text = f"It is {reason}: the same speeds and torques at the same time, or to the last digit where no clock tells."
    remedy = "Nothing to do. If it is a pull of its own, say so: fairpull mark PULL counts --reason WHY."
    return reason, Finding("same-pull-again", Severity.WARNING, name, text, remedy)


def _with_words(made: NewPull, again: tuple[str, Finding | None], aside: str) -> NewPull:
    """Set aside for what a person wrote, and for being an earlier pull once more."""
    reason, finding = again
    if finding is not None:
        told = replace(finding, where=made.pull.name)
        made = replace(made, pull=replace(made.pull, findings=(*made.pull.findings, told)))
    words = [word for word in (aside, reason) if word]
    return _set_aside(made, "; ".join(words)) if words else made


def _set_aside(made: NewPull, why: str) -> NewPull:
    reason = "; ".join(one for one in (why, made.reason) if one)
    return replace(made, state=SET_ASIDE, reason=reason)


def _set_pieces_aside(kept: Book, lines: Sequence[KeptPull], pieces: Mapping[str, tuple[str, int]]) -> dict[str, str]:
    """A logger may pause for long: what was taken of the log then was only its beginning. Piece -> whole."""
    wholes = {(line.original, line.piece): line.name for line in lines}
    grown = {name: wholes[place] for name, place in pieces.items() if place in wholes}
    for name, whole in grown.items():
        if kept.pull(name).state == COUNTS:
            kept.mark(name, SET_ASIDE, piece_of(whole), valid_to=kept.pull(name).valid_to)
    return grown


def _grown(wholes: Mapping[str, str]) -> list[Finding]:
    remedy = "Nothing to do; wait longer for the logger with --quiet if it happens often."
    return [
        Finding(
            "unfinished-piece",
            Severity.WARNING,
            name,
            f"{name} was only an unfinished piece of {whole}: the log went on growing. It does not count.",
            remedy,
        )
        for name, whole in wholes.items()
    ]


def _unused(kept: Book, order: Order, already: Mapping[str, tuple[str, ...]]) -> list[Finding]:
    """Options that a file of kept bytes was offered with, and that nobody looked at."""
    found = []
    for path, names in already.items():
        base = reading.from_data(kept.pull(names[0]).reading)
        words = reading.changed(base, (order.options.read, order.options.clean))
        if words:
            text = f"These bytes are kept already, as {', '.join(names)}. Not used now: {', '.join(words)}."
            remedy = "To read them again that way: fairpull take FILE --again --reason WHY, with the same options."
            found.append(Finding("options-not-used", Severity.WARNING, path, text, remedy))
    return found


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
