"""Comparing builds from the book: what differs, the verdict, and the fair views."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from fairpull import engine
from fairpull.tasks.bench.builds import Shelf
from fairpull.tasks.bench.session_file import session_from_table
from fairpull.tasks.compare_groups import compare_groups
from fairpull.tasks.pulls_of_files import PullGroup
from fairpull.tasks.question_file import parse_band, parse_share, question_from_table
from fairpull.tasks.request import CompareRequest
from fairpull.terms.bench import COUNTS, KeptPull
from fairpull.terms.comparison import Comparison, Question
from fairpull.terms.errors import Fault, NotComparable
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.ledger import BoostFacts, FairComparison, FairLook, Ledger, RunFacts
from fairpull.terms.units import parse

if TYPE_CHECKING:
    from fairpull.book import Book
    from fairpull.terms.build import Build
    from fairpull.terms.pull import Pull


@dataclass(frozen=True, slots=True)
class Fetched:
    """One build out of the book: its sheet, its counted pulls with their lines of the catalogue."""

    build: Build
    pulls: tuple[Pull, ...]
    lines: tuple[KeptPull, ...]


def compare_builds(kept: Book, names: Sequence[str], request: CompareRequest | None = None) -> FairComparison:
    """Compare builds by their counted pulls.

    Args:
        kept: the book.
        names: of builds, the reference first; one name alone is judged against the reference its sheet names.
        request: everything else; what is left out comes from the book's settings.

    Returns:
        The comparison with a ledger for each build but the reference, and the fair views that can be made.

    Raises:
        UnknownName: no such build.
        NotComparable: a build without counted pulls, or what a comparison refuses.
    """
    asked = with_house(kept, request or CompareRequest())
    together = with_reference(kept, names)
    asked, looked = with_looks(kept, together, asked)
    fetched = fetch(kept, together, asked)
    question, said = declared_question(kept, [one.build.name for one in fetched], asked)
    groups = [PullGroup(one.build.name, one.pulls, ()) for one in fetched]
    engines = {one.build.name: one.build.engine for one in fetched}
    findings = [finding for one in fetched for pull in one.pulls for finding in pull.findings]
    findings += _sheets_moved_on(kept, fetched)
    result = compare_groups(groups, engines, question, asked, said={**said, **looked}, findings=findings)
    return fair_comparison(kept, fetched, result)


def with_reference(kept: Book, names: Sequence[str]) -> tuple[str, ...]:
    """Builds with the reference first.

    Args:
        kept: the book.
        names: as asked; a single one brings the reference of its sheet, and where the part was judged again at its own
            best tune, that build too: as bolted on and re-tuned stand side by side.

    Returns:
        At least two names.

    Raises:
        NotComparable: one build alone that names no reference.
    """
    if len(names) > 1:
        return tuple(dict.fromkeys(names))
    alone = Shelf(kept).build(names[0])
    if not alone.reference:
        remedy = 'name the reference first, or write reference = "NAME" in its sheet'
        raise NotComparable(
            Fault("no-reference", alone.name, "one build alone, and its sheet names no reference", remedy)
        )
    return tuple(dict.fromkeys((alone.reference, *_as_bolted_on_and_tuned(kept, alone))))


def _as_bolted_on_and_tuned(kept: Book, build: Build) -> tuple[str, ...]:
    """The build as bolted on, then those with counted pulls that are its re-tuned form."""
    first = build.tuned_from or build.name
    tuned = [sheet.name for sheet in kept.sheets("build") if sheet.body.get("tuned_from") == first]
    counted = {line.build for line in kept.pulls(builds=(first, *tuned), states=(COUNTS,))} if tuned else set()
    return tuple(name for name in (first, *tuned) if name in counted or name == build.name)


def with_looks(kept: Book, names: Sequence[str], request: CompareRequest) -> tuple[CompareRequest, dict[str, str]]:
    """The request with the looks that a watch has counted: looking again later does not unlook them.

    Args:
        kept: the book.
        names: of the builds, reference first.
        request: as asked; a look that was named stands.

    Returns:
        The request; what is to be said of the looks, "" where there were none.
    """
    counted = max((kept.looks(names[0], name) for name in names[1:]), default=0)
    if request.look is not None or not counted:
        return request, {}
    return replace(request, look=counted), {"look": f"{counted}, as counted by the watch; bands are widened for it"}


def with_house(kept: Book, request: CompareRequest) -> CompareRequest:
    """The request with the house's preferences where it leaves something open."""
    house = kept.settings()
    return replace(
        request,
        standard=request.standard or house.get("standard", ""),
        step=request.step or (parse(house["grid"], "rpm") if house.get("grid") else None),
        band=request.band,
        smallest=request.smallest,
    )


