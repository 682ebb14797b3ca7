"""The coverage table as a page and as JSON."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from importlib.metadata import PackageNotFoundError, version

from simulations import errors, oracle
from simulations.cases import TABLES, Case
from simulations.tally import Totals, falls_short, share, standard_error

Rows = Sequence[tuple[Case, Totals]]


@dataclass(frozen=True, slots=True)
class Run:
    """What was run: the command, its seed, days of each case, and the hash of the code that decided."""

    command: str
    seed: int
    days: int
    code: str


def code_version(run: Run) -> str:
    """Version of the package with the hash of the code under test."""
    try:
        number = version("fairpull")
    except PackageNotFoundError:
        number = "not installed"
    return f"{number}, code {run.code}"


def _percent(value: float, digits: int = 1) -> str:
    return f"{100.0 * value:.{digits}f}"


def _what(case: Case) -> str:
    """The case in words."""
    world = case.world
    plan = case.plan
    scatter = "from prior" if world.scatter is None else f"{100 * world.scatter:g} %"
    length = "any" if world.length is None else f"{world.length:g} rpm"
    parts = [f"{plan.pulls_a} + {plan.pulls_b}", plan.order, f"scatter {scatter}", f"length {length}"]
    parts += [f"{world.drift} drift"] if world.drift != "none" else []
    parts += [world.family] if world.family != "gaussian" else []
    parts += ["one outlier in ten days"] if world.outliers else []
    parts += [f"reading noise {100 * world.noise:g} %"] if world.noise != errors.READING_NOISE else []
    parts += [f"zero {world.zero_pull:g} N m a pull"] if world.zero_pull else []
    parts += [f"zero {world.zero_block:g} N m a build"] if world.zero_block else []
    parts += ["ragged ranges"] if world.ragged else []
    parts += ["no clock"] if not plan.clock else []
    parts += [f"{case.truth.shape} {100 * case.truth.size:g} %"] if case.truth.size else []
    return ", ".join(parts)


def _short(case: Case, totals: Totals) -> str:
    short = "; ".join(falls_short(case, totals))
    if not short:
        return ""
    return f"**{short}**" + (" (beyond the model)" if case.beyond else "")


_COLUMNS = (
    "case",
    "coverage %",
    "mean's %",
    "differs %",
    "no difference %",
    "wrongly so %",
    "half width %",
    "all-knowing %",
    "falls short",
)


def _row(case: Case, totals: Totals) -> str:
    n = totals.judged
    covered = share(totals.covered, n)
    alarms = share(totals.differs, n)
    least = oracle.half_width(case)
    cells = [
        _what(case),
        f"{_percent(covered)} ± {_percent(standard_error(covered, n))}",
        _percent(share(totals.mean_covered, n)),
        f"{_percent(alarms)} ± {_percent(standard_error(alarms, n))}",
        _percent(share(totals.no_difference, n)),
        _percent(share(totals.missed, n)),
        _percent(share(totals.half_width, n), 2),
        "" if least is None else _percent(least, 2),
        _short(case, totals),
    ]
    if case.mode == "power":
        promised = share(totals.pulls_needed, totals.days - totals.no_promise)
        cells.insert(1, f"{promised:.1f}")
        cells.insert(2, str(totals.over_most))
    return "| " + " | ".join(cells) + " |"


def _table(key: str, rows: Rows) -> list[str]:
    """One section of the page."""
    columns = list(_COLUMNS)
    if key == "power":
        columns[1:1] = ["pulls a side promised, mean", "days over the cap"]
        columns[columns.index("differs %")] = "differs % (promised: 80)"
    lines = [f"## {TABLES[key]}", ""]
    lines += ["| " + " | ".join(columns) + " |", "|" + " --- |" * len(columns)]
    lines += [_row(case, totals) for case, totals in rows]
    return [*lines, ""]


def _shortfalls(rows: Rows) -> list[str]:
    """What falls short, first of all."""
    short = [(case, totals) for case, totals in rows if falls_short(case, totals)]
    inside = [row for row in short if not row[0].beyond]
    lines = [
        f"{len(rows)} cases; {len(short)} fall short somewhere, "
        f"{len(inside)} of them where the method's own assumptions hold.",
        "",
    ]
    for case, totals in short:
        lines.append(f"- {_what(case)}: {'; '.join(falls_short(case, totals))}{' (beyond)' if case.beyond else ''}")
    return [*lines, ""] if short else lines


_READING = """\
Made by `{command}` (seed {seed}, {days} days a case, {version}).

