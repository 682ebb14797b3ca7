"""Every trace is there, is what was taken in, and gives the figures that stand in the catalogue."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from sqlalchemy import Connection, Row, select

from fairpull.book.folder import trace_place
from fairpull.book.json_text import loads
from fairpull.book.looking import Looking, Told
from fairpull.book.pulls import figures_of, trace
from fairpull.book.store import Store
from fairpull.book.tables import PULLS
from fairpull.book.traces import read_trace
from fairpull.terms.arrays import FloatArray
from fairpull.terms.bench import Figure
from fairpull.terms.errors import FairpullError

CLOSE = 1e-9  # relative: sums of floats may be taken in another order elsewhere
RESTORE = "Put the file back from a backup, or take the original in again in a new book."
AGAIN = "Restore the last backup; the original and the trace are as they were."
CHUNK = 500


def check_pulls(store: Store, connection: Connection, looking: Looking, told: Told) -> None:
    """Read every trace and hold it against the catalogue.

    Args:
        store: the book's.
        connection: in a transaction that reads.
        looking: takes the findings.
        told: is told of each pull before it is looked at.
    """
    numbers = list(connection.execute(select(PULLS.c.number).order_by(PULLS.c.number)).scalars())
    for start in range(0, len(numbers), CHUNK):
        chunk = numbers[start : start + CHUNK]
        figures = figures_of(connection, chunk)
        query = select(PULLS).where(PULLS.c.number.in_(chunk)).order_by(PULLS.c.number)
        for at, row in enumerate(connection.execute(query).all(), start + 1):
            told(f"reading the trace of {row.name}", at, len(numbers))
            looking.looked_at["pulls"] += 1
            channels = _trace(store, row, looking)
            if channels is not None:
                _figures(row, channels, figures[row.number], looking)


def _trace(store: Store, row: Row[Any], looking: Looking) -> Mapping[str, FloatArray] | None:
    names = loads(row.papers)["channels"]
    try:
        return read_trace(store.folder / trace_place(row.trace_file), row.number, names, row.trace)
    except FileNotFoundError:
        pass  # compaction may have moved it since the row was read
    except FairpullError as error:
        looking.found("trace-damaged", f"pull {row.name}", f"{error.faults[0].seen}.", RESTORE)
        return None
    try:
        return trace(store, row.name).channels
    except FairpullError as error:
        looking.found(error.faults[0].code, f"pull {row.name}", f"Its trace: {error.faults[0].seen}.", RESTORE)
    return None


def _figures(row: Row[Any], channels: Mapping[str, FloatArray], kept: Mapping[str, Figure], looking: Looking) -> None:
    """Three numbers of every channel, the tested range, and the summary, which stands in two places."""
    where = f"pull {row.name}"
    summary: dict[str, float] = loads(row.summary)
    said = {
        **{name: (one.least, one.mean, one.most) for name, one in kept.items()},
        "tested range": (row.tested_low, row.tested_high),
    }
    computed = {
        **{name: three for name, values in channels.items() if name in kept and (three := _three(values))},
        **{name: (value, value, value) for name, value in summary.items()},
        "tested range": (float(np.nanmin(channels["rpm"])), float(np.nanmax(channels["rpm"]))),
    }
    if "time" in channels and "duration" in summary:
        time = channels["time"]
        length = float(np.nanmax(time) - np.nanmin(time))
        computed["duration"] = (length, length, length)
    if "sweep_rate" in summary:
        computed["sweep_rate"] = (row.sweep_rate,) * 3
    for name, numbers in computed.items():
        looking.looked_at["figures"] += 1
        if name not in said:
            looking.found("figure-differs", where, f"The figure {name} is missing from the catalogue.", AGAIN)
        elif not np.allclose(said[name], numbers, rtol=CLOSE, atol=0.0):
            seen = f"{name}: the catalogue says {_shown(said[name])}, computed again {_shown(numbers)}."
            looking.found("figure-differs", where, seen, AGAIN)


def _three(values: FloatArray) -> tuple[float, float, float] | None:
    known = values[np.isfinite(values)]
    return (float(known.min()), float(known.mean()), float(known.max())) if known.size else None


def _shown(numbers: tuple[float, ...]) -> str:
    return ", ".join(f"{number:.12g}" for number in numbers)
