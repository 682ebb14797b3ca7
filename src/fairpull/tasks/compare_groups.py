"""From groups of pulls to a verdict: curves, weather, comparison, views of unlike engines."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from fairpull import pulls
from fairpull.compare import compare
from fairpull.tasks.choices import request_choices
from fairpull.tasks.names import same_log_twice
from fairpull.tasks.pulls_of_files import PullGroup
from fairpull.tasks.request import CompareRequest
from fairpull.tasks.unlike import fair_views, with_derived
from fairpull.tasks.weather import weather_of
from fairpull.terms.comparison import Comparison, Question
from fairpull.terms.errors import FairpullError, Fault, NotComparable
from fairpull.terms.findings import Finding
from fairpull.terms.pull import Curve, DeclaredCurve

if TYPE_CHECKING:
    from fairpull.terms.engine import Engine

STEPS = (100.0, 200.0, 250.0, 500.0)
MOST_STEPS = 48


def compare_groups(
    found: Sequence[PullGroup],
    engines: Mapping[str, Engine],
    question: Question,
    asked: CompareRequest,
    *,
    declared: Sequence[DeclaredCurve] = (),
    said: Mapping[str, str] | None = None,
    findings: Sequence[Finding] = (),
) -> Comparison:
    """Compare builds by their pulls.

    Args:
        found: builds and their counted pulls, reference first.
        engines: group name -> engine, where one is known.
        question: what was declared.
        asked: everything else.
        declared: curves to lay beside.
        said: choices made on the way here, name -> readable value.
        findings: made on the way here.

    Returns:
        The comparison, with the files' hashes.

    Raises:
        FairpullError: what cannot be corrected or compared; all faults of a stage at once.
    """
    step = asked.step or _step(found)
    curves = _curves(found, step)
    by_pull = {pull.name: engines[group.name] for group in found if group.name in engines for pull in group.pulls}
    weather = weather_of([curve for _, members in curves for curve in members], by_pull, asked.standard)
    looks = asked.planned_looks or (question.planned_pulls if asked.look else None)
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
    every = [*findings, *result.findings, *weather.findings, *unseen, *same_log_twice(recordings)]
    every += [finding for curve in declared for finding in curve.findings]
    every += [finding for recording in recordings for finding in recording.findings]
    origins = [recording.origin for recording in recordings] or [pull.origin for group in found for pull in group.pulls]
    return replace(
        result,
        pulls=tuple(replace(row, sweep_rate=rates[row.pull]) for row in result.pulls),
        views=views,
        choices={
            **result.choices,
            **(said or {}),
            **weather.choices,
            **request_choices(asked, step, curves, engines),
        },
        findings=tuple(dict.fromkeys(every)),
        sources={origin.path: origin.sha256 for origin in origins},
    )


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
