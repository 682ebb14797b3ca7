"""From log files to a verdict: read, find, clean, correct, compare."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from fairpull import pulls
from fairpull.compare import compare
from fairpull.tasks.asked import asked_question
from fairpull.tasks.choices import request_choices
from fairpull.tasks.declared import read_declared
from fairpull.tasks.groups import expand
from fairpull.tasks.machines import Machines
from fairpull.tasks.names import same_log_twice
from fairpull.tasks.progress import Progress, silent
from fairpull.tasks.pulls_of_files import PullGroup, read_groups
from fairpull.tasks.request import CompareRequest
from fairpull.tasks.unlike import fair_views, with_derived
from fairpull.tasks.weather import weather_of
from fairpull.terms.comparison import Comparison
from fairpull.terms.errors import FairpullError, Fault, NotComparable, ValueRefused
from fairpull.terms.pull import Curve

STEPS = (100.0, 200.0, 250.0, 500.0)
MOST_STEPS = 48


def compare_files(
    groups: Sequence[str], request: CompareRequest | None = None, progress: Progress = silent
) -> Comparison:
    """Compare builds by their log files.

    Args:
        groups: GROUP words, reference first: a file, a folder, a glob, or NAME=one of these.
        request: everything else; None takes the defaults.
        progress: is told of each file before it is read.

    Returns:
        The comparison, with the files' hashes.

    Raises:
        FairpullError: anything that cannot be read, corrected or compared; all faults of a stage at once.
    """
    asked = request or CompareRequest()
    _refuse_loose_ends(asked)
    files = expand(groups)
    machines = Machines(asked.engine_files)
    question, said, overruled = asked_question(asked, files[0].files[0].parent)
    found = read_groups(files, asked, machines, progress)
    engines = {group.name: machine for group in found if (machine := machines.of(group.name)) is not None}
    step = asked.step or _step(found)
    curves = _curves(found, step)
    by_pull = {pull.name: engines[group.name] for group in found if group.name in engines for pull in group.pulls}
    weather = weather_of([curve for _, members in curves for curve in members], by_pull, asked.standard)
    looks = asked.planned_looks or (question.planned_pulls if asked.look else None)
    declared = read_declared(asked, machines)
    result = compare(
        curves,
        question=question,
        standard=weather.standard,
        factors=weather.factors,
        order=asked.order or None,
        look=asked.look,
        planned_looks=looks,
        declared=declared,
        seed=asked.seed,
    )
    result = with_derived(result, engines)
    views, unseen = fair_views(found, engines, weather, question, step, replace(asked, planned_looks=looks))
    rates = {pull.name: pull.sweep_rate for group in found for pull in group.pulls}
    recordings = [recording for group in found for recording in group.recordings]
    findings = [*overruled, *result.findings, *weather.findings, *unseen, *same_log_twice(recordings)]
    findings += [finding for curve in declared for finding in curve.findings]
    findings += [finding for recording in recordings for finding in recording.findings]
    return replace(
        result,
        pulls=tuple(replace(row, sweep_rate=rates[row.pull]) for row in result.pulls),
        views=views,
        choices={**result.choices, **said, **weather.choices, **request_choices(asked, step, curves, engines)},
        findings=tuple(dict.fromkeys(findings)),
        sources={recording.origin.path: recording.origin.sha256 for recording in recordings},
    )


def _refuse_loose_ends(request: CompareRequest) -> None:
    """Refuse options that would do nothing: the person meant something by them."""
    faults = []
    if request.planned_looks is not None and request.look is None:
        seen = f"{request.planned_looks} looks planned, but not which look this is"
        faults.append(Fault("looks-without-look", "--planned-looks", seen, "say which look this is: --look 1"))
    if request.declared_by and not request.declared_files:
        seen = f"{request.declared_by!r}, but no declared table"
        faults.append(Fault("nothing-declared", "--declared-by", seen, "name the table: --declared FILE"))
    if faults:
        raise ValueRefused(faults)


def _step(found: Sequence[PullGroup]) -> float:
    """The finest usual step that keeps the grid readable."""
    spans = [np.nanmax(p.channels["rpm"]) - np.nanmin(p.channels["rpm"]) for group in found for p in group.pulls]
    widest = float(max(spans, default=0.0))
    return next((step for step in STEPS if widest / step < MOST_STEPS), STEPS[-1])


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
