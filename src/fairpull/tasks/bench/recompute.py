"""Stored numbers are computed again: pulls from their originals, results from their pulls."""

from __future__ import annotations

import json
import math
import platform
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from fairpull import pulls
from fairpull.tasks.bench.builds import Shelf
from fairpull.tasks.bench.compare_builds import compare_builds
from fairpull.tasks.bench.judge import STEP, correction_of, figures_of, summary_of
from fairpull.tasks.bench.reading import read_again
from fairpull.tasks.bench.resummary import as_taken
from fairpull.tasks.bench.sheet_files import sheet_findings
from fairpull.tasks.request import CompareRequest
from fairpull.terms.bench import COUNTS, BookCheck, KeptPull, StoredResult
from fairpull.terms.errors import FairpullError
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.version import VERSION

if TYPE_CHECKING:
    from fairpull.book import Book
    from fairpull.terms.ledger import FairComparison
    from fairpull.terms.pull import Pull

CLOSE = 1e-9  # relative; between machines and versions
HOUSE = ("standard", "grid", "band", "smallest")
"""Settings of the house that a comparison takes where nothing was asked."""

Told = Callable[[str, int, int], None]


def nobody(what: str, number: int, total: int) -> None:
    """Nobody listens."""


def whole_check(kept: Book, told: Told = nobody, *, recompute: bool = True) -> BookCheck:
    """Check the book: its files and rows, its pulls against their originals, its results against their pulls.

    Args:
        kept: the book.
        told: is told of each thing before it is looked at.
        recompute: read originals and compute results again; without, only files and rows are looked at.

    Returns:
        What is wrong, and how much was looked at.
    """
    store = kept.check(told)
    if not recompute:
        return store
    findings = [*store.findings, *sheet_findings(kept)]
    lines = kept.pulls(full=True)
    for number, line in enumerate(lines, start=1):
        told(f"reading {line.original_name} again", number, len(lines))
        findings += check_pull(kept, line)
    results = kept.results()
    for number, result in enumerate(results, start=1):
        told(f"computing {result.name} again", number, len(results))
        findings += check_result(kept, result)
    counts = {**store.looked_at, "pulls read again": len(lines), "results computed again": len(results)}
    return BookCheck(tuple(findings), counts)


def check_pull(kept: Book, line: KeptPull) -> list[Finding]:
    """Read a pull's original again and hold it against its trace."""
    where = f"pull {line.name}"
    try:
        again, trace = read_again(kept, line), kept.trace(line.name)
    except (FairpullError, IndexError) as error:
        remedy = "Restore the book from its back-up; if this version reads the log differently, take it in again."
        return [Finding("pull-not-readable-again", Severity.FAULT, where, str(error), remedy)]
    same = line.version == VERSION
    worst = 0.0
    for name in sorted(set(again.channels) | set(trace.channels)):
        one, other = again.channels.get(name), trace.channels.get(name)
        if one is None or other is None or one.shape != other.shape:
            return [_differs(where, f"channel {name} is not the same length or missing", line.version)]
        if not np.array_equal(one, other, equal_nan=True):
            worst = max(worst, relative(one, other))
    if worst > (0.0 if same else CLOSE):
        return [_differs(where, f"read again, channels differ by up to {worst:.1e} relative", line.version)]
    return check_summary(kept, line, trace)


def check_summary(kept: Book, line: KeptPull, trace: Pull) -> list[Finding]:
    """Compute a pull's factor, summary and channel figures again from its trace, up to where it was kept to count.

    Args:
        kept: the book.
        line: of the catalogue, in full.
        trace: its trace.

    Returns:
        A finding for each that is not as kept.
    """
    where = f"pull {line.name}"
    try:
        build = Shelf(kept).build_of(kept.sheet("build", line.build, line.build_version))
        counted = as_taken(line, trace)
        curve = pulls.curve(counted, step=STEP)
        factor = correction_of(curve, build.engine, _standard(line)).factor
        again = summary_of(curve, factor, counted)
        figures = figures_of(trace, build.engine)
    except FairpullError as error:
        return [_differs(where, f"its summary cannot be computed any more: {error}", line.version)]
    moved = _engine_changed_since(kept, build.engine_name, line)
    found = []
    limit = 0.0 if line.version == VERSION else CLOSE
    worst = max((_apart(value, again.get(name, math.nan)) for name, value in line.summary.items()), default=0.0)
    if worst > limit:
        found.append(_differs(where, f"Its summary figures differ by up to {worst:.1e} relative", line.version, moved))
    pairs = [
        (getattr(one, end), getattr(figures[name], end) if name in figures else math.nan)
        for name, one in line.figures.items()
        if name not in line.summary
        for end in ("least", "mean", "most")
    ]
    worst = max((_apart(*pair) for pair in pairs), default=0.0)
    if worst > limit:
        found.append(
            _differs(where, f"Its channels' figures differ by up to {worst:.1e} relative", line.version, moved)
        )
    return found


def _standard(line: KeptPull) -> str:
    """Standard that a pull's summary was corrected to."""
    named = line.choices.get("correction", "none").split(",")[0].strip()
    return "" if named == "none" else named


def _engine_changed_since(kept: Book, engine: str, line: KeptPull) -> bool:
    added = kept.sheet("engine", engine).added_at
    return added is not None and added > line.taken_at


def _apart(one: float, other: float) -> float:
    """Relative difference of two numbers; infinite where one is missing."""
    if not (math.isfinite(one) and math.isfinite(other)):
        return math.inf
    scale = max(abs(one), abs(other))
    return abs(one - other) / scale if scale else 0.0


