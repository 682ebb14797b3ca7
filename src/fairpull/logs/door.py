"""The door: a file becomes recordings, with everything that was chosen, guessed or doubted written on them."""

from __future__ import annotations

import hashlib
import stat
import threading
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np

from fairpull.logs import channels_file, clock, conditions, derive, signals, sniff, traps
from fairpull.logs.conditions import Handed
from fairpull.logs.options import ReadOptions
from fairpull.logs.recognise import Understood, recognise
from fairpull.logs.remarks import map_fault, remarks
from fairpull.logs.table import LateColumns, RawTable
from fairpull.terms.arrays import BoolArray, FloatArray
from fairpull.terms.errors import Fault, ReadRefused
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.recording import Origin, Recording

HEAD = 65536
BLOCK = 1 << 20
FEWEST_ROWS = 3
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
    try:
        mode = path.stat().st_mode
    except OSError as error:
        seen = error.strerror or type(error).__name__
        raise ReadRefused(Fault("file-missing", where, seen, "name a file that exists")) from error
    if not stat.S_ISREG(mode):
        seen = "a folder" if stat.S_ISDIR(mode) else "a pipe or device"
        raise ReadRefused(Fault("not-a-file", where, seen, "name a file"))
    try:
        with path.open("rb") as file:
            head = file.read(HEAD)
    except OSError as error:
        seen = error.strerror or type(error).__name__
        raise ReadRefused(Fault("file-unreadable", where, seen, "name a file that may be read")) from error
    if not head.strip(b"\xef\xbb\xbf \t\r\n"):
        seen = "nothing in it" if not head else "nothing but blanks"
        raise ReadRefused(Fault("file-empty", where, seen, "give a log with samples"))
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


def _placed(table: RawTable, where: str) -> list[Finding]:
    """The format's findings, each naming the file."""
    return [item if where in item.where else replace(item, where=f"{where}: {item.where}") for item in table.findings]


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
    signals.check(found, table.first_data_row, where)
    kind = "trace" if "time" in found.channels else "table"
    _refuse(table, found, kind, where)
    choices.update(found.choices)
    found.choices = choices
    remarked = remarks(table, found, handed, kind, path, origin.format)
    findings = [*_placed(table, where), *found.findings, *handed.findings, *remarked]
    used = {claim.column for claim in found.claims if claim.channel}
    whole = Recording(
        path.stem,
        origin,
        found.channels,
        _others(table, used),
        found.mapped(),
        kind,
        started,
        handed.given,
        tuple(findings),
        choices,
    )
    return _split(whole, table, options, where)


def _others(table: RawTable, used: set[str]) -> Mapping[str, FloatArray]:
    names = [name for name in table.values if name not in used]
    if isinstance(table.values, LateColumns):
        return table.values.only(names)
    return {name: table.values[name] for name in names}


def _refuse(table: RawTable, found: Understood, kind: str, where: str) -> None:
    found.faults.extend(_missing(table, found, where))
    fault = map_fault(found, kind, where)
    found.faults.extend([fault] if fault else [])
    if 0 < table.rows < FEWEST_ROWS:
        seen = f"{table.rows} row(s) of samples"
        found.faults.append(Fault("too-few-rows", where, seen, f"give at least {FEWEST_ROWS} rows"))
    if found.faults:
        raise ReadRefused(found.faults)


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
        found.findings.append(Finding("time-empty", Severity.WARNING, where, text, "name the clock column"))
        return
    if options.by:
        return  # every curve of a long table may have its own clock
    forward, findings, faults = clock.onward(time, where, table.first_data_row)
    if forward is None:
        found.channels.pop("time")
    else:
        found.channels["time"] = forward
    found.findings.extend(findings)
    found.faults.extend(faults)


def _missing(table: RawTable, found: Understood, where: str) -> list[Fault]:
    """What a pull cannot do without."""
    columns = ", ".join(table.columns[:20]) + (" ..." if len(table.columns) > 20 else "")
    if any(finding.code == "no-header" for finding in table.findings) and not found.channels:
        remedy = "add a row of names, or map column 1, column 2 ... by option or in channels.toml"
        return [Fault("no-header", where, "numbers without names above them", remedy)]
    faults = []
    asked = {fault.code for fault in found.faults} & {"unit-unknown", "channel-is-words", "no-displacement", "no-speed"}
    if "rpm" not in found.channels and not asked:
        faults.append(_absent(found, "rpm", "no-speed", "crankshaft speed", columns, where))
    if "torque" not in found.channels and not asked and not _joinable(found):
        faults.append(_absent(found, "torque", "no-torque", "torque or power", columns, where))
    return faults


def _absent(found: Understood, channel: str, code: str, about: str, columns: str, where: str) -> Fault:
    remedy = f"map the {channel} column by option or in channels.toml"
    for claim in found.claims:
        if claim.meant == channel and claim.problem == "unit":
            seen = f"{claim.column} is {channel} by its name, but {claim.unit_text!r} is no unit of it"
            return Fault("unit-wrong-quantity", where, seen, f"say the unit of {claim.column}")
        if claim.meant == channel and claim.problem == "empty":
            return Fault(code, where, f"{claim.column} holds no number at all", f"give a log with {channel} in it")
    return Fault(code, where, f"no column is a {about} (columns: {columns})", remedy)


def _joinable(found: Understood) -> bool:
    """A controller's log: clock, speed and something of the engine; the brake's log will bring the torque."""
    others = set(found.channels) - traps.WEATHER - {"time", "rpm"}
    return {"time", "rpm"} <= set(found.channels) and bool(others)


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
    drop = ("several-curves", "part-load-map")
    return replace(
        whole,
        name=label,
        channels={key: values[rows] for key, values in whole.channels.items()},
        extra={key: values[rows] for key, values in whole.extra.items()},
        findings=tuple(finding for finding in whole.findings if finding.code not in drop),
        choices={**whole.choices, "by": f"{by} = {label}"},
    )