How to read it. *Coverage* is the share of days on which the true difference lay inside the simultaneous band at
every rpm that was compared (promised: at least 93 % with two pulls a side or more). *Mean's* is the same for
the interval of the band average. *Differs* is the share of days with that verdict: with no true change it is
the false-alarm rate (promised: at most 5 % plus three standard errors), with a true change the detection rate.
*No difference* is the share of days with the verdict *no difference that matters* (less than 1 %), *wrongly so*
where the true difference is that large somewhere. *Half width* is that of the band, averaged over rpm, in per
cent of torque; *all-knowing* is the half width of the narrowest 95 % band, drawn by somebody who knew scatter,
correlation and drift: over-coverage is paid in width against it. With a look after every pull, an error at any
look counts. ± is one binomial standard error. One pull a side is promised on average over the prior only; the
rows at a fixed scatter show what that hides.

What the days are made of. True torque times smooth pull error (white noise through a raised-cosine window;
scatter is its standard deviation at one rpm, length the lag at which correlation is 0.61), times drift, plus
torque zero, plus reading noise of {reading:g} % unless said otherwise. Drift: {drift_low:g} to {drift_high:g} %
over eight hours, or in one step at a random moment, either sign. Pulls 12 to 20 minutes apart, 30 to 60 across
a change of build. Level and tilt: the whole curve moves (four fifths of the variance) and leans. Heavy tails:
Student t, three degrees of freedom, same standard deviation. Ripple: half of the variance is a wave at fixed
rpm with a new amplitude at every pull. Growing with rpm: scatter four times as large at the top as at the
bottom. Outlier: on one day in ten one pull is off by {outlier_low:g} to {outlier_high:g} %. Prior: log-normal
scatter about {median:g} % (log sd {log_sd:g}), correlation length any from 200 to 1500 rpm. None of this shares
code with what it judges. *Beyond* marks days whose order cannot tell drift from change, or whose errors the
method does not assume.
"""


def markdown(run: Run, rows: Rows) -> str:
    """The whole page."""
    reading = _READING.format(
        command=run.command,
        seed=run.seed,
        days=run.days,
        version=code_version(run),
        reading=100.0 * errors.READING_NOISE,
        drift_low=100.0 * errors.DRIFT_SIZE[0],
        drift_high=100.0 * errors.DRIFT_SIZE[1],
        outlier_low=100.0 * errors.OUTLIER_SIZE[0],
        outlier_high=100.0 * errors.OUTLIER_SIZE[1],
        median=100.0 * errors.PRIOR_SCATTER_MEDIAN,
        log_sd=errors.PRIOR_SCATTER_LOG_SD,
    )
    lines = [
        "# How often the verdict is right",
        "",
        reading,
        "## Where it falls short",
        "",
        *_shortfalls(rows),
    ]
    for key in TABLES:
        some = [row for row in rows if row[0].table == key]
        if some:
            lines += _table(key, some)
    return "\n".join(lines)


def as_json(run: Run, rows: Rows) -> str:
    """The same as data: every case, its totals, and where it falls short."""
    cases = [
        {
            "case": asdict(case),
            "totals": asdict(totals),
            "falls_short": list(falls_short(case, totals)),
            "all_knowing": oracle.half_width(case),
        }
        for case, totals in rows
    ]
    return json.dumps({"run": asdict(run), "version": code_version(run), "cases": cases}, indent=1) + "\n"
