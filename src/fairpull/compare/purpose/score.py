"""Builds scored on a declared duty, start to finish."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise

from fairpull.compare.layout import Layout
from fairpull.compare.notes import confounded_with_day
from fairpull.compare.prior import DEFAULT_PRIOR, NoisePrior
from fairpull.compare.purpose.averages import bands_tally, gears_tally, histogram_tally, recovery_speed
from fairpull.compare.purpose.draws import DrawnCurve, draw_curves, unpaired
from fairpull.compare.purpose.duty_check import check_duty
from fairpull.compare.purpose.ground import lay_out_all
from fairpull.compare.purpose.limits import hold
from fairpull.compare.purpose.lines import cycle_tally, line_range, line_tally
from fairpull.compare.purpose.shaft import ShaftCurve, at_shaft
from fairpull.compare.purpose.site import SiteAir, at_site, in_reference_air
from fairpull.compare.purpose.tally import Tally
from fairpull.compare.purpose.ties import overlaps, pair_up, tie_groups
from fairpull.compare.purpose.view import load_of, output_curve
from fairpull.compare.purpose.words import score_findings, sentence
from fairpull.terms.build import Build
from fairpull.terms.comparison import Question
from fairpull.terms.duty_view import DutyView
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.pull import Curve
from fairpull.terms.purpose import Duty, Score, Scores

KINDS: Mapping[str, Callable[[ShaftCurve, Duty], Tally]] = {
    "bands": bands_tally,
    "load line": line_tally,
    "histogram": histogram_tally,
    "gears": gears_tally,
    "cycle": cycle_tally,
}


def score(
    duty: Duty,
    groups: Sequence[tuple[str, Sequence[Curve]]],
    *,
    builds: Mapping[str, Build] | None = None,
    standard: str = "none",
    factors: Mapping[str, Mapping[str, float]] | None = None,
    order: Sequence[str] | None = None,
    question: Question | None = None,
    prior: NoisePrior = DEFAULT_PRIOR,
    seed: int = 0,
) -> Scores:
    """Score builds on what the engine is for.

    Args:
        duty: what was declared; speeds are those of the output shaft, shift speeds those of the engine.
        groups: (build name, curves of observed torque); one build is enough.
        builds: build name -> its sheet, for gear, induction and limits; a build without one drives directly and is
            naturally aspirated.
        standard: key of the correction standard; must be in ``factors`` unless "none".
        factors: standard key -> pull name -> factor [-].
        order: pull names in running order, where logs have no clock.
        question: what was declared for the comparison; its words are kept with the choices.
        prior: noise prior.
        seed: of the draws; the same seed gives the same digits.

    Returns:
        All builds, ranked ones first, with ties called ties.

    Raises:
        ValueRefused: a duty that cannot be scored, or a site air that the standard cannot be computed for.
        NotComparable: an empty build, a pull twice, no factor, or a site air without a standard.

    Source: own definition, docs/purpose.md.
    """
    return score_with_curves(
        duty,
        groups,
        builds=builds,
        standard=standard,
        factors=factors,
        order=order,
        question=question,
        prior=prior,
        seed=seed,
    ).scores


def score_with_curves(
    duty: Duty,
    groups: Sequence[tuple[str, Sequence[Curve]]],
    *,
    builds: Mapping[str, Build] | None = None,
    standard: str = "none",
    factors: Mapping[str, Mapping[str, float]] | None = None,
    order: Sequence[str] | None = None,
    question: Question | None = None,
    prior: NoisePrior = DEFAULT_PRIOR,
    seed: int = 0,
) -> DutyView:
    """``score``, with the curves that were scored and the load that was asked for: what a picture of it needs.

    Args:
        duty, groups, builds, standard, factors, order, question, prior, seed: as for ``score``.

    Returns:
        Scores, curves at the output shaft and load.

    Raises:
        ValueRefused, NotComparable: as for ``score``.

    Source: own definition, docs/purpose.md.
    """
    check_duty(duty)
    known = builds or {}
    layouts = lay_out_all(groups, order)
    air = _air(duty, groups, known, standard, factors or {})
    drawn = _drawn(layouts, air.factors, prior, seed)
    curves = {one.name: _geared(one, known.get(one.name)) for one in drawn}
    tallies = {name: KINDS[duty.kind](curves[name], duty) for name, _ in groups}
    scores = [_score(duty, name, members, tallies[name], known.get(name)) for name, members in groups]
    scores.sort(key=_rank)
    differences = pair_up(tallies, duty.smallest)
    ties = tie_groups([one.build for one in scores if one.ranked], differences)
    found = [
        *score_findings(duty, scores, tallies, overlaps(ties, differences)),
        *air.findings,
        *_about_builds(layouts, groups, known),
        *(finding for _, members in groups for curve in members for finding in curve.findings),
    ]
    made = Scores(
        duty=duty,
        scores=tuple(scores),
        ties=ties,
        sentence=sentence(duty, scores, ties, differences),
        choices=_choices(duty, known, standard, air, question, seed),
        findings=tuple(dict.fromkeys(found)),
        differences=differences,
    )
    return DutyView(made, tuple(output_curve(curves[one.build]) for one in scores), *load_of(duty))


def _air(
    duty: Duty,
    groups: Sequence[tuple[str, Sequence[Curve]]],
    builds: Mapping[str, Build],
    standard: str,
    factors: Mapping[str, Mapping[str, float]],
) -> SiteAir:
    names = {build: [curve.name for curve in members] for build, members in groups}
    reference = in_reference_air(standard, [name for row in names.values() for name in row], factors)
    return reference if duty.air is None else at_site(duty.air, standard, reference, names, builds)


def _drawn(
    layouts: Sequence[Layout], factors: Mapping[str, float], prior: NoisePrior, seed: int
) -> tuple[DrawnCurve, ...]:
    if len(layouts) == 1:
        return draw_curves(layouts[0], factors, prior, seed)
    return tuple(
        unpaired(draw_curves(layout, factors, prior, seed + 1000 * number)[0], seed + number)
        for number, layout in enumerate(layouts)
    )


def _geared(curve: DrawnCurve, build: Build | None) -> ShaftCurve:
    return at_shaft(curve, build.gear, build.gear_efficiency) if build else at_shaft(curve, 1.0, 1.0)


def _span(duty: Duty, gear: float) -> tuple[float, float]:
    """Engine speeds of the duty, lowest and highest."""
    if duty.kind == "gears":
        shift = float(duty.shift_rpm or 0.0)
        return min(recovery_speed(shift, now, after) for now, after in pairwise(duty.gears)), shift
    if duty.kind == "bands":
        low, high = min(band.low for band in duty.bands), max(band.high for band in duty.bands)
    elif duty.kind == "load line":
        low, high = line_range(duty)
    else:
        speeds = [point.rpm for point in duty.points if point.rpm > 0.0]
        low, high = min(speeds), max(speeds)
    return low * gear, high * gear


def _score(duty: Duty, name: str, curves: Sequence[Curve], tally: Tally, build: Build | None) -> Score:
    span = _span(duty, build.gear if build else 1.0)
    held = [hold(veto, curves, build, span) for veto in duty.vetoes]
    return Score(
        build=name,
        value=tally.estimate(),
        parts=tally.parts,
        struck=tuple(one.broken for one in held if one.broken),
        untested=tally.untested,
        not_known=tuple(one.unknown for one in held if one.unknown),
    )


def _rank(one: Score) -> tuple[int, float, str]:
    """Ranked first, then an open veto, struck, incomplete; by falling score within each."""
    place = 0 if one.ranked else 3 if not one.complete else 2 if one.struck else 1
    return place, -one.value.value if one.complete else 0.0, one.build


def _about_builds(
    layouts: Sequence[Layout], groups: Sequence[tuple[str, Sequence[Curve]]], builds: Mapping[str, Build]
) -> list[Finding]:
    found = []
    if len(layouts) > 1:
        found.append(
            Finding(
                "scores-not-paired",
                Severity.NOTE,
                ", ".join(name for name, _ in groups),
                "No rpm was tested by every pull of every build, so each build's noise was learned by itself, and "
                "drift that two builds share does not fall out of their difference.",
                "Test the builds over a common range for sharper differences.",
            )
        )
    found += [
        Finding(
            "scores-across-days",
            Severity.NOTE,
            layout.build_names[k],
            f"{text[:1].upper()}{text[1:]}; the interval of their difference is widened for that.",
            "Run the builds in turn on one day for a sharper difference.",
        )
        for layout in layouts
        for k in range(1, layout.builds)
        if (text := confounded_with_day(layout, k))
    ]
    bare = [name for name, _ in groups if name not in builds]
    if bare and builds:
        found.append(
            Finding(
                "build-not-known",
                Severity.NOTE,
                ", ".join(bare),
                "There is no sheet of this build: it is taken to drive directly, naturally aspirated, with spark "
                "ignition.",
                "Write the build's sheet with its gear and gear efficiency.",
            )
        )
    return found


def _choices(
    duty: Duty, builds: Mapping[str, Build], standard: str, air: SiteAir, question: Question | None, seed: int
) -> dict[str, str]:
    said = {
        "duty": f"{duty.name}: {duty.kind}, source {duty.source}",
        "standard": standard,
        "air of the scores": air.said,
        "ties": f"interval of the difference holds zero, or closer than {duty.smallest * 100:g} %",
        "draws": f"noise model of the verdict, seed {seed}",
    }
    weights = sum(band.weight for band in duty.bands)
    if duty.bands and abs(weights - 1.0) > 1e-9:
        said["weights"] = f"add up to {weights:g}; taken as shares of that"
    if duty.kind == "load line":
        said["load line"] = "from {:,.0f} to {:,.0f} rpm".format(*line_range(duty))
        said["margin that must be left over"] = f"{duty.margin * 100:g} %"
    if duty.kind == "cycle":
        said["cycle"] = "margins of full load only; its weights are for fuel and emissions and are not used"
    for name, build in builds.items():
        if build.gear != 1.0 or build.gear_efficiency != 1.0:
            said[f"gear of {name}"] = f"{build.gear:g}:1, efficiency {build.gear_efficiency * 100:g} %"
    if question is not None and question.text:
        said["question"] = question.text
    return said
