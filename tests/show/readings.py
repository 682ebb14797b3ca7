"""An invented reading: recordings, pulls and an air to try the faces on."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from fairpull.terms.air_overview import AirOverview
from fairpull.terms.calibration import Calibration, LimitCheck
from fairpull.terms.correction import Correction
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.pull import Air, Pull
from fairpull.terms.recording import Conditions, Mapped, Origin, Recording

ORIGIN = Origin("logs/header_1.csv", "cd" * 32, "delimited", "semicolons on every line", "Latin-1, ';', decimal comma")


def recording() -> Recording:
    """A log with a guessed column, one left aside, one empty, and weather given by hand."""
    time = np.linspace(0.0, 12.0, 1201)
    rpm = 1500.0 + 260.0 * time
    torque = 280.0 + 20.0 * np.sin(time / 4.0)
    torque[5] = np.nan
    return Recording(
        "header_1",
        ORIGIN,
        {
            "time": time,
            "rpm": rpm,
            "torque": torque,
            "oil_temperature": np.full(1201, 365.0),
            "lambda_1": np.full(1201, np.nan),
        },
        {"Aux 3": np.arange(1201.0)},
        (
            Mapped("Zeit", "s", "time", "person", "channels.toml maps it"),
            Mapped("Drehzahl", "1/min", "rpm", "exact", "a spelling of the glossary"),
            Mapped(
                "Tq brake (filtered, second stage)",
                "Nm",
                "torque",
                "guessed",
                "values lie where torque lies and the unit measures torque",
            ),
            Mapped("Oil[bold]", "°C", "oil_temperature", "exact", "a spelling of the glossary"),
            Mapped("Lam", "", "lambda_1", "exact", "a spelling of the glossary"),
            Mapped("Aux 3", "", None, "guessed", "nothing in the glossary resembles it"),
        ),
        started_at=1_700_040_000.0,
        given=Conditions(pressure=100_200.0, temperature=293.15, relative_humidity=0.45),
        findings=(
            Finding(
                "channel-empty", Severity.WARNING, "Lam", "no value in 1,201 rows", "check the sensor or leave it out"
            ),
        ),
        choices={"decimal mark": "comma, seen in 6 columns"},
    )


def pulls() -> tuple[Pull, Pull]:
    """A sweep and a step test."""
    one = recording()
    sweep = Pull(
        "header_1",
        ORIGIN,
        "sweep",
        {name: one.channels[name][100:900] for name in ("rpm", "torque")},
        100,
        899,
        one.started_at,
        260.0,
        valid_to=4400.0,
        choices={"despike": "5 sd over 0.2 s"},
    )
    rpm = np.arange(1600.0, 4801.0, 400.0)
    steps = Pull(
        "steps",
        ORIGIN,
        "steps",
        {"rpm": rpm, "torque": 290.0 - rpm / 100.0},
        0,
        8,
        findings=(
            Finding("no-clock", Severity.NOTE, "steps", "no clock: held speeds are assumed", "add a clock column"),
        ),
    )
    return sweep, steps


def air() -> AirOverview:
    """A mild morning; factors are invented numbers, this is a test of faces."""
    morning = Air(100_305.0, 293.15, 1_310.0)
    outside = Finding(
        "outside-limits", Severity.WARNING, "din-70020", "factor 1.0812 is beyond 1.07", "do not quote it"
    )
    return AirOverview(
        morning,
        98_995.0,
        1_310.0,
        0.56,
        284.2,
        0.008231,
        1.18623,
        165.4,
        86.2,
        (
            Correction("none", 1.0, None),
            Correction("sae-j1349", 0.98654, morning, 98_995.0),
            Correction("din-70020", 1.0812, morning, 98_995.0, (outside,)),
        ),
        {"iso-3046": "needs a declared mechanical efficiency: give --mechanical-efficiency"},
        (Finding("air-mild", Severity.NOTE, "air", "nothing unusual", "nothing to do"),),
    )


def wide_recording() -> Recording:
    """A log with 500 columns of which nobody knows what they are."""
    one = recording()
    unknown = tuple(Mapped(f"ch{n:03d}", "", None, "exact", "not in the glossary") for n in range(500))
    return replace(one, mapped=(*one.mapped, *unknown))


def calibration(*, passed: bool) -> Calibration:
    """Five hung weights; with ``passed`` false, a line that is too steep and a brake that sticks."""
    hung = np.array([0.0, 100.0, 200.0, 300.0, 400.0])
    slope = 1.00111 if passed else 1.0312
    source = "40cfr1065, 1065.307 Table 1"
    checks = (
        LimitCheck("intercept", 0.08, 0.0, 4.0, "N m", True, source),
        LimitCheck("slope", slope, 0.98, 1.02, "1", passed, source),
    )
    sticks = Finding("hysteresis", Severity.WARNING, "table", "going down reads 1.4 N m more", "look at the trunnions")
    return Calibration(
        slope,
        0.08,
        0.00023,
        0.089,
        -0.7,
        0.2,
        0.999999,
        400.0,
        hung,
        0.08 + slope * hung,
        hysteresis=None if passed else 1.4,
        checks=checks,
        passed=passed,
        findings=() if passed else (sticks,),
        choices={"line": "least squares, free intercept"},
    )
