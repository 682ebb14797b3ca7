"""A person's own column names: ``channels.toml``, written once, read beside the log or named by option."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from fairpull.logs.options import ReadOptions
from fairpull.terms import units
from fairpull.terms.errors import Fault, ReadRefused
from fairpull.terms.glossary import BY_NAME

FILE_NAME = "channels.toml"


@dataclass(frozen=True, slots=True)
class Named:
    """What a person says of one column: the channel ("" leaves it aside) and its unit ("" where not said)."""

    channel: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Names:
    """All that a person says of columns, with the file it was read from ("" for none)."""

    columns: Mapping[str, Named] = field(default_factory=dict)
    source: str = ""


def split_channel(name: str) -> tuple[str, int]:
    """A channel name and its number: "exhaust_temperature_3" -> ("exhaust_temperature", 3).

    Args:
        name: channel name.

    Returns:
        Glossary name and number (0 for none); ("", 0) when the glossary does not hold it.
    """
    if name in BY_NAME:
        return name, 0
    base, _, number = name.rpartition("_")
    if base in BY_NAME and number.isdigit() and (BY_NAME[base].numbered or BY_NAME[base].unit in ("kg/s", "m3/s")):
        return base, int(number)
    return "", 0


def channel_fault(where: str, name: str) -> Fault:
    """The fault of a channel name that the glossary does not hold.

    Args:
        where: file and entry, or option.
        name: the name.

    Returns:
        The fault with the nearest names.
    """
    import difflib

    near = difflib.get_close_matches(name, BY_NAME, n=3, cutoff=0.4)
    hint = f"nearest: {', '.join(near)}; " if near else ""
    return Fault("channel-unknown", where, repr(name), f"{hint}channels: {', '.join(BY_NAME)}")


def load(path: Path, options: ReadOptions) -> Names:
    """Find and read the ``channels.toml`` that holds for a log.

    Args:
        path: the log.
        options: may name the file; otherwise it is looked for beside the log.

    Returns:
        The names; none when there is no file.

    Raises:
        ReadRefused: the file cannot be read or names what does not exist; all faults at once.
    """
    source = options.channels_file or path.parent / FILE_NAME
    if options.channels_file is None and not source.is_file():
        return Names()
    return read_names(source, path.name)


def read_names(source: Path, log: str = "") -> Names:
    """Read one ``channels.toml``.

    Args:
        source: the file; columns stand under [channels] or at its top.
        log: the log it is read for, for faults.

    Returns:
        The names.

    Raises:
        ReadRefused: all faults of the file.
    """
    import tomllib

    where = f"{log}, {source.name}" if log else source.name
    try:
        content = tomllib.loads(source.read_text(encoding="utf-8-sig"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        fault = Fault("channels-file-unreadable", where, str(error), "give a TOML file, see docs/formats.md")
        raise ReadRefused(fault) from error
    faults: list[Fault] = []
    under = content.pop("channels", {})
    table = {**content, **under} if isinstance(under, dict) else {**content, "channels": under}
    columns: dict[str, Named] = {}
    for column, entry in table.items():
        named, wrong = _entry(entry, f"{where}, {column!r}")
        if wrong:
            faults.append(wrong)
        elif named:
            columns[column] = named
    if faults:
        raise ReadRefused(faults)
    return Names(columns, source.name)


def _entry(entry: object, where: str) -> tuple[Named | None, Fault | None]:
    given = {"channel": entry} if isinstance(entry, str) else entry
    if not isinstance(given, dict) or not set(given) <= {"channel", "unit"} or "channel" not in given:
        remedy = 'write "column" = "channel" or "column" = { channel = "...", unit = "..." }'
        return None, Fault("channels-file-entry", where, repr(entry), remedy)
    channel, unit = given["channel"], given.get("unit", "")
    if not isinstance(channel, str) or not isinstance(unit, str):
        return None, Fault("channels-file-entry", where, repr(entry), "channel and unit are text")
    if not channel:
        return Named("", unit), None
    base, _ = split_channel(channel)
    if not base:
        return None, channel_fault(where, channel)
    if unit and not units.same_dimension(unit.removeprefix("-"), BY_NAME[base].unit):
        remedy = f"a unit that converts to {BY_NAME[base].unit}"
        return None, Fault("unit-of-another-quantity", where, f"unit {unit!r} for {channel}", remedy)
    return Named(channel, unit), None
