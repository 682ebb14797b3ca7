"""The rows of a pull, made clean channel by channel, with an account of what was touched."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache

import numpy as np

from fairpull.pulls.despike import bridge_dropouts, despike, spike_floors
from fairpull.pulls.options import PullOptions
from fairpull.terms.arrays import FloatArray, IntArray
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.glossary import BY_NAME

MANY = 0.01  # more spikes than this share of the samples deserve a warning


def stack(channels: Mapping[str, FloatArray], names: Sequence[str], first: int, end: int) -> FloatArray:
    """Rows [first, end) of the named channels as one table.

    Args:
        channels: glossary name -> shape (n,).
        names: which, in order.
        first, end: rows.

    Returns:
        Shape (len(names), end - first), a copy.
    """
    table = np.empty((len(names), end - first))
    for row, name in enumerate(names):
        table[row] = channels[name][first:end]
    return table


def clean(
    table: FloatArray, names: tuple[str, ...], options: PullOptions, where: str
) -> tuple[FloatArray, list[Finding], dict[str, str]]:
    """Clean a table of channels: impossible values out, short dropouts bridged, spikes replaced.

    Args:
        table: shape (c, n), one row per channel, each in its own unit; may be overwritten.
        names: channel names, length c.
        options: ``despike_k``, ``despike_window``, ``bridge`` are used.
        where: pull's name, for findings.

    Returns:
        The clean table, the findings, and the rules as choices.
    """
    low, high = _bounds(names)
    impossible = (table < low) | (table > high)
    findings: list[Finding] = []
    if impossible.any():
        table[impossible] = np.nan
        findings += _impossible(names, np.count_nonzero(impossible, axis=1), where)
    findings += _bridge(table, names, options.bridge, where)
    choices = {
        "dropouts": f"up to {options.bridge} samples bridged by a straight line, longer ones left out",
        "despiking": "off",
    }
    if options.despike_k > 0:
        table, counts = despike(table, _floors(names), options.despike_k, options.despike_window)
        findings += _spikes(names, counts, table.shape[1], where)
        choices["despiking"] = (
            f"a sample more than {options.despike_k:g} robust standard deviations (1.4826 MAD of the pull) from the"
            f" median of {options.despike_window} samples is replaced by it; {int(counts.sum())} replaced"
        )
    return table, findings, choices


@lru_cache(maxsize=64)
def _bounds(names: tuple[str, ...]) -> tuple[FloatArray, FloatArray]:
    """Beyond these a value is a logger's mark for "no reading": one whole span outside the plausible range."""
    channels = [BY_NAME.get(name) or BY_NAME.get(name.rpartition("_")[0]) for name in names]
    widest = float(np.finfo(np.float64).max)  # infinite readings are impossible on any channel
    spans = [(-widest, widest) if c is None else (2 * c.low - c.high, 2 * c.high - c.low) for c in channels]
    return np.array([[low] for low, _ in spans]), np.array([[high] for _, high in spans])


@lru_cache(maxsize=64)
def _floors(names: tuple[str, ...]) -> FloatArray:
    return spike_floors(names)


def _impossible(names: Sequence[str], counts: IntArray, where: str) -> list[Finding]:
    told = [f"{name} {int(count)}" for name, count in zip(names, counts, strict=True) if count]
    text = f"values far outside what the channel can read were taken as missing (samples: {', '.join(told)})."
    remedy = "Check unit and sensor of the channel; such values are often a logger's mark for no reading."
    return [Finding("impossible-values", Severity.WARNING, where, text, remedy)]


def _bridge(table: FloatArray, names: Sequence[str], longest: int, where: str) -> list[Finding]:
    findings: list[Finding] = []
    short: list[str] = []
    gaps = np.isnan(table).any(axis=1)
    for row in np.flatnonzero(gaps).tolist():
        table[row], bridged, left = bridge_dropouts(table[row], longest)
        if bridged:
            short.append(f"{names[row]} {bridged}")
        if left == table.shape[1]:
            continue  # the whole channel is missing: nothing dropped out
        if left:
            findings.append(_dropout(names[row], left, longest, where))
    if short:
        text = f"short dropouts were bridged (samples: {', '.join(short)})."
        remedy = "Nothing to do when few; look at the plug and the cable when it comes back."
        findings.append(Finding("dropouts-bridged", Severity.NOTE, where, text, remedy))
    return findings


def _dropout(name: str, samples: int, longest: int, where: str) -> Finding:
    severity = Severity.WARNING if name in ("torque", "rpm", "throttle") else Severity.NOTE
    text = f"{name} is missing over {samples} samples at a stretch, more than the {longest} that are bridged."
    remedy = "The stretch is left out; check the sensor, and treat the pull as void if it is torque or speed."
    return Finding("dropout-long", severity, f"{where}, {name}", text, remedy)


def _spikes(names: Sequence[str], counts: IntArray, samples: int, where: str) -> list[Finding]:
    if not counts.any():
        return []
    told = ", ".join(f"{name} {int(count)}" for name, count in zip(names, counts, strict=True) if count)
    severity = Severity.WARNING if counts.max() > MANY * samples else Severity.NOTE
    text = f"spikes were replaced by the running median (samples of {samples}: {told})."
    remedy = "Look for ignition noise on the channel's cable when there are many."
    return [Finding("spikes-replaced", severity, where, text, remedy)]
