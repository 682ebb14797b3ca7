"""Belt slip of a driven compressor: it no longer turns with the crankshaft.

Looked for, first: blower speed over crankshaft speed that falls by more than 1.5 % below its own value in the lower
part of the range (or below the references' ratio). Without a blower speed: boost that leaves its line. A centrifugal's
boost climbs as a power of rpm near two, a positive-displacement blower's stays level; the line is the references', or
the one its own lower two thirds draw, and boost that falls away from it to the end by more than 6 % and 0.4 psi
(references: 4 % and 0.3 psi) is a slip, or a choked inlet, which is told too. A blower speed that holds its ratio
rules slip out.

Thresholds: 1.5 % of the ratio is three times the accuracy of a blower-speed channel (0.5 %, practice); boost repeats
within 0.2 psi (practice). A published case fell from 11.6 psi to the mid-nines.

Confirmed by: a blower-speed pickup, belt tension and wrap, dust at the pulleys.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from fairpull.health.along import last_value, lower, middle, own_line, settled, shown, spread_on_grid, to_the_end
from fairpull.health.boost import against_references
from fairpull.health.view import View
from fairpull.terms.arrays import BoolArray, FloatArray
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen

KINDS = ("belt-slip",)
NEEDS = ("blower speed", "or boost (manifold pressure with the barometer)")
RATIO_LOST = 0.015
BOOST_LOST, BOOST_LOST_ALONE = (0.04, 2070.0), (0.06, 2760.0)  # share, Pa (0.3 and 0.4 psi)
LEAST_BOOST = 6900.0  # Pa, 1 psi: below it boost tells nothing
RISING = 0.8  # power of rpm above which boost is a centrifugal's
ROLL_OFF = 0.08  # a positive-displacement blower loses this much by itself as the engine's breathing worsens
SHORT_BELOW = 1035.0  # Pa, 0.15 psi
CONFIRM = "Log blower speed; check belt tension, wrap and dust at the pulleys, then repeat the pull."


class _Line(NamedTuple):
    """Boost as it was to be, shape (g,) [Pa]; what that rests on; share and [Pa] that may be lost."""

    values: FloatArray
    told: str
    share: float
    least: float


def look(view: View) -> Sign | Unseen | None:
    """Look for belt slip.

    Args:
        view: the pull.

    Returns:
        A fault from where it shows to the end, what is missing, or None (also where nothing is driven by a belt).

    Source: practice.
    """
    induction = view.engine.induction if view.engine is not None else ""
    if induction not in ("", "belt") or (not induction and not view.has("blower_rpm")):
        return None
    if view.has("blower_rpm"):
        return _by_speed(view)
    if not view.has("boost"):
        return Unseen(KINDS[0], ("blower_rpm", "boost"), "neither blower speed nor boost to tell a slip by")
    return _by_boost(view)


def _by_speed(view: View) -> Sign | None:
    ratio = _drive(view)
    if ratio is None:
        return None
    base = middle(ratio, lower(view, 0.35))
    others = [drive for reference in view.references if (drive := _drive(reference)) is not None]
    if others:  # a belt that slips from the first rpm on loses against the earlier pulls' best
        base = max(base, max(middle(drive, lower(view, 0.35)) for drive in others))
    if not base > 0.0:
        return None
    lost = 1.0 - ratio / base
    need = max(RATIO_LOST, 4.0 * spread_on_grid(view, "blower_rpm") / middle(view.rpm * base, settled(view)))
    begins = _first(lost > need, settled(view))
    if begins is None:
        return None
    worst = float(np.nanmax(np.where(settled(view), lost, np.nan)))
    text = (
        f"Blower speed over crankshaft speed falls from {base:.3f} to {base * (1.0 - worst):.3f} ({-worst:.1%})"
        f" from {view.rpm[begins]:,.0f} rpm up{_boost_told(view)}."
    )
    return Sign(KINDS[0], Severity.FAULT, float(view.rpm[begins]), float(view.rpm[-1]), worst, "1", text, CONFIRM)


def _drive(view: View) -> FloatArray | None:
    blower = view.on_grid("blower_rpm")
    return None if blower is None else np.asarray(blower / view.rpm)


def _first(flags: FloatArray | BoolArray, looked: BoolArray) -> int | None:
    """First node of at least three flagged in a row."""
    flagged = np.asarray(flags, dtype=np.bool_) & looked
    rows = np.flatnonzero(flagged[:-2] & flagged[1:-1] & flagged[2:])
    return int(rows[0]) if rows.size else None


def _by_boost(view: View) -> Sign | None:
    boost = view.on_grid("boost")
    if boost is None or not middle(boost, settled(view)) > LEAST_BOOST:
        return None
    return _off_line(view, boost, _series(view, boost)) or _off_line(view, boost, _own(view, boost))


def _off_line(view: View, boost: FloatArray, expected: _Line | None) -> Sign | None:
    """Boost that leaves a line late and for good."""
    if expected is None:
        return None
    line, told, share, least = expected
    lost = np.where(settled(view), line - boost, np.nan)
    need = np.maximum(np.maximum(share * line, least), 4.0 * spread_on_grid(view, "boost"))
    present = np.isfinite(lost)
    if to_the_end(lost > need, present, 3) is None:
        return None
    begins = to_the_end(lost > 0.4 * need, present, 3)
    if begins is None or view.rpm[begins] < view.rpm[0] + 0.3 * (view.rpm[-1] - view.rpm[0]):
        return None  # short everywhere is no slip that sets in with load and speed
    end, wanted = last_value(boost), last_value(line)
    text = (
        f"Boost leaves {told} at {view.rpm[begins]:,.0f} rpm and ends at {shown(end, 'psi', 'Pa')} where"
        f" {shown(wanted, 'psi', 'Pa')} was to be; a slipping belt, or a choked inlet or a leak that opens with boost."
    )
    low, high = float(view.rpm[begins]), float(view.rpm[-1])
    return Sign(KINDS[0], Severity.FAULT, low, high, float(np.nanmax(lost)), "Pa", text, CONFIRM)


def _series(view: View, boost: FloatArray) -> _Line | None:
    """The references' boost; None without, or where this pull is short from the start, which is no slip."""
    found = against_references(view)
    if found is None:
        return None
    over, scatter, _ = found
    off = middle(over, lower(view, 0.5))
    if off < -max(SHORT_BELOW, 2.0 * scatter):
        return None
    share, least = BOOST_LOST
    return _Line(boost - over + off, "the references' line", share, least)


def _own(view: View, boost: FloatArray) -> _Line | None:
    """The line that the lower part draws: a power of rpm for a centrifugal, a level for positive displacement."""
    basis = lower(view, 0.6)
    bent = own_line(view.rpm, np.where(boost > 0.0, boost, np.nan), basis & (boost > 0.3 * LEAST_BOOST), bent=True)
    power = float(np.log(bent[-1] / bent[0]) / np.log(view.rpm[-1] / view.rpm[0]))
    share, least = BOOST_LOST_ALONE
    if power > RISING:
        return _Line(bent, f"its own line (rpm to the power {power:.1f})", share, least)
    flat = np.full(boost.size, float(np.nanmax(np.where(basis, boost, np.nan))))
    return _Line(flat, "its level", share + ROLL_OFF, least)


def _boost_told(view: View) -> str:
    boost = view.on_grid("boost")
    if boost is None:
        return ""
    against = view.difference("boost")
    text = f"; boost ends at {shown(last_value(boost), 'psi', 'Pa')}"
    return text if against is None else f"{text} ({shown(last_value(against.values), 'psi', 'Pa')} off the references)"