def relative(one: np.ndarray, other: np.ndarray) -> float:
    """Largest relative difference of two arrays; infinite where one has a value and the other none."""
    if (np.isnan(one) != np.isnan(other)).any():
        return math.inf
    scale = np.maximum(np.abs(one), np.abs(other))
    with np.errstate(invalid="ignore", divide="ignore"):
        share = np.where(scale > 0, np.abs(one - other) / scale, 0.0)
    return float(np.nanmax(share, initial=0.0))


def _differs(where: str, text: str, version: str, expected: bool = False) -> Finding:
    """A stored number that does not come out again; a note only where a sheet behind it was changed since."""
    if expected:
        remedy = "Nothing is damaged: the engine's sheet was changed since. Take the file in again to keep both."
        return Finding("not-the-same-again", Severity.NOTE, where, f"{text}; its engine's sheet is newer.", remedy)
    remedy = "Look whether the original, the code version or the machine changed; restore the book from its back-up."
    return Finding("not-the-same-again", Severity.FAULT, where, f"{text} (kept by version {version}).", remedy)


@dataclass(frozen=True, slots=True)
class Decided:
    """Everything in the book that decides a comparison of builds, as it stands.

    Attributes:
        traces: counted pull -> content hash of its trace.
        sheets: "kind/name" -> version: builds with their engines and parts, and questions about them.
        house: the house's settings that fill in what was not asked.
        limits: pull -> speed up to which it counts [rpm].
    """

    traces: Mapping[str, str]
    sheets: Mapping[str, int]
    house: Mapping[str, str]
    limits: Mapping[str, float]


def decided(kept: Book, names: Sequence[str], asked: Mapping[str, Any]) -> Decided:
    """What decides a comparison now.

    Args:
        kept: the book.
        names: of the builds.
        asked: as for ``store_comparison``.

    Returns:
        The whole of it.

    Raises:
        UnknownName: no such build.
    """
    lines = [
        line
        for line in kept.pulls(builds=tuple(names), states=(COUNTS,))
        if line.name not in asked.get("leave_out", {})
    ]
    settings = kept.settings()
    return Decided(
        traces={line.name: line.trace for line in lines},
        sheets=_sheets_behind(kept, names),
        house={key: settings[key] for key in HOUSE if settings.get(key)},
        limits={line.name: line.valid_to for line in lines if line.valid_to is not None},
    )


def _sheets_behind(kept: Book, names: Sequence[str]) -> dict[str, int]:
    shelf = Shelf(kept)
    behind: dict[str, int] = {}
    for name in names:
        build = shelf.build(name)
        parts = [("part", part.name) for part in build.parts.values()]
        for kind, one in [("build", name), ("engine", build.engine_name), *parts]:
            behind[f"{kind}/{one}"] = shelf.sheet(kind, one).version
    asking = [one for one in kept.sheets("question") if set(names) <= set(one.body.get("builds", []))]
    return behind | {f"question/{one.name}": one.version for one in asking}


def store_comparison(
    kept: Book, name: str, names: Sequence[str], asked: Mapping[str, Any], made: FairComparison
) -> None:
    """Keep a comparison with everything that decides it.

    Args:
        kept: the book.
        name: to keep it under.
        names: of the builds, reference first.
        asked: fields of ``CompareRequest`` that were not the defaults, as plain data.
        made: the result.
    """
    from fairpull.show.json_fair import fair_to_json

    behind = decided(kept, names, asked)
    around = {"house": dict(behind.house), "limits": dict(behind.limits)}
    kept.keep_result(
        StoredResult(
            name=name,
            kind="comparison",
            request={"builds": list(names), "asked": dict(asked), **around},
            traces=behind.traces,
            sheets=behind.sheets,
            result=json.dumps(fair_to_json(replace(made, past={})), sort_keys=True),
            version=VERSION,
            machine=platform.machine(),
            made_at=time.time(),
        )
    )


def check_result(kept: Book, result: StoredResult) -> list[Finding]:
    """Compute a stored result again and hold it against what was kept."""
    from fairpull.show.json_fair import fair_to_json

    where = f"result {result.name}"
    names, asked = result.request["builds"], result.request["asked"]
    before = Decided(result.traces, result.sheets, result.request["house"], result.request["limits"])
    if decided(kept, names, asked) != before:
        text = (
            "The pulls that count, a sheet or a setting changed since it was made; it stands for what was known then."
        )
        remedy = "Compare again and keep the new result under another name."
        return [Finding("result-outdated", Severity.NOTE, where, text, remedy)]
    try:
        again = fair_to_json(compare_builds(kept, names, CompareRequest(**asked)))
    except FairpullError as error:
        return [_differs(where, f"it cannot be computed any more: {error}", result.version)]
    old, new = json.loads(result.result), json.loads(json.dumps(again, sort_keys=True))
    if old == new:
        return []
    same = result.version == VERSION and result.machine == platform.machine()
    worst = json_distance(old, new)
    if worst > (0.0 if same else CLOSE):
        return [_differs(where, f"computed again, numbers differ by up to {worst:.1e} relative", result.version)]
    return []


def json_distance(one: object, other: object) -> float:
    """Largest relative difference of the numbers in two JSON documents; infinite where anything else differs."""
    if isinstance(one, dict) and isinstance(other, dict):
        if set(one) != set(other):
            return math.inf
        return max((json_distance(one[key], other[key]) for key in one), default=0.0)
    if isinstance(one, list) and isinstance(other, list):
        if len(one) != len(other):
            return math.inf
        return max((json_distance(a, b) for a, b in zip(one, other, strict=True)), default=0.0)
    if isinstance(one, float | int) and isinstance(other, float | int) and not isinstance(one, bool):
        scale = max(abs(one), abs(other))
        return abs(one - other) / scale if scale else 0.0
    return 0.0 if one == other else math.inf