def fetch(kept: Book, names: Sequence[str], request: CompareRequest) -> list[Fetched]:
    """Builds and their counted pulls.

    Args:
        kept: the book.
        names: of builds.
        request: pulls left out, and up to where they count.

    Returns:
        One for each name.

    Raises:
        UnknownName: no such build. NotComparable: builds without counted pulls, all at once.
    """
    shelf = Shelf(kept)
    found: list[Fetched] = []
    faults: list[Fault] = []
    for name in names:
        build = shelf.build(name)
        counted = kept.pulls(builds=(name,), states=(COUNTS,), full=True)
        lines = [one for one in counted if one.name not in request.leave_out]
        lines.sort(key=lambda line: (line.started_at is None, line.started_at or 0.0, line.number))
        if not lines:
            aside = len(kept.pulls(builds=(name,)))
            seen = f"no counted pull; {aside} set aside or void" if aside else "no pull of this build"
            remedy = "take one in: fairpull take FILE --build " + name
            faults.append(Fault("no-counted-pull", f"build {name}", seen, remedy))
        pulls = [
            _up_to(kept.trace(line.name), request.valid_to.get(line.name, request.valid_to.get(name))) for line in lines
        ]
        found.append(Fetched(build, tuple(pulls), tuple(lines)))
    if faults:
        raise NotComparable(faults)
    return found


def _up_to(pull: Pull, limit: float | None) -> Pull:
    return pull if limit is None else replace(pull, valid_to=limit)


def declared_question(kept: Book, names: Sequence[str], request: CompareRequest) -> tuple[Question, dict[str, str]]:
    """The question that was written down for these builds, and how it came about.

    Args:
        kept: the book.
        names: of the builds compared.
        request: options overrule; the house's settings fill in.

    Returns:
        The question; choices to show.
    """
    house = kept.settings()
    question, said = Question(), {"question": "none declared"}
    for sheet in kept.sheets("question"):
        about = sheet.body.get("builds", [])
        if set(names) <= set(about):
            body = {key: value for key, value in sheet.body.items() if key != "builds"}
            question = question_from_table(body, where=f"question {sheet.name}")
            said = {"question": f"sheet {sheet.name}, version {sheet.version}"}
    band = question.band or (parse_band(house["band"]) if house.get("band") else None)
    smallest = question.smallest
    if not question.declared and house.get("smallest"):
        smallest = parse_share(house["smallest"])
    if request.band is not None:
        band, said["band"] = request.band, f"{request.band[0]:.0f}-{request.band[1]:.0f} rpm, by option"
    if request.smallest is not None:
        smallest = request.smallest
        said["smallest difference worth having"] = f"{request.smallest * 100:g} %, by option"
    return replace(question, band=band, smallest=smallest), said


def fair_comparison(kept: Book, fetched: Sequence[Fetched], result: Comparison) -> FairComparison:
    """A comparison with its ledgers and fair views.

    Args:
        kept: the book.
        fetched: builds and pulls, reference first.
        result: the plain comparison.

    Returns:
        The whole.
    """
    from fairpull.compare.fairness import boost_facts, fair_looks
    from fairpull.compare.ledger import make_ledger

    facts = run_facts(kept, fetched)
    reference, *others = facts
    ledgers: list[Ledger] = []
    looks: dict[str, tuple[FairLook, ...]] = {}
    boost: list[BoostFacts] = []
    findings: list[Finding] = []
    for other, one in zip(others, fetched[1:], strict=True):
        changes = engine.build_changes(fetched[0].build, one.build)
        ledger = make_ledger(reference, other, result, changes=changes)
        ledgers.append(ledger)
        found, unseen = fair_looks(reference, other, result)
        looks[one.build.name] = found
        findings += [*ledger.findings, *unseen]
        boosted = boost_facts(reference, other, result)
        boost += [boosted] if boosted is not None else []
    return FairComparison(result, tuple(ledgers), looks, tuple(boost), tuple(dict.fromkeys(findings)))


def run_facts(kept: Book, fetched: Sequence[Fetched]) -> list[RunFacts]:
    """What each build's pulls say about the circumstances they ran in."""
    everything = sorted(
        (line for one in fetched for line in one.lines),
        key=lambda line: (line.started_at is None, line.started_at or 0.0, line.number),
    )
    place = {line.name: float(number) for number, line in enumerate(everything, start=1)}
    return [
        RunFacts(
            build=one.build,
            pulls=one.pulls,
            factors=np.array([line.summary.get("factor", 1.0) for line in one.lines]),
            numbers=np.array([place[line.name] for line in one.lines]),
            session=tuple(line.session for line in one.lines),
            calibrations=tuple(_calibration(kept, line) for line in one.lines),
            accessories=tuple(str(item) for item in _accessories(one.build.body)),
        )
        for one in fetched
    ]


def _accessories(body: Mapping[str, Any]) -> list[object]:
    given = body.get("accessories", [])
    return list(given) if isinstance(given, (list, dict)) else [given]


def _calibration(kept: Book, line: KeptPull) -> str:
    if line.choices.get("calibration"):
        return line.choices["calibration"]
    if not line.session:
        return ""
    session = session_from_table(kept.sheet("session", line.session).body, where=f"session {line.session}")
    if session.calibration is None:
        return ""
    return f"weights hung on {session.date or line.session}, not applied"


def _sheets_moved_on(kept: Book, fetched: Sequence[Fetched]) -> list[Finding]:
    """Builds whose sheet was corrected after a pull was taken: the pull may have run with something else."""
    found = []
    for one in fetched:
        newest = kept.sheet("build", one.build.name).version
        older = [line.name for line in one.lines if line.build_version != newest]
        if older:
            text = f"The sheet of this build was changed after {', '.join(older)}; version {newest} is used."
            remedy = "If what was fitted changed, make a new build of it instead, and move no pull."
            found.append(Finding("sheet-changed-since", Severity.NOTE, f"build {one.build.name}", text, remedy))
    return found
