"""From log files to a verdict: read, find, clean, correct, compare."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from fairpull import pulls
from fairpull.compare import compare
from fairpull.tasks.declared import read_declared
from fairpull.tasks.groups import expand
from fairpull.tasks.machines import Machines
from fairpull.tasks.pulls_of_files import PullGroup, read_groups
from fairpull.tasks.question_file import read_question
from fairpull.tasks.request import CompareRequest
from fairpull.tasks.unlike import fair_views, with_derived
from fairpull.tasks.weather import Weather, weather_of
from fairpull.terms.comparison import Comparison, Question
from fairpull.terms.errors import FairpullError, Fault, NotComparable
from fairpull.terms.findings import Finding
from fairpull.terms.pull import Curve

STEPS = (50.0, 100.0, 200.0, 250.0, 500.0)
MOST_STEPS = 48


def compare_files(groups: Sequence[str], request: CompareRequest | None = None) -> Comparison:
    """Compare builds by their log files.

    Args:
        groups: GROUP words, reference first: a file, a folder, a glob, or NAME=one of these.
        request: everything else; None takes the defaults.

    Returns:
        The comparison, with the files' hashes.

    Raises:
        FairpullError: anything that cannot be read, corrected or compared; all faults of a stage at once.
    """
    asked = request or CompareRequest()
    files = expand(groups)
    machines = Machines(asked.engine_files, () if asked.read.by else tuple(group.name for group in files))
    found = read_groups(files, asked, machines)
    engines = {group.name: machine for group in found if (machine := machines.of(group.name)) is not None}
    question = _question(asked, files[0].files[0].parent)
    step = asked.step or _step(found)
    curves = _curves(found, step)
    everything = [curve for _, members in curves for curve in members]
    by_pull = {pull.name: engines[group.name] for group in found if group.name in engines for pull in group.pulls}
    weather = weather_of(everything, by_pull, asked.standard)
    result = compare(
        curves,
        question=question,
        standard=weather.standard,
        factors=weather.factors,
        order=asked.order or None,
        look=asked.look,
        planned_looks=asked.planned_looks or (question.planned_pulls if asked.look else None),
        declared=read_declared(asked),
        seed=asked.seed,
    )
    result = with_derived(result, engines)
    views = fair_views(found, engines, weather, question, step, asked) if len(engines) == len(found) else ()
    rates = {pull.name: pull.sweep_rate for group in found for pull in group.pulls}
    return replace(
        result,
        pulls=tuple(replace(row, sweep_rate=rates[row.pull]) for row in result.pulls),
        views=views,
        choices={**result.choices, **_more_choices(asked, found, step, weather, curves)},
        findings=_merge(result.findings, weather, found),
        sources={rec.origin.path: rec.origin.sha256 for group in found for rec in group.recordings},
    )


def _question(request: CompareRequest, beside: Path) -> Question:
    path = request.question_file
    if path is None and (beside / "question.toml").exists():
        path = beside / "question.toml"
    question = read_question(path) if path else Question()
    if request.band is not None:
        question = replace(question, band=request.band)
    if request.smallest is not None:
        question = replace(question, smallest=request.smallest)
    return question


def _step(found: Sequence[PullGroup]) -> float:
    """The finest usual step that keeps the grid readable."""
    spans = [np.nanmax(p.channels["rpm"]) - np.nanmin(p.channels["rpm"]) for group in found for p in group.pulls]
    widest = float(max(spans, default=0.0))
    return next((step for step in STEPS[1:] if widest / step < MOST_STEPS), STEPS[-1])


def _curves(found: Sequence[PullGroup], step: float) -> list[tuple[str, list[Curve]]]:
    faults: list[Fault] = []
    result: list[tuple[str, list[Curve]]] = []
    for group in found:
        members = []
        for pull in group.pulls:
            try:
                members.append(pulls.curve(pull, step=step))
            except FairpullError as error:
                faults += error.faults
        result.append((group.name, members))
    if faults:
        raise NotComparable(faults)
    return result


def _more_choices(
    request: CompareRequest,
    found: Sequence[PullGroup],
    step: float,
    weather: Weather,
    curves: Sequence[tuple[str, Sequence[Curve]]],
) -> dict[str, str]:
    seen: dict[str, set[str]] = {}
    for _, members in curves:
        for curve in members:
            for key, value in curve.choices.items():
                seen.setdefault(key, set()).add(value)
    said = {"rpm grid": f"{step:g} rpm, " + ("named" if request.step else "by default")}
    said |= {key: next(iter(values)) for key, values in seen.items() if len(values) == 1}
    differing = [key for key, values in seen.items() if len(values) > 1]
    if differing:
        said["differs from pull to pull"] = f"{', '.join(differing)} (see fairpull read, or --json)"
    if request.leave_out:
        said["left out"] = "; ".join(f"{name}: {reason}" for name, reason in request.leave_out.items())
    if request.valid_to:
        said["counts only up to"] = "; ".join(f"{name}: {rpm:.0f} rpm" for name, rpm in request.valid_to.items())
    if weather.missing:
        said["standards not computed"] = "; ".join(f"{key}: {why}" for key, why in weather.missing.items())
    if not request.standard:
        said["standard"] = f"{weather.standard} (default where weather is known)"
    return said


def _merge(findings: Sequence[Finding], weather: Weather, found: Sequence[PullGroup]) -> tuple[Finding, ...]:
    read = [finding for group in found for recording in group.recordings for finding in recording.findings]
    return tuple(dict.fromkeys([*findings, *weather.findings, *read]))
