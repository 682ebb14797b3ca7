"""The door: a file becomes recordings, with everything that was chosen, guessed or doubted written on them."""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np

from fairpull.logs import channels_file, clock, conditions, derive, sniff, traps
from fairpull.logs.conditions import Handed
from fairpull.logs.options import ReadOptions
from fairpull.logs.recognise import Understood, recognise
from fairpull.logs.table import RawTable
from fairpull.terms.arrays import BoolArray, FloatArray
from fairpull.terms.errors import Fault, ReadRefused
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.recording import Origin, Recording

HEAD = 65536
BLOCK = 1 << 20
INLINE = 8 * 1024 * 1024  # larger files are hashed beside the reading


def read(path: Path | str, options: ReadOptions | None = None) -> tuple[Recording, ...]:
    """Read a log file: find its format, its table, its channels, its weather.

    Args:
        path: the file.
        options: what the person says of it; None for nothing.

    Returns:
        One recording, or one for each curve where ``options.by`` splits a long table.

    Raises:
        ReadRefused: with all faults of the file.
        UnknownName: a format that does not exist.
    """
    path = Path(path)
    options = options or ReadOptions()
    head = _head(path)
    module, reason = sniff.choose(path, head, options.format)
    table, digest = _load_and_hash(path, module, options)
    origin = Origin(str(path), digest, module.NAME, reason, table.detail)
    names = channels_file.load(path, options)
    handed = conditions.load(path, options, table.preamble)
    return _recordings(path, table, options, names, handed, origin)


def _head(path: Path) -> bytes:
    where = str(path)
    if path.is_dir():
        raise ReadRefused(Fault("is-a-folder", where, "a folder", "name a file in it"))
    try:
        with path.open("rb") as file:
            head = file.read(HEAD)
    except OSError as error:
        seen = error.strerror or type(error).__name__
        raise ReadRefused(Fault("file-unreadable", where, seen, "name a file that exists and may be read")) from error
    if not head.strip(b"\xef\xbb\xbf \t\r\n"):
        seen = "nothing in it" if not head else "nothing but blanks"
        raise ReadRefused(Fault("empty-file", where, seen, "give a log with samples"))
    return head


def _hash(path: Path, into: list[str]) -> None:
    digest = hashlib.sha256()
    with path.open("rb", buffering=0) as file:
        while block := file.read(BLOCK):
            digest.update(block)
    into.append(digest.hexdigest())


def _load_and_hash(path: Path, module: sniff.Format, options: ReadOptions) -> tuple[RawTable, str]:
    digest: list[str] = []
    if path.stat().st_size <= INLINE:
        table = module.load(path, options)
        _hash(path, digest)
    else:
        worker = threading.Thread(target=_hash, args=(path, digest))
        worker.start()
        try:
            table = module.load(path, options)
        finally:
            worker.join()
    if not digest:
        raise ReadRefused(Fault("file-unreadable", str(path), "it went away while being read", "read it again"))
    return table, digest[0]


def _recordings(
    path: Path,
    table: RawTable,
    options: ReadOptions,
    names: channels_file.Names,
    handed: Handed,
    origin: Origin,
) -> tuple[Recording, ...]:
    where = path.name
    found = recognise(table, options, names, where)
    if table.rows == 0:
        found.faults.append(Fault("no-rows", where, "columns but no rows", "give a log with samples"))
    traps.check(found, handed, where)
    choices = {**table.choices, **found.choices, **handed.choices}
    if names.source:
        choices["column names"] = names.source
    fault = derive.add_torque(found.channels, choices, handed, where)
    found.faults.extend([fault] if fault else [])
    started = _started_at(table, found, handed, choices, where)
    _clock_forward(found, table, options, where)
    found.faults.extend(_missing(table, found, where))
    if found.faults:
        raise ReadRefused(found.faults)
    kind = "trace" if "time" in found.channels else "table"
    findings = [*table.findings, *found.findings, *handed.findings, *_remarks(table, found, handed, kind, where)]
    used = {claim.column for claim in found.claims if claim.channel}
    whole = Recording(
        path.stem,
        origin,
        found.channels,
        {name: values for name, values in table.values.items() if name not in used},
        found.mapped(),
        kind,
        started,
        handed.given,
        tuple(findings),
        choices,
    )
    return _split(whole, table, options, where)


