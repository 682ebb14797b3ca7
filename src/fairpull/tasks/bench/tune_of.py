"""Spark and mixture loops from held points or a series of pulls; running in over an engine's pulls."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

import numpy as np

from fairpull import pulls, tune
from fairpull.tasks.bench.builds import Shelf
from fairpull.tasks.bench.named import Named, named_pulls
from fairpull.tasks.bench.tune_limits import allowed, no_limits
from fairpull.tasks.progress import Progress, silent
from fairpull.terms.arrays import FloatArray
from fairpull.terms.bench import COUNTS, KeptPull
from fairpull.terms.errors import Fault, NotComparable, UnknownName, ValueRefused
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.tune_view import TuneView
from fairpull.terms.tuning import Loop, LoopPoints, RunningIn, TuneResult

if TYPE_CHECKING:
    from fairpull.book import Book
    from fairpull.terms.build import Build
    from fairpull.terms.pull import Pull

KINDS = ("spark", "mixture")
NEAR = 75.0  # rpm; a held point this near to a speed of the grid belongs to it
STEP = 400.0  # rpm between loops where nobody named speeds
CAUTIONS = (
    "Tuning at full load can kill the engine in seconds: knock and lean mixture first. Listen for knock, keep the "
    "limits card in force, stop on any jump of exhaust temperature, and let one person do nothing but watch.",
    "What is computed here is an estimate from few points; it does not replace the part makers' limits, local codes "
    "and licensed practice.",
)
STEP_OF_MEANS = 100.0
CHANNELS = {"spark": "spark_advance", "mixture": "lambda"}
WAYS = {"spark": ("", "spark"), "mixture": ("", "lambda", "jet")}
NUMBER = re.compile(r"\d+(?:\.\d+)?")


def tune_of(
    kind: str,
    names: Sequence[str],
    *,
    speeds: str = "",
    by: str = "",
    limits: str = "",
    knock_limit: float | None = None,
    fuel: str = "",
    engine: str = "",
    book: str = "",
    progress: Progress = silent,
) -> TuneResult:
    """Fit the loop of every speed.

    Args:
        kind: "spark" or "mixture".
        names: log files, pulls or builds of the book; all of one engine, other than in this setting alike.
        speeds: "2000,3000 rpm"; "" takes every 400 rpm of the common range.
        by: for mixture, "lambda" or "jet" (the main jet of the builds' jets, or their ``jets`` setting).
        limits: least and most setting that may be run, e.g. "20-34 deg" or "0.82-0.92"; the builds' sheets may name
            more as ``spark_limits``, ``lambda_limits`` and ``jet_limits``, and the narrowest of all rules.
        knock_limit: knock level that counts.
        fuel: name of the fuel, for the mixture's rule; "" takes the engine's.
        engine, book, progress: as for ``named_pulls``.

    Returns:
        The loops, with the usual cautions.

    Raises:
        UnknownName: no such kind, or no such way to tell a setting.
        NotComparable: no pull holds the setting, or no common speed.
        ValueRefused: words that cannot be values.
    """
    return tune_view_of(
        kind,
        names,
        speeds=speeds,
        by=by,
        limits=limits,
        knock_limit=knock_limit,
        fuel=fuel,
        engine=engine,
        book=book,
        progress=progress,
    ).result


def tune_view_of(
    kind: str,
    names: Sequence[str],
    *,
    speeds: str = "",
    by: str = "",
    limits: str = "",
    knock_limit: float | None = None,
    fuel: str = "",
    engine: str = "",
    book: str = "",
    files: bool = True,
    progress: Progress = silent,
) -> TuneView:
    """Loops as ``tune_of`` fits them, with what a picture of them needs.

    Args:
        kind, names, speeds, by, limits, knock_limit, fuel, engine, book, progress: as for ``tune_of``.
        files: whether names may be log files; no for words from a network.

    Returns:
        The loops, how their setting is told, and the limits card.

    Raises:
        FairpullError: as ``tune_of``.
    """
    if kind not in KINDS:
        raise UnknownName(Fault("tune-kind", kind, "no loop of this kind", f"one of: {', '.join(KINDS)}"))
    if by not in WAYS[kind]:
        remedy = f"leave it out, or one of: {', '.join(way for way in WAYS[kind] if way)}"
        raise UnknownName(Fault("tune-by", "--by", repr(by), remedy))
    of = "spark" if kind == "spark" else by or "lambda"
    allowed(limits, of, ())
    found = named_pulls(names, engine=engine, book=book, held=True, from_files=files, progress=progress)
    setting = _setting(kind, by, book)
    usable = [one for one in found if setting(one) is not None]
    if not usable:
        remedy = "log it, name its column in channels.toml, or use --by jet with builds whose sheets name their jets"
        raise NotComparable(Fault("no-setting", ", ".join(names), f"no pull holds {_said(kind, by)}", remedy))
    grid = _speeds(speeds, usable)
    may_run = allowed(limits, of, _builds(usable, book))
    loops = [
        _loop(kind, by, points, may_run.span, knock_limit, fuel or _fuel(usable))
        for rpm in grid
        if (points := _points(usable, rpm, setting)).setting.size
    ]
    left = [one.pull.name for one in found if one not in usable]
    notes = _left_out(left, kind, _said(kind, by)) if left else ()
    if may_run.span is None:
        notes = (*notes, no_limits(kind, of))
    choices = {
        "pulls": ", ".join(one.pull.name for one in usable),
        "limits": may_run.said,
        "torque": "corrected, each pull by its own factor",
        "speeds": speeds or f"every {STEP:g} rpm of the common range",
        "method": "parabola with the trade's curvature as belief, docs/tuning.md",
    }
    build = ", ".join(dict.fromkeys(one.build or one.pull.name for one in usable))
    return TuneView(TuneResult(kind, build, tuple(loops), choices, notes, CAUTIONS), of, may_run.span, knock_limit)


def _setting(kind: str, by: str, book: str) -> Callable[[Named], FloatArray | None]:
    """How a pull's setting is found."""
    if kind == "mixture" and by == "jet":
        return _jets(book)
    base = CHANNELS[kind]

    def of_channel(one: Named) -> FloatArray | None:
        names = [
            n for n in one.pull.channels if n == base or (n.startswith(f"{base}_") and n[len(base) + 1 :].isdigit())
        ]
        if not names:
            return None
        return np.asarray(np.mean([one.pull.channels[name] for name in names], axis=0))

    return of_channel


def _jets(book: str) -> Callable[[Named], FloatArray | None]:
    from fairpull.tasks.bench.door import the_book

    def of_sheet(one: Named) -> FloatArray | None:
        if not one.build:
            return None
        with the_book(book, read_only=True) as kept:
            number = _jet_number(Shelf(kept).build(one.build))
        return None if number is None else np.full(one.pull.channels["rpm"].shape, number)

    return of_sheet


def _jet_number(build: Build) -> float | None:
    """Number of a build's main jet: its ``jets`` setting, else what is stamped on its jets."""
    part = build.parts.get("jets")
    stamped = "" if part is None else str(part.body.get("main", "") or part.name)
    found = NUMBER.search(build.settings.get("jets", "") or stamped)
    return float(found[0]) if found else None


def _said(kind: str, by: str) -> str:
    return "a jet number" if by == "jet" else CHANNELS[kind]


def _speeds(speeds: str, found: Sequence[Named]) -> list[float]:
    if speeds:
        try:
            return [float(word.lower().replace("rpm", "")) for word in speeds.split(",")]
        except ValueError:
            raise ValueRefused(Fault("speeds", "--speeds", repr(speeds), 'write "2000,3000 rpm"')) from None
    low = max(float(np.nanmin(one.pull.channels["rpm"])) for one in found)
    high = min(float(np.nanmax(one.pull.channels["rpm"])) for one in found)
    grid = np.arange(math.ceil(low / STEP) * STEP, high + 1.0, STEP)
    if grid.size == 0:
        seen = "the pulls have no common speed"
        raise NotComparable(Fault("no-common-speed", "pulls", seen, "name pulls that overlap, or name --speeds"))
    return [float(rpm) for rpm in grid]


def _builds(found: Sequence[Named], book: str) -> tuple[Build, ...]:
    """Sheets of the builds that pulls of the book ran with."""
    names = dict.fromkeys(one.build for one in found if one.build)
    if not names:
        return ()
    from fairpull.tasks.bench.door import the_book

    with the_book(book, read_only=True) as kept:
        shelf = Shelf(kept)
        return tuple(shelf.build(name) for name in names)


def _points(found: Sequence[Named], rpm: float, setting: Callable[[Named], FloatArray | None]) -> LoopPoints:
    rows: list[tuple[float, float, float, str]] = []
    for one in found:
        values = setting(one)
        if values is not None:
            rows += _rows(one.pull, values, one.factor, rpm)
    columns = np.array([row[:3] for row in rows], dtype=float).reshape(-1, 3)
    return LoopPoints(rpm, columns[:, 0], columns[:, 1], columns[:, 2], tuple(row[3] for row in rows))


def _rows(pull: Pull, setting: FloatArray, factor: float, rpm: float) -> list[tuple[float, float, float, str]]:
    """Held points near a speed, or the one point of a sweep there: setting, corrected torque, knock, pull."""
    knock = pull.channels.get("knock", np.full(setting.shape, np.nan))
    if pull.kind == "steps":
        near = np.flatnonzero(np.abs(pull.channels["rpm"] - rpm) <= NEAR)
        return [(setting[i], pull.channels["torque"][i] * factor, knock[i], pull.name) for i in near]
    curve = pulls.curve(pull, np.array([rpm]))
    if not np.isfinite(curve.torque).all():
        return []
    near = np.flatnonzero(np.abs(pull.channels["rpm"] - rpm) <= NEAR)
    level = float(np.nanmedian(setting[near])) if np.isfinite(setting[near]).any() else math.nan
    loud = float(np.nanmax(knock[near])) if near.size and np.isfinite(knock[near]).any() else math.nan
    return [(level, float(curve.torque[0]) * factor, loud, pull.name)]


def _loop(
    kind: str, by: str, points: LoopPoints, limits: tuple[float, float] | None, knock_limit: float | None, fuel: str
) -> Loop:
    if kind == "mixture":
        return tune.mixture_loop(points, by=by or "lambda", limits=limits, fuel=fuel, knock_limit=knock_limit)
    return tune.spark_loop(points, knock_limit=knock_limit, limits=limits)


def _fuel(found: Sequence[Named]) -> str:
    machine = found[0].engine
    name = "" if machine is None or machine.fuel is None else machine.fuel.name
    stoichiometric = 14.6 if machine is None or machine.fuel is None else machine.fuel.stoichiometric
    return "petrol" if not name or stoichiometric > 14.0 else name


def _left_out(names: Sequence[str], kind: str, said: str) -> tuple[Finding, ...]:
    text = f"No {said.removeprefix('a ')} in {', '.join(names)}; they are not in the loops."
    remedy = "Name the column in channels.toml if the log holds it."
    return (Finding("no-setting-logged", Severity.NOTE, kind, text, remedy),)


def running_in_of(kept: Book, engine: str) -> RunningIn:
    """Whether an engine of the book has settled.

    Args:
        kept: the book.
        engine: name of its sheet.

    Returns:
        The trend over its counted pulls.

    Raises:
        UnknownName: no such engine.
    """
    kept.sheet("engine", engine)
    shelf = Shelf(kept)
    builds = {sheet.name: shelf.build(sheet.name) for sheet in kept.sheets("build")}
    mine = [name for name, build in builds.items() if build.engine_name == engine]
    lines = list(kept.pulls(builds=tuple(mine), states=(COUNTS,), full=True)) if mine else []
    lines.sort(key=lambda line: (line.started_at is None, line.started_at or 0.0, line.number))
    hours, usual, age = _ages(lines, [builds[line.build].hours for line in lines])
    return tune.running_in(
        engine,
        [line.name for line in lines],
        [line.build for line in lines],
        hours,
        _band_means(kept, lines),
        _mean_of(lines, "blow_by"),
        _mean_of(lines, "oil_temperature"),
        usual=usual,
        age=age,
    )


def _ages(lines: Sequence[KeptPull], given: Sequence[float | None]) -> tuple[FloatArray, float, str]:
    """Hours of every pull where the builds' sheets say them, running numbers otherwise; the usual time; which."""
    from fairpull.tune.running_in import USUAL_HOURS, USUAL_PULLS

    numbers = np.arange(1.0, len(lines) + 1.0)
    if lines and all(one is not None for one in given):
        # pulls of one build share its sheet's hours; each full-load pull is a minute or two of them
        return np.array(given, dtype=float) + 0.03 * numbers, USUAL_HOURS, "h"
    return numbers, USUAL_PULLS, "pulls"


def _band_means(kept: Book, lines: Sequence[KeptPull]) -> FloatArray:
    """Corrected torque of every pull, averaged over the speeds that all of them cover."""
    curves = [pulls.curve(kept.trace(line.name), step=STEP_OF_MEANS) for line in lines]
    low = max((curve.tested[0] for curve in curves), default=0.0)
    high = min((curve.tested[1] for curve in curves), default=0.0)
    means = [
        float(np.nanmean(curve.torque[(curve.rpm >= low) & (curve.rpm <= high)])) * line.summary.get("factor", 1.0)
        for curve, line in zip(curves, lines, strict=True)
    ]
    return np.array(means)


def _mean_of(lines: Sequence[KeptPull], channel: str) -> FloatArray:
    return np.array([line.figures[channel].mean if channel in line.figures else math.nan for line in lines])
