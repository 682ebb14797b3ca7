"""Small results of purpose, tune, running in and past work, for tests of their pictures."""

from __future__ import annotations

import math

import numpy as np

from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import Estimate
from fairpull.terms.duty_view import DutyView, OutputCurve
from fairpull.terms.purpose import Band, Duty, LoadPoint, Score, ScoreDifference, Scores
from fairpull.terms.tune_view import RunningInView, TuneView
from fairpull.terms.tuning import Effect, Loop, LoopPoints, PastWork, RunningIn, TuneResult

NAN = math.nan
DEGREE = math.pi / 180.0
BANDS = Duty("carrier", "bands", bands=(Band(1600.0, 2200.0, 0.25), Band(2200.0, 3000.0, 0.75)))
LINE = Duty("launch", "load line", points=(LoadPoint(3000.0, 60e3),), exponent=3.0, margin=0.1)
CYCLE = Duty("by cycle", "cycle", points=(LoadPoint(3000.0, 60e3), LoadPoint(2400.0, 30e3), LoadPoint(0.0, 0.0)))
TIME = Duty("yard", "histogram", points=(LoadPoint(1800.0, 0.0, 0.55), LoadPoint(2600.0, 0.0, 0.45)))
GEARS = Duty("quarter", "gears", gears=(2.6, 1.7, 1.0), shift_rpm=3000.0)
DUTIES = (BANDS, LINE, CYCLE, TIME, GEARS)


def estimate(value: float, half: float, unit: str) -> Estimate:
    """A value with an even interval."""
    return Estimate(value, value - half, value + half, unit, "so made")


def duty_view(duty: Duty = BANDS) -> DutyView:
    """Three builds: two that tie, one that was not tested throughout."""
    unit = "1" if duty.kind in ("load line", "cycle") else "W"
    size, half = (0.3, 0.02) if unit == "1" else (80e3, 1e3)
    scores = (
        Score("header", estimate(size, half, unit)),
        Score("<log>", estimate(0.99 * size, half, unit)),
        Score("short", Estimate(NAN, NAN, NAN, unit), untested=("band 2,200 to 3,000 rpm",)),
    )
    pair = ScoreDifference("header", "<log>", estimate(10.0, 50.0, unit), estimate(0.01, 0.03, "1"), tie=True)
    made = Scores(duty, scores, (("header", "<log>"),), "A tie: header and <log>.", {"seed": "0"}, (), (pair,))
    load = np.linspace(1500.0, 3000.0, 5) if duty.kind == "load line" else np.zeros(0)
    return DutyView(made, (curve("header"), curve("<log>"), curve("short", 2500.0)), load, 60e3 * (load / 3000.0) ** 3)


def curve(name: str, top: float = 3200.0) -> OutputCurve:
    """A flat 200 N m up to a speed."""
    rpm = np.arange(1500.0, top + 1.0, 100.0)
    torque = np.full(rpm.shape, 200.0)
    power = torque * rpm * math.pi / 30.0
    return OutputCurve(name, 1.5, rpm, torque, torque - 3.0, torque + 3.0, power, 0.985 * power, 1.015 * power)


def loop(rpm: float = 3000.0, knock: tuple[float, ...] = (1.0, 1.0, 1.0, 9.0)) -> Loop:
    """A loop with its top at 28 degrees."""
    at = np.array([22.0, 26.0, 30.0, 34.0]) * DEGREE
    torque = 300.0 - 0.05 * (at / DEGREE - 28.0) ** 2
    fine = np.linspace(20.0, 36.0, 9) * DEGREE
    fit = 300.0 - 0.05 * (fine / DEGREE - 28.0) ** 2
    points = LoopPoints(rpm, at, torque, np.array(knock), ("a", "b", "c", "=d"))
    return Loop(
        rpm,
        points,
        estimate(28.0 * DEGREE, 1.5 * DEGREE, "rad"),
        estimate(24.0 * DEGREE, 2.0 * DEGREE, "rad"),
        estimate(300.0, 0.5, "N m"),
        estimate(8.0 * DEGREE, 1.0 * DEGREE, "rad"),
        False,
        estimate(0.009, 0.003, "1"),
        31.0 * DEGREE,
        "31 degrees: one point there tells most.",
        (fine, fit, fit - 1.0, fit + 1.0),
        ("agrees",),
    )


def bare_loop(rpm: float = 2000.0) -> Loop:
    """One setting says nothing of a loop."""
    points = LoopPoints(rpm, np.full(2, 25.0 * DEGREE), np.array([280.0, 281.0]), np.full(2, NAN), ("a", "b"))
    nothing: tuple[FloatArray, ...] = tuple(np.zeros(0) for _ in range(4))
    return Loop(rpm, points, None, None, None, None, None, None, None, "Run two more.", (*nothing,))  # type: ignore[arg-type]


def tune_view(span: tuple[float, float] | None = (20.0, 34.0)) -> TuneView:
    """A loop with a top and one without."""
    result = TuneResult("spark", "anvil", (bare_loop(), loop()), {"limits": "named"}, (), ("Tuning can kill.",))
    return TuneView(result, "spark", None if span is None else (span[0] * DEGREE, span[1] * DEGREE))


def running_in_view(pulls: int = 5) -> RunningInView:
    """A trend over a few pulls of two builds, without oil temperature."""
    names = tuple(f"pull {n}" for n in range(pulls))
    torque = 290.0 + 2.0 * np.sqrt(np.arange(pulls, dtype=float))
    blow = np.full(pulls, 7e-4)
    result = RunningIn(
        *("anvil", names, np.arange(1.0, pulls + 1.0), torque, blow, np.full(pulls, NAN)),
        *(estimate(0.001, 0.0005, "1"), names[2] if pulls > 2 else "", None, "Has settled."),
        latest=min(pulls, 3),
    )
    return RunningInView(result, tuple("one" if n < 3 else "two" for n in range(pulls)))


def past_work(several: bool = True) -> PastWork:
    """Past work of exhausts."""
    effects = (Effect("b against a", 0.037, 0.003, "more"), Effect("d against c", 0.012, 0.006, low=0.0, high=0.025))
    if not several:
        return PastWork("exhaust", "1", effects[:1], estimate(0.037, 0.006, "1"), None, 0.0, 0.0, "One only.")
    mean, ahead = estimate(0.03, 0.02, "1"), estimate(0.03, 0.06, "1")
    return PastWork("exhaust", "1", effects, mean, ahead, 0.01, 0.7, "Expect 3 %.")
