"""Invented records of a bench book: pulls with their signs, sheets, loops, verdicts; the faces are tried on them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from fairpull.terms.bench import COUNTS, SET_ASIDE, Attachment, BookCheck, Figure, KeptPull, Remark, Sheet
from fairpull.terms.build import Build, Fact, Part
from fairpull.terms.comparison import Estimate
from fairpull.terms.engine import Engine
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.health import HealthReport, Sign, Unseen, sign_finding
from fairpull.terms.ledger import FairComparison, FairLook, Ledger
from fairpull.terms.recording import Origin
from fairpull.terms.tuning import Loop, LoopPoints, RunningIn, TuneResult
from tests.show import days

HOSTILE = "pull\x1b[31m [bold]<b>"
DEGREE = math.pi / 180.0

FLOAT = Sign(
    "valve-float",
    Severity.FAULT,
    5100.0,
    5400.0,
    0.075,
    "1",
    "Torque dips 7.5 % below its own line at 5300 rpm.",
    "Check spring loads.",
    5050.0,
)
STARVED = Sign(
    "fuel-starvation",
    Severity.FAULT,
    3800.0,
    4600.0,
    0.13,
    "1",
    "Fuel pressure fell from 6.2 psi to 2.9 psi.",
    "Change the filter.",
)
NOTE = Sign("exhaust-restriction", Severity.NOTE, 2400.0, 4800.0, 20e3, "Pa", "Back-pressure 3 psi.", "Open it.")
UNSEEN = (
    Unseen("knock", ("knock",), "needs a knock level"),
    Unseen("misfire", ("exhaust_temperature", "references"), "needs more"),
    Unseen("low-cylinder", ("exhaust_temperature", "references"), "needs more"),
)


def health(name: str, *signs: Sign, unseen: tuple[Unseen, ...] = ()) -> HealthReport:
    """A report of one pull."""
    return HealthReport(name, signs, unseen, ("valve-float",), ("first", "second"))


def line(
    number: int,
    name: str,
    *signs: Sign,
    build: str = "anvil-log",
    state: str = COUNTS,
    reason: str = "",
    valid_to: float | None = None,
    started_at: float | None = days.MORNING,
    summary: Mapping[str, float] | None = None,
) -> KeptPull:
    """One line of the catalogue."""
    told = {
        "peak_torque": 306.0,
        "peak_torque_rpm": 2800.0,
        "peak_power": 118.3e3,
        "peak_power_rpm": 4400.0,
        "factor": 0.9912,
    }
    return KeptPull(
        number=number,
        name=name,
        build=build,
        build_version=1,
        session="day-1",
        state=state,
        reason=reason,
        valid_to=valid_to,
        started_at=None if started_at is None else started_at + 900.0 * number,
        kind="sweep",
        sweep_rate=250.0,
        tested=(1600.0, 5600.0),
        summary=told if summary is None else summary,
        original="ab" * 32,
        original_name=f"{name}.csv",
        piece=0,
        trace="cd" * 32,
        origin=Origin(f"{name}.csv", "ab" * 32, "delimited", "commas on every line"),
        taken_at=days.MORNING,
        version="0.1.0",
        figures={"oil_temperature": Figure(360.0, 365.0, 369.0), "exhaust_temperature_5": Figure(800.0, 900.0, 950.0)},
        health=health(name, *signs, unseen=UNSEEN),
        findings=tuple(sign_finding(sign, name) for sign in signs),
        choices={"correction": "sae-j1349, factor 0.9912", "pull kind": "sweep up"},
    )


def lines() -> tuple[KeptPull, ...]:
    """A sound pull, one that counts to a speed, one set aside, and one of another day that knows little."""
    return (
        line(1, "02-baseline", NOTE),
        line(2, "15-to-5600", FLOAT, build="anvil-cam-b", valid_to=5050.0),
        line(3, "09-header-third", STARVED, state=SET_ASIDE, reason=f"fuel-starvation: {STARVED.evidence}"),
        replace(line(4, "old-table", started_at=days.MORNING + 90_000.0, summary={}), health=None),
    )


def hostile_lines() -> tuple[KeptPull, ...]:
    """Names and words that try to be markup or to steer the terminal."""
    bad = replace(NOTE, evidence=HOSTILE, confirm=HOSTILE)
    return (line(1, HOSTILE, bad, build=HOSTILE, state=SET_ASIDE, reason=HOSTILE),)


def sheets() -> tuple[Sheet, ...]:
    """One sheet of most kinds."""
    return (
        Sheet("engine", "Anvil", {"bore": "3.455 in"}, 1),
        Sheet("part", "cam-b", {"kind": "camshaft"}, 2),
        Sheet("build", "anvil-cam-b", {"engine": "Anvil", "reference": "anvil-header"}, 1),
        Sheet("session", "day-1", {"date": "2026-05-23"}, 1),
        Sheet("check", "springs", {"what": "springs"}, 1),
        Sheet("question", "pays", {"question": "Does it pay?"}, 1),
        Sheet("duty", "haul", {}, 1),
    )


def build() -> Build:
    """A build with a head, of which a flow table was entered and a few things computed."""
    head = Part(
        "iron-head",
        "head",
        {"kind": "head", "flow": [["in", "cfm"], [0.1, 47], [0.5, 143]], "intake_valve": "1.73 in"},
        {},
        (
            Fact("intake flow at 28 inH2O", 0.0675, "m3/s", "most of the flow table; source: practice"),
            Fact("spring rate", 54_000.0, "N/m", "loads over heights"),
            Fact("coefficient", 0.413, "1", "flow over area"),
            Fact("overlap", 57.0 * DEGREE, "rad", "opening + closing"),
        ),
    )
    engine = Engine(name="Anvil", bore=0.0878, stroke=0.0991, cylinders=6)
    return Build(
        "anvil-log",
        engine,
        "Anvil",
        {"head": head},
        {"spark": "as set"},
        reference="anvil-first",
        facts=(Fact("dynamic compression ratio", 7.9, "1", "from intake closing"), Fact("fuel", "petrol")),
    )


def check(damaged: bool) -> BookCheck:
    """A check of a book."""
    found = (
        Finding("result-outdated", Severity.NOTE, "result first", "A sheet changed since.", "Compare again."),
        Finding("trace-damaged", Severity.FAULT, "pull 02-baseline", "Its trace is gone.", "Restore a back-up."),
    )
    return BookCheck(found if damaged else found[:1], {"pulls": 12_345, "originals": 20})


def papers() -> tuple[tuple[Remark, ...], tuple[Attachment, ...]]:
    """Remarks and attachments of one pull."""
    about = ("pull", "02-baseline")
    return (
        (Remark(about, "popped at 4,800", "M.", days.MORNING), Remark(about, "filter changed", "", days.MORNING)),
        (Attachment("ef" * 32, "plug.jpg", about, "plug of cylinder 3", days.MORNING),),
    )


def loop(kind: str, rpm: float, *, full: bool = True) -> Loop:
    """A fitted loop, or one for which a single setting was run."""
    factor = DEGREE if kind == "spark" else 1.0
    settings = np.array([24.0, 28.0, 32.0]) if kind == "spark" else np.array([0.84, 0.88, 0.91])
    points = LoopPoints(rpm, settings * factor, np.array([298.0, 300.0, 297.5]), np.full(3, np.nan), ("a", "b", "c"))
    unit = "rad" if kind == "spark" else "1"
    if not full:
        few = LoopPoints(rpm, points.setting[:1], points.torque[:1], points.knock[:1], ("a",))
        nothing = np.empty(0)
        finding = Finding("loop-few-points", Severity.FAULT, f"{kind} loop", "1 different setting.", "Run three.")
        why = "One setting says nothing of a loop."
        return Loop(rpm, few, None, None, None, None, None, None, None, why, (nothing,) * 4, (), (finding,))
    half = 1.5 * factor if kind == "spark" else 0.02
    best = Estimate(settings[1] * factor, settings[1] * factor - half, settings[1] * factor + half, unit)
    return Loop(
        rpm=rpm,
        points=points,
        best=best,
        modest=replace(best, value=best.value - half, low=best.low - half, high=best.high - half),
        best_torque=Estimate(300.1, 299.0, 301.2, "N m"),
        flat=Estimate(half, half / 2, half * 2, unit),
        knock_limited=False if kind == "spark" else None,
        cost_of_safe=Estimate(0.01, 0.004, 0.015, "1"),
        next_setting=best.value + half,
        next_why="30 degrees: one point there takes away about 40 % of what is not known.",
        fit=(settings * factor, points.torque, points.torque - 1.0, points.torque + 1.0),
        checks=("4.5 degrees off the top cost 0.9 % (0.4 to 1.8); this agrees with the rule [heywood, from memory]",),
    )


def tune(kind: str) -> TuneResult:
    """Loops at three speeds: one whole, one that lies beyond its points, one that says nothing."""
    whole = loop(kind, 2400.0)
    assert whole.best is not None
    beyond = replace(loop(kind, 2800.0), best=replace(whole.best, at_least=True), knock_limited=True)
    return TuneResult(
        kind,
        "anvil-log",
        (whole, beyond, loop(kind, 3200.0, full=False)),
        {"torque": "corrected"},
        (Finding("no-setting-logged", Severity.NOTE, kind, "No setting in d.", "Name the column."),),
        ("Tuning at full load can kill the engine in seconds.", "What is computed here is an estimate."),
    )


def running_in(settled: bool) -> RunningIn:
    """A new engine's five pulls."""
    gone = np.full(5, np.nan)
    blow = np.array([4e-4, 3.8e-4, 3.7e-4, 3.65e-4, np.nan])
    come = None if settled else Estimate(0.012, 0.004, 0.021, "1")
    said = "Anvil has settled since p3." if settled else "Anvil is still running in."
    return RunningIn(
        "Anvil",
        tuple(f"p{n}" for n in range(5)),
        np.arange(1.0, 6.0),
        np.array([290.0, 294.0, 296.0, 297.0, 297.5]),
        blow,
        gone,
        Estimate(0.002, 0.001, 0.003, "1"),
        "p3" if settled else "",
        come,
        said,
    )


def fair() -> FairComparison:
    """The header day out of a book: a ledger, and one fair view."""
    made = days.header_day()
    (difference,) = made.differences
    ledger = Ledger(difference.reference, difference.other, (), (), "Under test: exhaust; nothing else differs.")
    x = np.array([2000.0, 3000.0])
    ratio = np.array([0.01, 0.03])
    look = FairLook(
        "for each unit of fuel energy",
        "Fuel flow was measured.",
        "rpm",
        "work",
        "1",
        x,
        np.array([0.26, 0.27]),
        np.array([0.262, 0.278]),
        ratio,
        ratio - 0.01,
        ratio + 0.01,
        ratio,
        Estimate(0.02, 0.01, 0.03, "1"),
        "For each unit of fuel energy header makes 2.0 % more work.",
    )
    return FairComparison(made, (ledger,), {difference.other: (look,)})
