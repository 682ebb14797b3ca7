"""Running in: does a new engine still gain from pull to pull, so that running in is not taken for a part's gain?

``log T_i = a(build of i) + b (1 - exp(-h_i / tau)) + e_i``: every build has a level of its own, the rise of a new
engine is common to all. ``tau`` and the scatter are tried on a grid, the rest is linear.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import Estimate
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.tuning import RunningIn
from fairpull.tune.loops import estimate

SETTLED = 0.005  # what may still come without being worth a word, fraction: agreement of pulls before believing
SCATTER, SCATTER_SPREAD = 0.004, 0.4  # of one pull, fraction; spread of its logarithm
RISE = 0.02  # a new engine's rise that is thought usual, standard deviation, fraction
USUAL_HOURS, USUAL_PULLS = 0.7, 6.0  # after which about two thirds of the rise have come; shops run in 20 to 90 min
USUAL_SPREAD = 0.6  # of its logarithm
TAUS, SCATTERS, DRAWS = 21, 11, 4000
LATEST = 4  # pulls over which the trend is told
LEAST = 3  # shops stop when three pulls agree
BLOW_BY_FALL = 0.05  # over the latest pulls; more is still falling


@dataclass(frozen=True, slots=True)
class Fit:
    """Draws of the rise: what each pull still lacks against a settled engine, shape (s, n), fraction."""

    lacking: FloatArray


def running_in(
    engine: str,
    pulls: Sequence[str],
    builds: Sequence[str],
    hours: FloatArray,
    torque: FloatArray,
    blow_by: FloatArray | None = None,
    oil_temperature: FloatArray | None = None,
    *,
    usual: float = USUAL_PULLS,
    age: str = "pulls",
    seed: int = 0,
) -> RunningIn:
    """A new engine's trend over its pulls.

    Args:
        engine: its name.
        pulls: names in running order.
        builds: name of each pull's build.
        hours: engine hours since new at each [h], or its running number since new where hours are unknown, shape (n,),
            rising.
        torque: band-average corrected torque of each [N m], shape (n,).
        blow_by: [m3/s], shape (n,), NaN where none; None: not measured.
        oil_temperature: [K], likewise.
        usual: hours, or pulls, after which about two thirds of the rise have usually come, in the unit of ``hours``.
        age: what ``hours`` counts, "h" or "pulls".
        seed: of the draws.

    Returns:
        The trend, from where it has settled, and how much is still to come.

    Source: own model, docs/tuning.md; three pulls that agree and blow-by that stops falling: practice.
    """
    n = len(pulls)
    blow = np.full(n, np.nan) if blow_by is None else blow_by
    oil = np.full(n, np.nan) if oil_temperature is None else oil_temperature
    if n < LEAST:
        sentence = f"{engine}: {n} pull{'s' if n != 1 else ''} say nothing of running in; {LEAST} that agree would."
        return RunningIn(engine, tuple(pulls), hours, torque, blow, oil, None, "", None, sentence, age=age)
    fit = _fit(builds, hours, torque, usual, seed)
    to_come = estimate(fit.lacking[:, -1], "1", "what the fitted rise still expects, exponential approach")
    latest = min(LATEST, n)
    gained = (fit.lacking[:, -latest] - fit.lacking[:, -1]) / (latest - 1)
    trend = estimate(gained, "1", f"fitted rise a pull over the latest {latest} pulls")
    findings = _findings(engine, blow, oil, latest)
    settled = _settled_at(pulls, fit)
    falling = any(finding.code == "blow-by-still-falling" for finding in findings)
    if falling:
        settled = ""
    return RunningIn(
        engine=engine,
        pulls=tuple(pulls),
        hours=hours,
        torque=torque,
        blow_by=blow,
        oil_temperature=oil,
        trend=trend,
        settled_at=settled,
        still_to_come=None if settled else to_come,
        sentence=_sentence(engine, settled, to_come, falling),
        findings=findings,
        age=age,
        latest=latest,
        blow_by_trend=line_trend(blow[-latest:] / np.nanmean(blow[-latest:]), "1") if _seen(blow, latest) else None,
        oil_trend=line_trend(oil[-latest:], "K") if _seen(oil, latest) else None,
    )


def _seen(values: FloatArray, latest: int) -> bool:
    """Whether enough of the latest pulls logged it for a line with an interval."""
    known = np.isfinite(values[-latest:])
    return int(known.sum()) >= LEAST and float(np.nanmean(values[-latest:])) != 0.0


def line_trend(values: FloatArray, unit: str) -> Estimate:
    """Change a pull: slope of a straight line through the values, with its 95 % interval.

    Args:
        values: one a pull, shape (n,), NaN where none; three or more known [unit].
        unit: of the values.

    Returns:
        The slope a pull; its interval from the scatter about the line, Student's t with n - 2 degrees of freedom.

    Source: definition (least squares).
    """
    import scipy.special

    known = np.isfinite(values)
    x, y = np.flatnonzero(known).astype(np.float64), values[known]
    about = x - x.mean()
    slope = float(about @ y / (about @ about))
    rest = y - y.mean() - slope * about
    free = y.size - 2
    error = math.sqrt(float(rest @ rest) / free / float(about @ about))
    reach = float(scipy.special.stdtrit(free, 0.975)) * error
    how = f"straight line through {y.size} pulls, least squares, Student's t with {free}"
    return Estimate(slope, slope - reach, slope + reach, unit, how)


def _fit(builds: Sequence[str], hours: FloatArray, torque: FloatArray, usual: float, seed: int) -> Fit:
    names = list(dict.fromkeys(builds))
    design = np.array([[float(build == name) for name in names] for build in builds])
    y = np.log(torque / torque.mean())
    sides = np.linspace(-2.5, 2.5, TAUS)
    taus = usual * np.exp(USUAL_SPREAD * sides)
    steps = np.linspace(-2.5, 2.5, SCATTERS)
    cells = [_cell(design, y, SCATTER * math.exp(SCATTER_SPREAD * step), hours, tau) for tau in taus for step in steps]
    weight = np.array([cell.evidence for cell in cells])
    weight -= 0.5 * (np.repeat(sides, SCATTERS) ** 2 + np.tile(steps, TAUS) ** 2)
    share = np.exp(weight - weight.max())
    rng = np.random.default_rng(seed)
    chosen = rng.choice(len(cells), size=DRAWS, p=share / share.sum())
    rises = np.array([cells[i].rise for i in chosen]) + rng.standard_normal(DRAWS) * [cells[i].spread for i in chosen]
    left = np.array([cells[i].left for i in chosen])
    return Fit(rises[:, None] * left)


@dataclass(frozen=True, slots=True)
class Cell:
    """One tau and scatter: log evidence, mean and spread of the rise, share of it still to come at each pull."""

    evidence: float
    rise: float
    spread: float
    left: FloatArray


def _cell(builds: FloatArray, y: FloatArray, scatter: float, hours: FloatArray, tau: float) -> Cell:
    left = np.exp(-hours / tau)
    design = np.column_stack([builds, 1.0 - left])
    believed = np.zeros(design.shape[1])
    believed[-1] = 1.0 / RISE**2  # builds have levels of their own, of which nothing is believed
    precision = design.T @ design / scatter**2 + np.diag(believed + 1e-9)
    covariance = np.linalg.inv(precision)
    mean = covariance @ design.T @ y / scatter**2
    rest = y - design @ mean
    evidence = -0.5 * (float(rest @ rest) / scatter**2 + believed[-1] * mean[-1] ** 2) - y.size * math.log(scatter)
    evidence -= 0.5 * float(np.linalg.slogdet(precision)[1])
    return Cell(float(evidence), float(mean[-1]), math.sqrt(float(covariance[-1, -1])), left)


def _settled_at(pulls: Sequence[str], fit: Fit) -> str:
    """The first pull from which no more than SETTLED is lacking, with LEAST pulls behind it to say so."""
    for place in range(len(pulls) - LEAST + 1):
        if float(np.quantile(fit.lacking[:, place], 0.95)) < SETTLED:
            return pulls[place]
    return ""


def _findings(engine: str, blow: FloatArray, oil: FloatArray, latest: int) -> tuple[Finding, ...]:
    found = []
    known = blow[-latest:]
    if np.isfinite(known).all() and known[0] > 0 and 1.0 - known[-1] / known[0] > BLOW_BY_FALL:
        text = f"Blow-by fell by {1.0 - known[-1] / known[0]:.0%} over the latest {latest} pulls."
        remedy = "Go on running in: rings are still seating; a part changed now would be credited with it."
        found.append(Finding("blow-by-still-falling", Severity.WARNING, engine, text, remedy))
    warm = oil[-latest:]
    if np.isfinite(warm).all() and float(np.ptp(warm)) > 2.8:
        text = f"Oil temperature differs by {float(np.ptp(warm)):.0f} K between the latest pulls."
        remedy = "Bring the oil to one temperature before each pull; colder oil costs torque and looks like running in."
        found.append(Finding("running-in-oil", Severity.NOTE, engine, text, remedy))
    return tuple(found)


def _sentence(engine: str, settled: str, to_come: Estimate, falling: bool) -> str:
    if settled:
        return f"{engine} has settled since {settled}: what it may still gain is less than {100 * SETTLED:.1f} %."
    if falling:
        return f"{engine} is still running in: blow-by is falling."
    if to_come.low > SETTLED:
        return f"{engine} is still running in: about {100 * to_come.value:.1f} % more torque is to be expected."
    return (
        f"Cannot tell whether {engine} has settled: between {100 * to_come.low:.1f} and {100 * to_come.high:.1f} % may "
        "still come."
    )
