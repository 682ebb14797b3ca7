"""Traces: a pull's channels as Parquet, exact, and the hash that says they are still the same."""

from __future__ import annotations

import hashlib
import io
from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np

from fairpull.terms.arrays import FloatArray
from fairpull.terms.errors import BookRefused, Fault

PULL_COLUMN = "pull"
"""Column of a compacted file that says which pull a row belongs to."""
COMPRESSION_LEVEL = 3


def trace_hash(channels: Mapping[str, FloatArray]) -> str:
    """Content hash of a trace's canonical bytes.

    For each channel in order of its name: the name's length and UTF-8 bytes, the number of rows, the values as 64-bit
    floats; lengths as unsigned 64-bit integers, everything little-endian.

    Args:
        channels: name -> values, shape (n,), house units.

    Returns:
        SHA-256 as hexadecimal text.

    Source: own definition
    """
    digest = hashlib.sha256()
    for name in sorted(channels):
        label = name.encode("utf-8")
        values = np.ascontiguousarray(channels[name], dtype="<f8")
        digest.update(len(label).to_bytes(8, "little") + label + values.size.to_bytes(8, "little"))
        digest.update(values.data)
    return digest.hexdigest()


def single_file(number: int) -> str:
    """Name of a pull's own trace file, below ``traces/``."""
    return f"{number // 1000:03d}/{number:07d}.parquet"


def trace_bytes(channels: Mapping[str, FloatArray]) -> bytes:
    """A trace as a Parquet file.

    Args:
        channels: name -> values, shape (n,), house units.

    Returns:
        The file's bytes: 64-bit floats, Zstandard.
    """
    import polars as pl

    frame = pl.DataFrame({name: np.asarray(values, dtype=np.float64) for name, values in channels.items()})
    file = io.BytesIO()
    frame.write_parquet(file, compression="zstd", compression_level=COMPRESSION_LEVEL)
    return file.getvalue()


def read_trace(path: Path, number: int, names: Sequence[str], expected: str) -> dict[str, FloatArray]:
    """Read one pull's trace from its own file or from a compacted one, and check it.

    Args:
        path: the Parquet file.
        number: the pull's.
        names: its channels, in order.
        expected: content hash of the trace.

    Returns:
        Channel -> values, shape (n,), house units.

    Raises:
        BookRefused: the file is unreadable, or holds other values than those that were taken in.
        FileNotFoundError: the file is not there (compaction may just have moved it).
    """
    import polars as pl

    try:
        columns = set(pl.read_parquet_schema(path))
        frame = pl.scan_parquet(path)
        if PULL_COLUMN in columns and PULL_COLUMN not in names:
            frame = frame.filter(pl.col(PULL_COLUMN) == number)
        table = frame.select([name for name in names if name in columns]).collect()
    except FileNotFoundError:
        raise
    except (OSError, pl.exceptions.PolarsError) as error:
        raise _damaged(path, number, str(error).splitlines()[0]) from error
    channels = {name: np.array(table[name].to_numpy(), dtype=np.float64) for name in table.columns}
    if trace_hash(channels) != expected:
        raise _damaged(path, number, "its values are not those that were taken in")
    return channels


def _damaged(path: Path, number: int, seen: str) -> BookRefused:
    remedy = "put the file back from a backup; fairpull book check lists all damage"
    return BookRefused(Fault("trace-damaged", f"{path}, pull {number}", seen, remedy))
