"""Parquet: columns with their types; units from column names or from the field's metadata."""

from __future__ import annotations

from pathlib import Path

import polars as pl

from fairpull.logs.headers import name_and_unit, unique_names
from fairpull.logs.options import ReadOptions
from fairpull.logs.table import RawTable, Sniff
from fairpull.terms.arrays import FloatArray
from fairpull.terms.errors import Fault, ReadRefused
from fairpull.terms.findings import Finding, Severity

NAME = "parquet"
MAGIC = b"PAR1"
UNIT_KEYS = (b"unit", b"units", b"Unit", b"Units")


def sniff(path: Path, head: bytes) -> Sniff:
    """Say whether a file is Parquet.

    Args:
        path: the file.
        head: its first bytes.

    Returns:
        The opinion with its reason.
    """
    if head.startswith(MAGIC):
        return Sniff(True, "it begins with the mark of a Parquet file")
    return Sniff(False, "the mark of a Parquet file is not at its beginning")


def load(path: Path, options: ReadOptions) -> RawTable:
    """Read a Parquet file as it stands.

    Args:
        path: the file.
        options: unused here.

    Returns:
        The table.

    Raises:
        ReadRefused: damaged file, or no rows.
    """
    try:
        frame = pl.read_parquet(path)
    except (pl.exceptions.PolarsError, OSError) as error:
        first = str(error).splitlines()[0] if str(error) else type(error).__name__
        remedy = "copy the file again; it may be cut off"
        raise ReadRefused(Fault("parquet-damaged", path.name, first, remedy)) from error
    if frame.height == 0:
        raise ReadRefused(Fault("no-rows", path.name, "columns but no rows", "give a log with samples"))
    split = [name_and_unit(column) for column in frame.columns]
    names, findings = unique_names([name for name, _ in split], path.name)
    units = {name: unit for name, (_, unit) in zip(names, split, strict=True) if unit}
    units.update(_field_units(path, dict(zip(frame.columns, names, strict=True))))
    values: dict[str, FloatArray] = {}
    texts: dict[str, tuple[str, ...]] = {}
    for name, series in zip(names, frame, strict=True):
        if series.dtype == pl.Datetime:
            units[name] = "s"
        array = _numbers(series)
        if array is None:
            texts[name] = tuple(_words(series))
        else:
            values[name] = array
    nested = [name for name, series in zip(names, frame, strict=True) if series.dtype.is_nested()]
    if nested:
        text = f"lists or structures, not numbers, in {', '.join(nested)}; left aside"
        remedy = "write one number a row and column"
        findings = (*findings, Finding("columns-not-numeric", Severity.WARNING, path.name, text, remedy))
    detail = f"{frame.height} rows, {frame.width} columns"
    return RawTable(names, units, values, texts, (), detail, findings, 1)


def _words(series: pl.Series) -> list[str]:
    if series.dtype.is_nested():
        return ["list"] * len(series)
    return series.cast(pl.String, strict=False).fill_null("").to_list()


def _numbers(series: pl.Series) -> FloatArray | None:
    """The column as float64; None when it is text or a nested type. Times become seconds since 1970."""
    if series.dtype == pl.Datetime:
        series = series.dt.epoch("us").cast(pl.Float64) * 1e-6
    elif series.dtype == pl.Duration:
        series = series.dt.total_microseconds().cast(pl.Float64) * 1e-6
    elif not (series.dtype.is_numeric() or series.dtype in (pl.Boolean, pl.Null)):
        return None
    array: FloatArray = series.cast(pl.Float64).to_numpy()
    return array


def _field_units(path: Path, names: dict[str, str]) -> dict[str, str]:
    """Units kept in the metadata of the fields, by the column's name."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    try:
        schema = pq.read_schema(path)
    except (pa.ArrowException, OSError):
        return {}
    found = {}
    for field in schema:
        for key in UNIT_KEYS:
            unit = (field.metadata or {}).get(key)
            if unit and field.name in names:
                found[names[field.name]] = unit.decode("utf-8", errors="replace")
    return found
