"""Invented days with engine files: derived quantities of each build, and unlike engines on common ground."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import DIFFERS, Comparison, Derived, Difference, Estimate, FairView, Group, Span, Verdict
from fairpull.terms.findings import Finding, Severity
from tests.show import days

LOG_VOLUME, HEADER_VOLUME = 3.6e-3, 2.4e-3  # displacements [m3]
LOG_STROKE, HEADER_STROKE = 0.100, 0.080  # [m]
UNKNOWN = np.full(1, np.nan)
CONFOUNDED = Finding(
    "confounded-with-day", Severity.WARNING, "header", "no day has pulls of both", "run both builds on one day"
)


def _observed(group: Group) -> FloatArray:
    rows = np.searchsorted(days.GRID, group.rpm)
    mean: FloatArray = np.mean([curve.torque[rows] for curve in group.curves], axis=0)
    return mean


def with_engine(group: Group, volume: float, stroke: float) -> Group:
    """The build with a four-stroke engine of that size behind it; fuel and air figures are invented."""
    torque = _observed(group)
    flat = np.ones(len(group.rpm))
    sensor = flat.copy()
    sensor[:5] = np.nan  # the probe was not warm yet
    derived = {
        "bmep": Derived("Pa", 4.0 * np.pi * torque / volume, f"observed torque, {volume * 1e3:.1f} L, 4 strokes"),
        "torque_per_displacement": Derived("N m/m3", torque / volume, f"observed torque, {volume * 1e3:.1f} L"),
        "mean_piston_speed": Derived("m/s", stroke * group.rpm / 30.0, "2 x stroke x shaft speed"),
        "bsac": Derived("kg/J", 9.8e-7 * flat, "air flow over observed power"),
        "volumetric_efficiency": Derived(
            "1", 0.86 * flat, "air flow over displacement filled at 1.15 kg/m3 (the room)"
        ),
        "bsfc": Derived("kg/J", 7.6e-8 * flat, "fuel flow over observed power"),
        "thermal_efficiency": Derived("1", 0.302 * flat, "observed power over fuel flow x 43.5 MJ/kg [heywood]"),
        "lambda_from_flows": Derived("1", 0.874 * flat, "air over fuel over 14.6"),
        "lambda_flows_over_sensor": Derived("1", 1.004 * sensor, "lambda from flows over lambda from the sensor"),
    }
    return replace(group, derived=derived)


def _estimate(value: float, half: float, unit: str) -> Estimate:
    return Estimate(value, value - half, value + half, unit, "mean over the band at equal rpm steps")


def _bmep(reference: Group, other: Group, stretch: float, sentence: str, span: Span) -> Difference:
    """BMEP of the other at ``stretch`` times the reference's rpm, against the reference's."""
    low = max(reference.tested[0], other.tested[0] / stretch)
    high = min(reference.tested[1], other.tested[1] / stretch)
    rpm = days.GRID[(low <= days.GRID) & (high >= days.GRID)]
    base = 4.0 * np.pi * np.interp(rpm, reference.rpm, reference.torque) / LOG_VOLUME
    theirs = 4.0 * np.pi * np.interp(rpm * stretch, other.rpm, other.torque) / HEADER_VOLUME
    ratio = theirs / base - 1.0
    wide = np.full(len(rpm), 0.012)
    model = days.header_day().differences[0]
    return replace(
        model,
        rpm=rpm,
        ratio=ratio,
        ratio_low=ratio - wide,
        ratio_high=ratio + wide,
        point_low=ratio - 0.7 * wide,
        point_high=ratio + 0.7 * wide,
        torque=theirs - base,
        torque_low=theirs - base - wide * base,
        torque_high=theirs - base + wide * base,
        power=np.full(len(rpm), np.nan),
        power_low=np.full(len(rpm), np.nan),
        power_high=np.full(len(rpm), np.nan),
        mean_ratio=_estimate(float(ratio.mean()), 0.008, "1"),
        mean_torque=_estimate(float((theirs - base).mean()), 9e3, "Pa"),
        crossovers=(Estimate(2305.0, 2170.0, 2440.0, "rpm", "where drawn differences change sign"),),
        verdict=Verdict(DIFFERS, sentence, (span,), None, 0.012),
        findings=(CONFOUNDED,),
    )


def engine_day() -> Comparison:
    """The header day with one engine file for both builds: derived quantities, no views."""
    day = days.header_day()
    groups = tuple(with_engine(group, LOG_VOLUME, LOG_STROKE) for group in day.groups)
    choices = {
        **day.choices,
        "standard formula": "factor = 1.18 (990 / dry pressure)(T / 298)^0.5 - 0.18, pressure in hPa [sae-j1349]",
        "method": "smooth error with learned covariance [rasmussen-williams]; looks spent by [lan-demets-1983]",
    }
    return replace(day, groups=groups, choices=choices)


def unlike_day() -> Comparison:
    """The header's build as a smaller engine of shorter stroke: BMEP at equal rpm and at equal mean piston speed."""
    day = days.header_day()
    log = with_engine(day.groups[0], LOG_VOLUME, LOG_STROKE)
    header = with_engine(day.groups[1], HEADER_VOLUME, HEADER_STROKE)
    means = tuple(
        _estimate(4.0 * np.pi * group.mean_torque.value / volume, 12e3, "Pa")
        for group, volume in ((log, LOG_VOLUME), (header, HEADER_VOLUME))
    )
    said = "header differs from log: more torque from 1800 to 4600 rpm; band average +53 %."
    views = (
        FairView("bmep at equal rpm", "rpm", (_bmep(log, header, 1.0, said, Span(1800.0, 4600.0, 1)),), means),
        FairView(
            "bmep at equal mean piston speed",
            "rpm of the reference at equal mean piston speed",
            (
                _bmep(
                    log,
                    header,
                    LOG_STROKE / HEADER_STROKE,
                    said.replace("1800 to 4600", "1600 to 3600"),
                    Span(1600.0, 3600.0, 1),
                ),
            ),
            means,
        ),
    )
    return replace(day, groups=(log, header), views=views)
