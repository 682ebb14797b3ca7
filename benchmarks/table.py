"""The measurements as a table of 80 columns."""

from __future__ import annotations

import os
import platform
from collections.abc import Sequence
from statistics import median

from benchmarks.pairs import Outcome

WIDTH = 80
ROW = "{:<41}{:>7}{:>14}{:>8}{:>10}"


def machine() -> str:
    """The machine in one line: cores, Python, how busy it was."""
    busy = os.getloadavg()[0] if hasattr(os, "getloadavg") else float("nan")
    name = f"{platform.python_implementation()} {platform.python_version()}"
    return f"{os.cpu_count()} cores, {platform.machine()}, {name}, {busy:.1f} processes at work before"


def rows(result: Outcome) -> list[str]:
    """The lines of a measurement: the ratio, then what it was divided by.

    Args:
        result: the measurement.

    Returns:
        Two lines of at most WIDTH characters.
    """
    span = f"{min(result.ratios):.2f}-{max(result.ratios):.2f}"
    judged = "met" if result.met else "NOT MET"
    first = ROW.format(result.what, f"{median(result.ratios):.2f}", span, f"< {result.target:g}", judged)
    told = [f"  of: {result.against}"]
    if result.seconds:
        own, other = result.seconds
        told.append(f"{own:.3g} s / {other:.3g} s")
    if result.processor is not None:
        told.append(f"cpu {result.processor:.2f}")
    return [first, ", ".join(told)]


def table(results: Sequence[Outcome], about: str) -> str:
    """All measurements.

    Args:
        results: measurements.
        about: the machine, in one line.

    Returns:
        The table as text.
    """
    head = ROW.format("what", "ratio", "min-max", "target", "")
    lines = [about, "", head.rstrip(), "-" * WIDTH]
    for result in results:
        lines += rows(result)
    return "\n".join(lines)
