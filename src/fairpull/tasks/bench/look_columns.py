"""The columns of an offered file: as they were recognised, or as far as they could be before it was refused."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from fairpull.logs import ReadOptions
from fairpull.tasks.bench.look_preview import span
from fairpull.terms.arrays import FloatArray
from fairpull.terms.errors import FairpullError
from fairpull.terms.offered import OfferedColumn, OfferedFile
from fairpull.terms.recording import Recording

HEAD = 65536
MOST_MEASURED = 200  # columns left aside whose values are looked at; a wide log has thousands


def format_of(path: Path, options: ReadOptions, one: OfferedFile) -> OfferedFile:
    """Say which format takes a file and why, and why the others do not.

    Args:
        path: the file.
        options: of reading.
        one: what is known of it.

    Returns:
        The same with format, reason and rivals; unchanged where none takes it, which reading tells as a fault.
    """
    from fairpull.logs import sniff

    with path.open("rb") as stream:
        head = stream.read(HEAD)
    said = sniff.opinions(path, head) if head.strip() and not options.format else {}
    claims = [name for name, opinion in said.items() if opinion.claims]
    if len(claims) != 1:
        return one
    chosen = claims[0]
    rivals = {name: opinion.reason for name, opinion in said.items() if name != chosen}
    return replace(one, format=chosen, reason=said[chosen].reason, rivals=rivals)


def sheets_of(path: Path, format: str) -> tuple[str, ...]:
    """The sheets of a workbook; none of any other file, or where they cannot be told."""
    if format != "workbook":
        return ()
    from fairpull.logs.formats.workbook import sheet_names

    try:
        return sheet_names(path)
    except FairpullError:
        return ()


def as_far_as_read(path: Path, options: ReadOptions) -> tuple[tuple[OfferedColumn, ...], tuple[str, ...]]:
    """Columns and sheets of a file that was refused, so that a person can say what they are.

    Args:
        path: the file.
        options: of reading.

    Returns:
        Columns with what they were taken for, and sheets of a workbook; none where no table can be read.
    """
    from fairpull.logs import channels_file, sniff
    from fairpull.logs.recognise import recognise

    with path.open("rb") as stream:
        head = stream.read(HEAD)
    try:
        module, _ = sniff.choose(path, head, options.format)
    except FairpullError:
        return (), ()
    sheets = sheets_of(path, module.NAME)
    try:
        table = module.load(path, options)
        names = channels_file.load(path, options)
    except FairpullError:
        return (), sheets
    found = recognise(table, options, names, path.name)
    columns: list[OfferedColumn] = []
    for one in found.mapped():
        values = found.channels.get(one.channel) if one.channel else None
        if values is None and len(columns) < MOST_MEASURED:
            values = table.values.get(one.column)
        columns.append(_column(one.column, one.unit, one.channel, one.how, one.reason, values))
    return tuple(columns), sheets


def columns_of(recordings: Sequence[Recording]) -> tuple[OfferedColumn, ...]:
    """The columns of a file that was read.

    Args:
        recordings: all that it held.

    Returns:
        One for each column of the file, in order.
    """
    found: list[OfferedColumn] = []
    for one in recordings[0].mapped:
        values = [each.channels[name] for each in recordings if (name := one.channel or "") in each.channels]
        if not values and len(found) < MOST_MEASURED:
            values = [each.extra[one.column] for each in recordings if one.column in each.extra]
        joined = np.concatenate(values) if values else None
        found.append(_column(one.column, one.unit, one.channel, one.how, one.reason, joined))
    return tuple(found)


def _column(
    column: str, unit: str, channel: str | None, how: str, reason: str, values: FloatArray | None
) -> OfferedColumn:
    one = OfferedColumn(column, unit, channel, how, reason)
    if values is None:
        return one
    known = np.isfinite(values)
    if not known.any():
        return replace(one, missing=len(values))
    low, high = span(values)
    return replace(one, low=low, high=high, missing=int(len(values) - known.sum()))