def _started_at(
    table: RawTable, found: Understood, handed: Handed, choices: dict[str, str], where: str
) -> float | None:
    """Wall-clock time of the first row, from the clock column, the format, a date by hand, or the preamble."""
    time = found.channels.get("time")
    if time is not None and found.clock is None:
        found.channels["time"], epoch = clock.from_numbers(time)
        if epoch is not None:
            choices["started_at"] = "the clock counts from 1970"
            return epoch
    if table.started_at is not None:
        return table.started_at
    day, of_day, findings = clock.from_preamble(table.preamble, where)
    read = found.clock
    if read is not None and read.of_day is not None:
        of_day = read.of_day
    if read is not None and read.day is not None:
        day = read.day
    else:
        day = handed.day or _day_column(table, where) or day
        found.findings.extend(findings if handed.day is None and day is None else ())
    started = clock.started_at(day, of_day)
    if started is not None:
        choices["started_at"] = (
            f"{day}, time of day from the {'clock' if read and read.of_day else 'lines before the header'}"
        )
    return started


def _day_column(table: RawTable, where: str) -> date | None:
    for name, cells in table.texts.items():
        if name.strip().lower() in ("date", "datum", "day") and cells:
            read, _, _ = clock.from_preamble([cells[0]], where)
            return read
    return None


def _clock_forward(found: Understood, table: RawTable, options: ReadOptions, where: str) -> None:
    time = found.channels.get("time")
    if time is None:
        return
    if not np.any(np.isfinite(time)):
        found.channels.pop("time")
        text = "the clock column holds no times; read as a table without clock"
        found.findings.append(Finding("clock-empty", Severity.WARNING, where, text, "name the clock column"))
        return
    if options.by:
        return  # every curve of a long table may have its own clock
    forward, findings, faults = clock.onward(time, where, table.first_data_row)
    found.channels["time"] = forward
    found.findings.extend(findings)
    found.faults.extend(faults)


def _missing(table: RawTable, found: Understood, where: str) -> list[Fault]:
    """What a pull cannot do without. A log with speed but no torque is kept: it may be joined to the brake's."""
    columns = ", ".join(table.columns[:20]) + (" ..." if len(table.columns) > 20 else "")
    asked = {fault.code for fault in found.faults}
    faults = []
    rpm, torque = found.channels.get("rpm"), found.channels.get("torque")
    if rpm is None and "unit-unknown" not in asked and "channel-is-words" not in asked:
        remedy = "map the speed column by option or in channels.toml"
        faults.append(Fault("no-speed", where, f"no column is a crankshaft speed (columns: {columns})", remedy))
    if torque is None and not asked and (rpm is None or "time" not in found.channels):
        remedy = "map the torque column by option or in channels.toml"
        faults.append(Fault("no-torque", where, f"no column is a torque or power (columns: {columns})", remedy))
    for key, values in (("rpm", rpm), ("torque", torque)):
        if values is not None and not np.any(np.isfinite(values)):
            claim = found.of_channel(key)
            seen = f"{claim.column if claim else key} holds no number at all"
            faults.append(Fault("all-empty", where, seen, f"give a log with {key} in it"))
    return faults


def _remarks(table: RawTable, found: Understood, handed: Handed, kind: str, where: str) -> list[Finding]:
    remarks = []
    if kind == "table":
        text = f"no clock: {table.rows} rows are read as a step test"
        remarks.append(Finding("no-clock", Severity.NOTE, where, text, "drift over the day cannot be seen"))
    given = handed.given
    has_air = "barometer" in found.channels or given.pressure is not None
    if not has_air or not ("inlet_temperature" in found.channels or given.temperature is not None):
        text = "the weather is not known, so nothing can be corrected for air"
        remedy = "give it by option or in conditions.toml"
        remarks.append(Finding("no-weather", Severity.WARNING, where, text, remedy))
    if "torque" not in found.channels:
        text = "no torque: this log can only be joined to a brake's log of the same pull"
        remarks.append(Finding("no-torque", Severity.FAULT, where, text, "join it, or map the torque column"))
    remarks.extend(_notes(table, where))
    remarks.extend(_several_curves(table, found, kind, where))
    aside = [claim.column for claim in found.claims if not claim.channel]
    if aside:
        listed = ", ".join(aside[:12]) + (f" and {len(aside) - 12} more" if len(aside) > 12 else "")
        text = f"{len(aside)} of {len(found.claims)} columns are left aside: {listed}"
        remarks.append(Finding("columns-aside", Severity.NOTE, where, text, "map them in channels.toml if they matter"))
    guessed = [f"{claim.column} = {claim.key}" for claim in found.claims if claim.how == "guessed" and claim.channel]
    if guessed:
        text = f"guessed: {'; '.join(guessed[:12])}"
        remarks.append(Finding("columns-guessed", Severity.NOTE, where, text, "overrule by option or in channels.toml"))
    return remarks


