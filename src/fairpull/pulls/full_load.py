"""Where in a recording the engine ran at full load: by the throttle channel, or else by torque."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fairpull.pulls.blocks import Blocks, close_gaps
from fairpull.pulls.options import PullOptions
from fairpull.terms.arrays import BoolArray, FloatArray
from fairpull.terms.errors import Fault, NotComparable
from fairpull.terms.findings import Finding, Severity

GAP_SECONDS = 0.25  # shorter interruptions of full load are flutter of the channel
DEAD_THROTTLE = 0.05  # a channel that never gets here is not connected
TORQUE_SHARE = 0.4  # without throttle: full load is above this share of the high torque


@dataclass(frozen=True, slots=True)
class FullLoad:
    """Blocks at full load, how they were told, and what to say about it.

    Attributes:
        mask: shape (b,).
        by_throttle: True when the throttle channel told them.
        rule: the rule in words.
        findings: what a tester should know.
    """

    mask: BoolArray
    by_throttle: bool
    rule: str
    findings: tuple[Finding, ...]


def full_load(blocks: Blocks, options: PullOptions, where: str) -> FullLoad:
    """Tell full load from the rest.

    Args:
        blocks: the thinned recording.
        options: ``throttle_floor`` is used.
        where: the recording's name, for findings and faults.

    Returns:
        The blocks at full load.

    Raises:
        NotComparable: the throttle never opens, or torque has the wrong sign.
    """
    gap = max(1, round(GAP_SECONDS / blocks.seconds))
    throttle = blocks.throttle
    if throttle is not None and np.isfinite(throttle).any():
        opened = float(np.nanmax(throttle))
        if opened >= DEAD_THROTTLE:
            return _by_throttle(blocks, throttle, opened, options, gap, where)
        text = f"throttle never reads more than {opened:.1%}: the channel looks dead, full load is told by torque."
        remedy = "Check the throttle sensor; say in the log that the throttle was wide open."
        finding = Finding("throttle-dead", Severity.WARNING, f"{where}, throttle", text, remedy)
    else:
        text = "no throttle channel: full load is told by torque and speed only."
        remedy = "Log the throttle, so that a pull with the throttle not fully open can be told."
        finding = Finding("throttle-missing", Severity.NOTE, where, text, remedy)
    return _by_torque(blocks, gap, finding, where)


def _by_throttle(
    blocks: Blocks, throttle: FloatArray, opened: float, options: PullOptions, gap: int, where: str
) -> FullLoad:
    floor = options.throttle_floor
    if opened < floor:
        seen = f"the throttle opens to {opened:.1%} at most, below {floor:.0%}: part load only"
        remedy = "give a full-load recording, or lower the option throttle_floor if the sensor reads short"
        raise NotComparable(Fault("part-throttle", f"{where}, throttle", seen, remedy))
    mask = close_gaps(throttle >= floor, gap)
    _refuse_negative(blocks.torque[mask], "at full throttle", where)
    return FullLoad(mask, True, f"throttle at least {floor:.0%}, gaps up to {GAP_SECONDS:g} s closed", ())


def _by_torque(blocks: Blocks, gap: int, finding: Finding, where: str) -> FullLoad:
    present = blocks.torque[np.isfinite(blocks.torque)]
    high = float(np.quantile(present, 0.98)) if present.size else 0.0
    low = float(np.quantile(present, 0.02)) if present.size else 0.0
    if low < -high:  # coasting gives less than this; a turned sign more
        _refuse_negative(present[present < 0.5 * low], "where it is largest", where)
    mask = close_gaps(np.nan_to_num(blocks.torque, nan=-1.0) > max(TORQUE_SHARE * high, 0.0), gap)
    rule = f"torque above {TORQUE_SHARE:.0%} of its 98th percentile, {high:.4g} N m (no usable throttle channel)"
    return FullLoad(mask, False, rule, (finding,))


def _refuse_negative(torque: FloatArray, when: str, where: str) -> None:
    torque = torque[np.isfinite(torque)]
    middle = float(np.median(torque)) if torque.size else 0.0
    if middle < -0.1 * float(np.max(np.abs(torque), initial=0.0)):
        seen = f"torque is negative {when}: median {middle:.4g} N m"
        remedy = "the sign is turned, or the brake drove the engine: give the channel with the opposite sign"
        raise NotComparable(Fault("torque-negative", f"{where}, torque", seen, remedy))
