"""Measured health of a standing engine, and of the brake: what the numbers of a check sheet say."""

from __future__ import annotations

import numpy as np

from fairpull.terms.arrays import FloatArray
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.units import from_house

COMPRESSION_SPREAD = 0.10  # of the highest cylinder; trade limit
COMPRESSION_LOW = 0.75  # of the highest; the least that some workshop manuals accept
LEAKDOWN_GOOD, LEAKDOWN_USABLE, LEAKDOWN_BAD = 0.10, 0.20, 0.30
LEAKDOWN_SPREAD = 0.04  # points between cylinders, shops that build for power
LASH_OFF = 5e-5  # [m], 0.002 in
SPRING_LOSS, SPRING_LOST = 0.05, 0.10  # of the load when new
ZERO_MOVED = 0.678  # [N m], 0.5 lb-ft
ZERO_SHARE = 0.001  # of full scale


def compression(pressure: FloatArray, where: str) -> tuple[Finding, ...]:
    """Cranking compression by cylinder.

    Args:
        pressure: one a cylinder, shape (n,) [Pa gauge].
        where: name of the check.

    Returns:
        A finding for each cylinder more than a tenth below the highest.

    Source: practice.
    """
    best = float(np.max(pressure))
    found = []
    for number, value in enumerate(pressure, start=1):
        short = 1.0 - float(value) / best
        if short > COMPRESSION_SPREAD:
            hard = value < COMPRESSION_LOW * best
            text = f"{from_house(float(value), 'psi', 'Pa'):.0f} psi, {short:.0%} below the highest cylinder."
            remedy = "Do a leakdown test of this cylinder; check lash and cam timing, which only compression sees."
            severity = Severity.FAULT if hard else Severity.WARNING
            found.append(Finding("compression-low", severity, f"{where}, cylinder {number}", text, remedy))
    return tuple(found)


def leakdown(leak: FloatArray, where: str) -> tuple[Finding, ...]:
    """Leakdown by cylinder.

    Args:
        leak: one a cylinder, shape (n,), fraction.
        where: name of the check.

    Returns:
        A finding for each cylinder that leaks more than a sound one, and one where they differ by more than 4 points.

    Source: practice.
    """
    found = []
    for number, value in enumerate(leak, start=1):
        if value > LEAKDOWN_GOOD:
            hard = value > LEAKDOWN_BAD
            grade = "bad" if hard else "poor" if value > LEAKDOWN_USABLE else "usable, not top"
            text = f"{value:.0%} leakdown: {grade}."
            remedy = "Listen where it leaks: crankcase (rings), exhaust or intake (valves), coolant (gasket)."
            severity = Severity.FAULT if hard else Severity.WARNING if value > LEAKDOWN_USABLE else Severity.NOTE
            found.append(Finding("leakdown-high", severity, f"{where}, cylinder {number}", text, remedy))
    spread = float(np.ptp(leak))
    if spread > LEAKDOWN_SPREAD:
        text = f"The cylinders differ by {100.0 * spread:.0f} points of leakdown."
        remedy = "Look at the worst cylinder before believing a comparison of full-load pulls."
        found.append(Finding("leakdown-uneven", Severity.NOTE, where, text, remedy))
    return tuple(found)


def lash(measured: FloatArray, wanted: FloatArray, where: str) -> tuple[Finding, ...]:
    """Valve lash against what was wanted.

    Args:
        measured, wanted: one a valve, shape (n,) [m].
        where: name of the check.

    Returns:
        A finding where a valve is more than 0.05 mm (0.002 in) off.

    Source: practice.
    """
    off = measured - wanted
    worst = int(np.argmax(np.abs(off)))
    if abs(off[worst]) <= LASH_OFF:
        return ()
    text = f"{int((np.abs(off) > LASH_OFF).sum())} valves are off, valve {worst + 1} by {off[worst] * 1e3:+.2f} mm."
    remedy = "Set the lash again and repeat a pull; a closing lash loses compression, an opening one loses lift."
    return (Finding("lash-off", Severity.WARNING, where, text, remedy),)


def springs(load: FloatArray, new: FloatArray, where: str) -> tuple[Finding, ...]:
    """Valve-spring loads against what they were when new.

    Args:
        load, new: at the same height, shape (n,) [N].
        where: name of the check.

    Returns:
        A finding where a spring has lost 5 % (warning) or 10 % (fault) of its load.

    Source: practice.
    """
    lost = 1.0 - load / new
    worst = int(np.argmax(lost))
    if lost[worst] < SPRING_LOSS:
        return ()
    severity = Severity.FAULT if lost[worst] >= SPRING_LOST else Severity.WARNING
    text = f"{int((lost >= SPRING_LOSS).sum())} springs have lost load, spring {worst + 1} {lost[worst]:.0%}."
    remedy = "Replace the springs, or lower the speed limit: a tired spring lets the valve float earlier."
    return (Finding("spring-tired", severity, where, text, remedy),)


def dead_weights(
    indicated: FloatArray, hung: FloatArray, where: str, *, full_scale: float | None = None
) -> tuple[Finding, ...]:
    """Dead weights hung on the brake: has the zero moved?

    Args:
        indicated, hung: shape (n,) [N m].
        where: name of the check.
        full_scale: of the brake's torque [N m]; None: the largest load.

    Returns:
        A finding where the mean offset is more than 0.5 lb-ft or a thousandth of full scale.

    Source: practice.
    """
    scale = full_scale or float(np.max(hung))
    allowed = max(ZERO_MOVED, ZERO_SHARE * scale)
    offset = float(np.median(indicated - hung))
    if abs(offset) <= allowed:
        return ()
    shown = from_house(offset, "lb-ft", "N m")
    text = (
        f"The brake reads {shown:+.1f} lb-ft too much at every load."
        if offset > 0
        else (f"The brake reads {-shown:.1f} lb-ft too little at every load.")
    )
    remedy = (
        "Set the zero again with water running and hang the weights once more; pulls since the last check are void."
    )
    return (Finding("brake-zero-moved", Severity.FAULT, where, text, remedy),)