def _notes(table: RawTable, where: str) -> list[Finding]:
    """Rows that a text column marks as not measured."""
    remarks = []
    for name, cells in table.texts.items():
        marked = [place for place, cell in enumerate(cells) if _not_measured(cell)]
        if marked and len(marked) < len(cells):
            rows = ", ".join(str(place + table.first_data_row) for place in marked[:8])
            text = f"{len(marked)} rows are marked as not measured in {name} ({cells[marked[0]]!r}; rows {rows})"
            remedy = "count the pull only up to the last measured rpm"
            remarks.append(Finding("rows-not-measured", Severity.WARNING, where, text, remedy))
    return remarks


def _not_measured(cell: str) -> bool:
    words = cell.lower()
    return any(
        word in words for word in ("extension", "extrapolat", "estimated", "not measured", "interpolat", "invalid")
    )


def _several_curves(table: RawTable, found: Understood, kind: str, where: str) -> list[Finding]:
    """A table whose speed starts again and again holds several curves, or a part-load map."""
    rpm = found.channels.get("rpm")
    if kind != "table" or rpm is None or len(rpm) < 6:
        return []
    values, counts = np.unique(rpm[np.isfinite(rpm)], return_counts=True)
    remarks = []
    if len(values) > 2 and np.median(counts) >= 4:
        rows = int(np.median(counts))
        text = f"most of the {len(values)} speeds stand in {rows} rows each: it looks like a part-load map"
        remarks.append(Finding("looks-like-a-map", Severity.WARNING, where, text, "keep only the full-load rows"))
    candidates = [name for name, cells in table.texts.items() if 1 < len(set(cells)) <= len(cells) // 3]
    falls = int(np.sum(np.diff(rpm) < -0.2 * (np.nanmax(rpm) - np.nanmin(rpm))))
    if falls:
        known = [name for name in table.values if name.lower().endswith(("no", "id", "nr", "number"))]
        hint = (candidates + known or ["COLUMN"])[0]
        text = f"the speed starts again {falls} time(s): the table seems to hold {falls + 1} curves"
        remarks.append(Finding("several-curves", Severity.WARNING, where, text, f"split it, e.g. --by {hint}"))
    return remarks


def _split(whole: Recording, table: RawTable, options: ReadOptions, where: str) -> tuple[Recording, ...]:
    if not options.by:
        return (whole,)
    if options.by in table.texts:
        labels: Sequence[str] = table.texts[options.by]
    elif options.by in table.values:
        labels = [f"{value:g}" for value in table.values[options.by]]
    else:
        listed = ", ".join(table.columns[:40])
        raise ReadRefused(Fault("by-unknown", where, f"--by {options.by!r}", f"columns of this file: {listed}"))
    places: dict[str, list[int]] = {}
    for place, label in enumerate(labels):
        places.setdefault(label, []).append(place)
    return tuple(_part(whole, label, np.array(rows), options.by) for label, rows in places.items())


def _part(whole: Recording, label: str, rows: FloatArray | BoolArray, by: str) -> Recording:
    drop = ("several-curves",)
    return replace(
        whole,
        name=label,
        channels={key: values[rows] for key, values in whole.channels.items()},
        extra={key: values[rows] for key, values in whole.extra.items()},
        findings=tuple(finding for finding in whole.findings if finding.code not in drop),
        choices={**whole.choices, "by": f"{by} = {label}"},
    )
