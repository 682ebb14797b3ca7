"""Compaction: traces of single pulls are gathered into files of many pulls, which scans read far faster."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from sqlalchemy import select, update

from fairpull.book import traces
from fairpull.book.contents import Contents
from fairpull.book.folder import trace_place
from fairpull.book.json_text import loads
from fairpull.book.store import Store
from fairpull.book.tables import PULLS
from fairpull.terms.arrays import FloatArray
from fairpull.terms.errors import BookRefused, Fault

if TYPE_CHECKING:
    import polars as pl

PULLS_A_FILE = 100
FOLDER = "gathered"


@dataclass(frozen=True, slots=True)
class _Lying:
    """Where a pull's trace lies: number, content hash, channels in order, file below ``traces/``."""

    number: int
    trace: str
    channels: tuple[str, ...]
    file: str


def compact(book: Contents) -> int:
    """Gather the traces of pulls that lie in files of their own, and of files that are not full yet.

    Values stay bit for bit the same. Each new file is on the disk before one transaction says that its pulls lie there;
    only then the old files go. A program that dies in between leaves a book that reads the same.

    Args:
        book: the open book.

    Returns:
        How many pulls moved.

    Raises:
        BookRefused: a trace is missing or damaged, the disk is full, the book may not be written.
    """
    moved = 0
    for group in _groups(_lying(book.store)):
        content = _gathered(book.store, group)
        moved += _switch(book.store, group, content)
    return moved


def gathered_file(numbers: Sequence[int]) -> str:
    """Name of a file of many pulls, below ``traces/``.

    Args:
        numbers: of its pulls, ascending.

    Returns:
        The name.
    """
    return f"{FOLDER}/{numbers[0]:07d}-{numbers[-1]:07d}-{len(numbers)}.parquet"


def _lying(store: Store) -> list[_Lying]:
    query = select(PULLS.c.number, PULLS.c.trace, PULLS.c.papers, PULLS.c.trace_file).order_by(PULLS.c.number)
    with store.reading() as connection:
        rows = connection.execute(query).all()
    return [_Lying(row.number, row.trace, tuple(loads(row.papers)["channels"]), row.trace_file) for row in rows]


def _groups(lying: Sequence[_Lying]) -> list[list[_Lying]]:
    """Pulls that move, in number order, as many as go into a file; one pull left alone stays where it is."""
    sharing: dict[str, int] = {}
    for one in lying:
        sharing[one.file] = sharing.get(one.file, 0) + 1
    loose = [one for one in lying if sharing[one.file] < PULLS_A_FILE and traces.PULL_COLUMN not in one.channels]
    groups = [loose[start : start + PULLS_A_FILE] for start in range(0, len(loose), PULLS_A_FILE)]
    return [group for group in groups if len({one.file for one in group}) > 1]


def _gathered(store: Store, group: Sequence[_Lying]) -> bytes:
    """The file of many pulls; read again from its bytes before anybody relies on it."""
    import polars as pl

    frames = []
    for one in group:
        path = store.folder / trace_place(one.file)
        try:
            channels = traces.read_trace(path, one.number, one.channels, one.trace)
        except FileNotFoundError as error:
            remedy = "put the file back from a backup; fairpull book check lists all that is missing"
            raise BookRefused(Fault("trace-missing", str(path), f"the trace of pull {one.number}", remedy)) from error
        frames.append(_frame(one.number, channels))
    buffer = io.BytesIO()
    # A column that a pull does not have is null there, and never NaN: a missing value inside a channel is NaN.
    joined = pl.concat(frames, how="diagonal")
    joined.write_parquet(buffer, compression="zstd", compression_level=traces.COMPRESSION_LEVEL)
    content = buffer.getvalue()
    _check(content, group)
    return content


def _frame(number: int, channels: dict[str, FloatArray]) -> pl.DataFrame:
    import polars as pl

    rows = next(iter(channels.values())).size
    pull = pl.Series(traces.PULL_COLUMN, np.full(rows, number, dtype=np.int64))
    return pl.DataFrame([pull, *(pl.Series(name, values) for name, values in channels.items())])


def _check(content: bytes, group: Sequence[_Lying]) -> None:
    import polars as pl

    back = pl.read_parquet(io.BytesIO(content)).partition_by(traces.PULL_COLUMN, as_dict=True)
    for one in group:
        table = back[(one.number,)]
        channels = {name: np.asarray(table[name].to_numpy(), dtype=np.float64) for name in one.channels}
        if traces.trace_hash(channels) != one.trace:
            remedy = "nothing was changed; report this with the pull's original"
            fault = Fault("compaction-differs", f"pull {one.number}", "its values changed on the way", remedy)
            raise BookRefused(fault)


def _switch(store: Store, group: Sequence[_Lying], content: bytes) -> int:
    """One transaction: the new file comes, the rows point at it; then the old files go. 0 if somebody was faster."""
    numbers = [one.number for one in group]
    file = gathered_file(numbers)
    expected = {one.number: one.file for one in group}
    with store.placing() as (connection, staged):
        query = select(PULLS.c.number, PULLS.c.trace_file).where(PULLS.c.number.in_(numbers))
        now: dict[int, Any] = {row.number: row.trace_file for row in connection.execute(query)}
        if now != expected:
            return 0
        staged.add_bytes(trace_place(file), content)
        for old in sorted(set(expected.values())):
            staged.leave(trace_place(old))
        staged.place()
        connection.execute(update(PULLS).where(PULLS.c.number.in_(numbers)).values(trace_file=file))
    return len(group)
