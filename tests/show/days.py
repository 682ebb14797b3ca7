"""Invented days of testing, as finished Comparisons: the records that the faces are tried on."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import (
    CANNOT_TELL,
    DIFFERS,
    Comparison,
    Difference,
    Estimate,
    Group,
    NoiseSummary,
    OddPull,
    PullRow,
    Question,
    ShapeTest,
    Span,
    Verdict,
)
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.pull import Air, Curve, DeclaredCurve
from fairpull.terms.recording import Origin

GRID = np.arange(1500.0, 4900.0 + 1, 25.0)
MORNING = 1_700_040_000.0  # a time of day that reads 09:20
ORIGIN = Origin("logs/log_1.csv", "ab" * 32, "delimited", "commas on every line")


def shape_of_torque(rpm: FloatArray) -> FloatArray:
    """A plausible full-load torque curve [N m]: one hump, 306 N m at 2,800 rpm."""
    left = 306.0 * np.exp(-(((rpm - 2800.0) / 4200.0) ** 2))
    right = 306.0 * np.exp(-(((rpm - 2800.0) / 4100.0) ** 2))
    return np.where(rpm < 2800.0, left, right)


def gain_of_header(rpm: FloatArray) -> FloatArray:
    """Ratio minus one: a loss of 2.5 % low down that turns into a gain of 4.5 % above 2,300 rpm."""
    return 0.010 + 0.035 * np.tanh((rpm - 2450.0) / 500.0)


def _curve(name: str, torque: FloatArray, tested: tuple[float, float], seed: int, start: float) -> Curve:
    wobble = 0.002 * np.sin(GRID / 310.0 + seed) + 0.001 * np.sin(GRID / 90.0 + 2.0 * seed)
    inside = (tested[0] <= GRID) & (tested[1] >= GRID)
    observed = np.where(inside, torque * (1.0 + wobble), np.nan)
    air = Air(100_200.0 - 20 * seed, 293.0 + seed, 1290.0)
    return Curve(name, GRID, observed, np.where(inside, 0.9, np.nan), {}, tested, start, air)


def _estimate(value: float, half: float, unit: str, how: str = "", *, at_least: bool = False) -> Estimate:
    value = float(value)
    return Estimate(value, value - half, value + half, unit, how, at_least)


def _group(name: str, curves: list[Curve], torque: FloatArray, tested: tuple[float, float], half: float) -> Group:
    inside = (tested[0] <= GRID) & (tested[1] >= GRID)
    rpm, mean = GRID[inside], torque[inside]
    power = mean * rpm * np.pi / 30.0
    at, top = int(np.argmax(mean)), int(np.argmax(power))
    end = bool(rpm[top] >= tested[1] - 1)
    return Group(
        name,
        tuple(curves),
        np.linspace(0.992, 1.006, len(curves)),
        rpm,
        mean,
        mean * (1 - half),
        mean * (1 + half),
        tested,
        _estimate(
            mean[at], mean[at] * half, "N m", "highest value of curves drawn from the model [rasmussen-williams]"
        ),
        _estimate(float(rpm[at]), 130.0, "rpm", "where the highest value of each drawn curve lies"),
        _estimate(power[top], power[top] * half, "W", "torque x angular speed, highest of drawn curves", at_least=end),
        _estimate(float(rpm[top]), 60.0, "rpm", "where the highest value of each drawn curve lies", at_least=end),
        _estimate(
            float(np.mean(mean)), float(np.mean(mean)) * half * 0.7, "N m", "mean over the band at equal rpm steps"
        ),
        _estimate(
            float(np.mean(power)), float(np.mean(power)) * half * 0.7, "W", "mean over the band at equal rpm steps"
        ),
        _estimate(
            float(np.sum(power)) * 25.0, float(np.sum(power)) * 25.0 * half, "W rpm", "trapezoid rule over the band"
        ),
    )


def _difference(reference: Group, other: Group, verdict: Verdict, *, half: float = 0.008) -> Difference:
    low = max(reference.tested[0], other.tested[0])
    high = min(reference.tested[1], other.tested[1])
    rpm = GRID[(low <= GRID) & (high >= GRID)]
    base = np.interp(rpm, reference.rpm, reference.torque)
    ratio = np.interp(rpm, other.rpm, other.torque) / base - 1.0
    wide = half * (1.0 + 0.5 * np.abs(rpm - 3200.0) / 1700.0)
    omega = rpm * np.pi / 30.0
    torque, spread = ratio * base, wide * base
    return Difference(
        reference.name,
        other.name,
        rpm,
        ratio,
        ratio - wide,
        ratio + wide,
        ratio - 0.7 * wide,
        ratio + 0.7 * wide,
        torque,
        torque - spread,
        torque + spread,
        torque * omega,
        (torque - spread) * omega,
        (torque + spread) * omega,
        _estimate(float(ratio.mean()), 0.0052, "1", "mean of the ratio over the band, equal rpm steps [iso5725]"),
        _estimate(float(torque.mean()), 1.5, "N m", "mean of the difference over the band, equal rpm steps"),
        _estimate(float((torque * omega).mean()), 520.0, "W", "mean of the difference over the band"),
        _estimate(0.034, 0.006, "1", "ratio of the areas under power over the band, minus 1"),
        (),
        ShapeTest(
            "neither",
            _estimate(float(torque.mean()), 1.5, "N m", "constant torque that fits best"),
            _estimate(1.0 + float(ratio.mean()), 0.0052, "1", "constant ratio that fits best"),
            "Neither one constant torque nor one constant ratio fits the difference.",
        ),
        verdict,
        {"none": verdict.kind, "sae-j1349": verdict.kind, "iso-1585": verdict.kind, "din-70020": verdict.kind},
        {
            "none": float(ratio.mean()) - 0.004,
            "sae-j1349": float(ratio.mean()),
            "iso-1585": float(ratio.mean()) - 0.0002,
            "din-70020": float(ratio.mean()) + 0.0003,
        },
    )


FINDINGS = (
    Finding(
        "weather-moved",
        Severity.WARNING,
        "whole day",
        "the factor moved from 0.992 to 1.006 between the first and the last pull",
        "read the verdict under every standard below",
    ),
    Finding(
        "peak-at-range-end",
        Severity.NOTE,
        "header: power",
        "power still rises at 4,600 rpm, the end of the tested range",
        "test further, within the limits card",
    ),
    Finding(
        "column-guessed",
        Severity.NOTE,
        "log_1.csv",
        "column 'Tq' was taken as torque in lb-ft",
        "name it in channels.toml if that is wrong",
    ),
    Finding(
        "column-guessed",
        Severity.NOTE,
        "log_2.csv",
        "column 'Tq' was taken as torque in lb-ft",
        "name it in channels.toml if that is wrong",
    ),
    Finding(
        "humidity-missing",
        Severity.FAULT,
        "header_2",
        "no humidity was logged or given",
        "give --weather with a humidity",
    ),
)


def _rows(groups: tuple[Group, ...], order: list[tuple[int, int]]) -> tuple[PullRow, ...]:
    rows = []
    for place, (which, at) in enumerate(order, start=1):
        group = groups[which]
        curve = group.curves[at]
        air = curve.air
        humid = air.vapour_pressure if air and curve.name != "header_2" else None
        rows.append(
            PullRow(
                group.name,
                curve.name,
                place,
                curve.started_at,
                air.pressure if air else None,
                air.temperature if air else None,
                humid,
                float(group.factors[at]),
                251.0 - place,
                group.mean_torque.value * (1 + 0.0015 * np.sin(3.0 * place)),
                0.002 - 0.0008 * place,
            )
        )
    return tuple(rows)


def header_day() -> Comparison:
    """A-B-A on invented manifolds: differs, with a loss low down, a crossover, a gain above, and an open-ended peak."""
    base = shape_of_torque(GRID)
    tested_a, tested_b = (1600.0, 4750.0), (1700.0, 4600.0)
    order = [(0, 0), (0, 1), (0, 2), (1, 0), (1, 1), (1, 2), (0, 3)]
    clock = [MORNING + 1200.0 * n for n in range(7)]
    log = _group(
        "log",
        [_curve(f"log_{n + 1}", base, tested_a, n, clock[at]) for n, at in enumerate([0, 1, 2, 6])],
        base,
        tested_a,
        0.006,
    )
    changed = base * (1.0 + gain_of_header(GRID))
    header = _group(
        "header",
        [_curve(f"header_{n + 1}", changed, tested_b, n + 4, clock[n + 3]) for n in range(3)],
        changed,
        tested_b,
        0.007,
    )
    verdict = Verdict(
        DIFFERS,
        "header differs from log: 2.6 % (2.1 to 3.2 %) more torque on average over 1,800 to 4,600 rpm with "
        "4 + 3 pulls; it loses below 2,150 rpm and gains above 2,450 rpm.",
        (Span(1700.0, 2150.0, -1), Span(2450.0, 4600.0, 1)),
        None,
        0.0061,
    )
    difference = replace(
        _difference(log, header, verdict),
        crossovers=(Estimate(2305.0, 2170.0, 2440.0, "rpm", "where drawn differences change sign"),),
        findings=(
            Finding(
                "verdict-lowest-end",
                Severity.NOTE,
                "1,700 rpm",
                "the band is widest at the ends of the range",
                "do not read single points near the ends",
            ),
        ),
    )
    maker = DeclaredCurve(
        "maker's rating",
        ORIGIN,
        np.arange(1600.0, 5000.0, 400.0),
        shape_of_torque(np.arange(1600.0, 5000.0, 400.0)) * 1.06,
        "din-70020",
        "gross",
    )
    groups = (log, header)
    return Comparison(
        Question(
            "Does the tube header help on the climb?", (1800.0, 4600.0), 0.01, "3 % more above 3,000 rpm", 4, True
        ),
        "sae-j1349",
        "rpm",
        "torque",
        25.0,
        (1800.0, 4600.0),
        groups,
        (difference,),
        (maker,),
        NoiseSummary(
            Estimate(0.0031, 0.0020, 0.0049, "1", "posterior of the repeats"),
            620.0,
            0.0022,
            5,
            "Pulls of one build repeat within 0.31 % (0.20 to 0.49 %), learned from 5 repeats.",
        ),
        (
            OddPull(
                "log",
                "log_4",
                -0.0062,
                "log_4 lies 0.6 % below the other pulls of log; look at it before believing it.",
            ),
        ),
        _rows(groups, order),
        {
            "correction standard": "SAE J1349, named by option",
            "grid": "25 rpm, default",
            "drift": "pulls in clock order",
            "interval": "95 %, simultaneous over the band [rasmussen-williams]",
        },
        FINDINGS,
        {
            f"logs/{name}.csv": ("0123456789abcdef" * 4)
            for name in ("log_1", "log_2", "log_3", "log_4", "header_1", "header_2", "header_3")
        },
        "0.1.0",
    )


def cannot_tell_day() -> Comparison:
    """One pull a side: nothing can be said, and the page says how many pulls would settle it."""
    day = header_day()
    log, header = day.groups
    log = replace(log, curves=log.curves[:1], factors=log.factors[:1])
    header = replace(header, curves=header.curves[:1], factors=header.factors[:1])
    verdict = Verdict(
        CANNOT_TELL,
        "Cannot tell: with 1 + 1 pulls a difference of 1 % would be lost in the noise; 4 pulls a side would settle it.",
        (),
        4,
        0.0312,
    )
    groups = (log, header)
    difference = replace(
        _difference(log, header, verdict, half=0.05),
        by_standard={"none": CANNOT_TELL, "din-70020": DIFFERS},
        mean_by_standard={"none": 0.021, "din-70020": 0.024},
        depends_on_standard=True,
    )
    return replace(
        day,
        question=Question(),
        groups=groups,
        differences=(difference,),
        declared=(),
        odd_pulls=(),
        pulls=_rows(groups, [(0, 0), (1, 0)]),
        findings=(),
        standard="none",
        noise=replace(day.noise, repeats=0, text="No repeats: the documented prior alone speaks."),
    )


def three_builds() -> Comparison:
    """A reference and two others, one of them made of gaps."""
    day = header_day()
    log, header = day.groups
    torque = shape_of_torque(GRID) * 1.002
    third = _group(
        "spacer", [_curve("spacer_1", torque, (1900.0, 4200.0), 8, MORNING + 20_000.0)], torque, (1900.0, 4200.0), 0.012
    )
    third = replace(
        third, peak_power=_estimate(float("nan"), 1.0, "W"), peak_power_rpm=_estimate(float("nan"), 1.0, "rpm")
    )
    verdict = Verdict(
        CANNOT_TELL,
        "Cannot tell spacer from log: 5 pulls a side would settle a difference of 1 %.",
        (),
        5,
        0.021,
        "spacer ran on another day only",
    )
    groups = (log, header, third)
    return replace(
        day,
        groups=groups,
        differences=(*day.differences, _difference(log, third, verdict, half=0.02)),
        pulls=_rows(groups, [(0, 0), (0, 1), (0, 2), (1, 0), (1, 1), (1, 2), (2, 0), (0, 3)]),
    )


HOSTILE = "<script>alert('x')</script>\x1b[31m[bold]&\"</script>"


def hostile_day() -> Comparison:
    """A day whose names, remarks and paths try to be markup."""
    day = header_day()
    log, header = day.groups
    header = replace(header, name=HOSTILE, curves=(replace(header.curves[0], name=HOSTILE), *header.curves[1:]))
    groups = (log, header)
    difference = replace(
        day.differences[0],
        other=HOSTILE,
        verdict=replace(day.differences[0].verdict, sentence=f"{HOSTILE} differs from log."),
    )
    return replace(
        day,
        groups=groups,
        differences=(difference,),
        question=replace(day.question, text=HOSTILE, expectation=HOSTILE),
        declared=(replace(day.declared[0], name=HOSTILE),),
        odd_pulls=(OddPull(HOSTILE, HOSTILE, 0.01, HOSTILE),),
        pulls=_rows(groups, [(0, 0), (1, 0)]),
        choices={HOSTILE: HOSTILE},
        findings=(Finding("hostile", Severity.NOTE, HOSTILE, HOSTILE, HOSTILE),),
        sources={HOSTILE: HOSTILE},
    )


def unlike_engines() -> Comparison:
    """The same day seen against mean piston speed in BMEP, with invented round factors."""
    day = header_day()
    speed, pressure = 1.0 / 300.0, 4000.0  # m/s per rpm, Pa per N m

    def seen(given: Estimate, factor: float, unit: str) -> Estimate:
        return replace(given, value=given.value * factor, low=given.low * factor, high=given.high * factor, unit=unit)

    groups = tuple(
        replace(
            group,
            curves=tuple(
                replace(
                    curve, rpm=curve.rpm * speed, torque=curve.torque * pressure, torque_se=curve.torque_se * pressure
                )
                for curve in group.curves
            ),
            rpm=group.rpm * speed,
            torque=group.torque * pressure,
            torque_low=group.torque_low * pressure,
            torque_high=group.torque_high * pressure,
            tested=(group.tested[0] * speed, group.tested[1] * speed),
            peak_torque=seen(group.peak_torque, pressure, "Pa"),
            peak_torque_rpm=seen(group.peak_torque_rpm, speed, "m/s"),
            peak_power_rpm=seen(group.peak_power_rpm, speed, "m/s"),
            mean_torque=seen(group.mean_torque, pressure, "Pa"),
        )
        for group in day.groups
    )
    one = day.differences[0]
    difference = replace(
        one,
        rpm=one.rpm * speed,
        torque=one.torque * pressure,
        torque_low=one.torque_low * pressure,
        torque_high=one.torque_high * pressure,
        mean_torque=seen(one.mean_torque, pressure, "Pa"),
        crossovers=tuple(seen(each, speed, "m/s") for each in one.crossovers),
        shape=replace(one.shape, offset=seen(one.shape.offset, pressure, "Pa")),
        verdict=replace(
            one.verdict, spans=tuple(Span(span.low * speed, span.high * speed, span.sign) for span in one.verdict.spans)
        ),
    )
    return replace(
        day,
        axis="mean piston speed",
        quantity="bmep",
        grid_step=day.grid_step * speed,
        band=(day.band[0] * speed, day.band[1] * speed),
        question=replace(day.question, band=None),
        groups=groups,
        differences=(difference,),
        declared=(),
        pulls=tuple(replace(row, band_mean=row.band_mean * pressure) for row in day.pulls),
    )


def lone_build() -> Comparison:
    """One build with one pull and nothing to compare with; its peak is unknown and its weather too."""
    day = header_day()
    log = day.groups[0]
    unknown = Estimate(float("nan"), float("nan"), float("nan"), "W")
    curve = replace(log.curves[0], air=None, started_at=None)
    log = replace(log, curves=(curve,), factors=log.factors[:1], peak_power=unknown, peak_power_rpm=unknown)
    row = PullRow("log", "log_1", 1, None, None, None, None, 1.0, 0.0, 280.0, 0.0)
    return replace(
        day,
        groups=(log,),
        differences=(),
        declared=(),
        odd_pulls=(),
        pulls=(row,),
        findings=(),
        choices={},
        sources={},
        standard="none",
    )


def many_declared() -> Comparison:
    """Thirty-nine declared curves beside a measured day."""
    day = header_day()
    rating = day.declared[0]
    curves = tuple(
        replace(
            rating, name=f"rating {n}", torque=rating.torque * (0.5 + n / 39.0), standard="unstated", basis="unstated"
        )
        for n in range(39)
    )
    return replace(day, declared=curves)
