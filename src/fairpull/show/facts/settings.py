"""What a person can choose for the house, in words; and the last check of the book."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime

from fairpull.show import digits
from fairpull.show.facts import words
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.table import words as text
from fairpull.terms.bench import BookCheck

SOUND = "The book is sound."
BY_DATA = "as the data ask"
SYSTEMS = {"us": "US: lb-ft, hp, inHg, °F", "metric": "metric: N m, kW, kPa, °C"}
LOOKS = {"auto": "as this device is set", "light": "light", "dark": "dark"}
BIG = ("KB", "MB", "GB", "TB")
STEP = 1000.0


@dataclass(frozen=True, slots=True)
class Asked:
    """One setting as a form asks for it.

    Attributes:
        key: of the setting.
        label: what is asked.
        about: what it does, one sentence.
        example: what could be written, for settings that are written.
    """

    key: str
    label: str
    about: str
    example: str = ""


SETTINGS = (
    Asked("units", "Units", "What every page, picture and report is written in."),
    Asked(
        "standard",
        "Correction standard",
        "The air that torque and power are brought to. Another one corrects the figures of every kept pull again.",
    ),
    Asked("grid", "Grid of speeds", "Step of tables and curves.", "100 rpm"),
    Asked(
        "band", "Band of interest", "The speeds that a verdict is about, where no question says it.", "1800-4600 rpm"
    ),
    Asked(
        "smallest",
        "Smallest difference worth having",
        "A difference below it does not matter to you. Say it before the pulls are made.",
        "1 %",
    ),
    Asked("fitted", "Fitted now", "The build on the brake; new logs are taken in as its pulls."),
    Asked("session", "Current session", "Day, brake calibration and weather that new logs belong to."),
)
"""The house's settings in the order in which a form asks for them."""


def standards() -> tuple[tuple[str, str], ...]:
    """Standards to choose from: key and name, those that correct first.

    Returns:
        Pairs; the first leaves it to each pull's engine.
    """
    named = [(key, name) for key, name in words.STANDARD_NAMES.items() if key != "none"]
    return (("", BY_DATA), *named, ("none", words.STANDARD_NAMES["none"]))


def said(key: str, value: str) -> str:
    """A setting's value as a person reads it.

    Args:
        key: of the setting.
        value: as set; "" where nothing was.

    Returns:
        Words.
    """
    if key == "units":
        return SYSTEMS.get(value, value)
    if not value:
        return {"fitted": "nothing said", "session": "none"}.get(key, BY_DATA)
    return words.standard_name(value) if key == "standard" else words.plain(value)


def soundness(found: BookCheck) -> str:
    """What a check comes to, in one sentence; the same words as on the terminal."""
    faults = sum(finding.severity.value == "fault" for finding in found.findings)
    return SOUND if not faults else f"The book is damaged: {faults} fault{'s' if faults != 1 else ''}."


def when(at: float) -> str:
    """A moment on this machine's clock: ``2031-05-06 14:32``."""
    return datetime.fromtimestamp(at, UTC).astimezone().strftime("%Y-%m-%d %H:%M")


def looked_at(counts: Mapping[str, int]) -> Table:
    """How much a check looked at."""
    rows = tuple((name, f"{count:,}") for name, count in counts.items())
    return Table("looked", "Looked at", (text("what"), Column("count")), rows)


def size(amount: int) -> str:
    """A file's size to three figures: ``1.53 MB``; thousands, as disks are sold."""
    if amount < STEP:
        return f"{amount} bytes"
    value = float(amount)
    for unit in BIG:
        value /= STEP
        if value < STEP or unit == BIG[-1]:
            return f"{digits.number(value, digits.significant_decimals(value, 3))} {unit}"
    raise AssertionError
