"""Conditions on a channel within a range of speeds: read from the traces, only the columns needed, in one scan."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from fairpull.book.search.tree import ANY, Bound, NumberIs, Range
from fairpull.terms.errors import BookRefused, Fault

if TYPE_CHECKING:
    import polars as pl

FILE = "file of the trace"  # a column's name that no channel has


class Moved(Exception):
    """A trace file is not where the catalogue said; compaction may just have moved it."""


def holding(condition: NumberIs, columns: tuple[str, ...], files: Mapping[int, str], traces: Path) -> frozenset[int]:
    """Which pulls hold a condition within its range of speeds.

    Args:
        condition: has a range.
        columns: those of its names that some pull of the book has.
        files: pull number -> its trace file below ``traces``; only these are read.
        traces: folder of the traces.

    Returns:
        Numbers of the pulls.

    Raises:
        Moved: a trace file is not there.
        BookRefused: a trace file cannot be read.
    """
    import polars as pl

    if not columns or condition.range is None:
        return frozenset()
    rows = _rows(columns, files, traces).filter(_in_range(condition.range))
    picked = [
        expression.alias(f"{column} {pick}")
        for column in columns
        for pick, expression in _picks(condition.pick, pl.col(column).fill_nan(None))
    ]
    held = pl.any_horizontal(*(_held(condition.pick, column, condition.bound) for column in columns))
    query = rows.group_by("pull").agg(*picked).filter(held).select("pull")
    try:
        found = query.collect(engine="streaming")
    except FileNotFoundError as error:
        raise Moved from error
    except (pl.exceptions.PolarsError, OSError) as error:
        seen = str(error).splitlines()[0] if str(error) else "it cannot be read"
        fault = Fault("trace-unreadable", str(traces), seen, "run fairpull book check, and restore the last backup")
        raise BookRefused(fault) from error
    return frozenset(int(number) for number in found["pull"])


def _rows(columns: tuple[str, ...], files: Mapping[int, str], traces: Path) -> pl.LazyFrame:
    """Speed and channels of the wanted pulls, with their numbers, all files in one scan.

    A file of one pull need not hold its number; one of many pulls has it in the column ``pull``.
    """
    import polars as pl

    by_file: dict[str, list[int]] = {}
    for number, file in files.items():
        by_file.setdefault(file, []).append(number)
    paths = [str(traces / file) for file in sorted(by_file)]
    schema = {"pull": pl.Int64(), **dict.fromkeys(("rpm", *columns), pl.Float64())}
    scan = pl.scan_parquet(
        paths,
        schema=schema,
        missing_columns="insert",
        extra_columns="ignore",
        cast_options=pl.ScanCastOptions(integer_cast="upcast"),
        include_file_paths=FILE,
        glob=False,
    )
    single = {str(traces / file): numbers[0] for file, numbers in by_file.items() if len(numbers) == 1}
    own = pl.coalesce(pl.col("pull"), pl.col(FILE).replace_strict(single, default=None, return_dtype=pl.Int64()))
    return scan.with_columns(own.alias("pull")).filter(pl.col("pull").is_in(sorted(files)))


def _in_range(span: Range) -> pl.Expr:
    import polars as pl

    speed = pl.col("rpm")
    if span.past is not None:
        return speed > span.past
    if span.below is not None:
        return speed < span.below
    return (speed >= span.first) & (speed <= span.last)


def _picks(pick: str, values: pl.Expr) -> list[tuple[str, pl.Expr]]:
    made = {"least": values.min(), "mean": values.mean(), "most": values.max()}
    return [(name, made[name]) for name in (("least", "most") if pick == ANY else (pick,))]


def _held(pick: str, column: str, bound: Bound) -> pl.Expr:
    """Whether the bound holds somewhere from least to most; where the channel is missing it does not."""
    import polars as pl

    least = pl.col(f"{column} {'least' if pick == ANY else pick}")
    most = pl.col(f"{column} {'most' if pick == ANY else pick}")
    held = {
        ">": most > bound.low,
        ">=": most >= bound.low,
        "<": least < bound.high,
        "<=": least <= bound.high,
        "=": (least <= bound.high) & (most >= bound.low),
    }[bound.comparison]
    return held.fill_null(value=False)
