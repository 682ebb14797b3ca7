"""question.toml: what was asked, where, and how much is worth having, written down before the day."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from fairpull.terms.comparison import Question
from fairpull.terms.errors import FairpullError, Fault, ValueRefused
from fairpull.terms.units import parse

KEYS = ("question", "band", "smallest", "expectation", "planned_pulls")
MOST_PULLS = 100
HIGHEST = 1e6  # rpm


def read_question(path: Path) -> Question:
    """Read a declared question.

    Args:
        path: TOML file with any of ``question``, ``band`` ("1800-4600 rpm"), ``smallest`` ("1 %"), ``expectation``,
            ``planned_pulls``.

    Returns:
        The question, marked as declared.

    Raises:
        ValueRefused: not TOML, unknown keys, or values out of range; all faults of the file at once.
    """
    import tomllib

    try:
        table = tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, OSError) as error:
        raise ValueRefused(Fault("question-file", str(path), str(error), "write it as TOML, UTF-8")) from error
    return question_from_table(table, where=str(path))


def question_from_table(table: Mapping[str, Any], *, where: str) -> Question:
    """A declared question from its entries.

    Args:
        table: as in the file, see ``read_question``.
        where: what to call it in a refusal.

    Returns:
        The question, marked as declared.

    Raises:
        ValueRefused: unknown keys, or values out of range; all faults at once.
    """
    faults = [
        Fault("question-key", f"{where}: {key}", "unknown key", f"use any of {', '.join(KEYS)}")
        for key in table
        if key not in KEYS
    ]
    band, smallest, planned = None, Question().smallest, table.get("planned_pulls")
    try:
        band = parse_band(str(table["band"])) if "band" in table else None
    except ValueRefused as error:
        faults += [Fault(fault.code, f"{where}: band", fault.seen, fault.remedy) for fault in error.faults]
    try:
        smallest = parse_share(str(table["smallest"])) if "smallest" in table else smallest
    except FairpullError as error:
        faults += [Fault(fault.code, f"{where}: smallest", fault.seen, fault.remedy) for fault in error.faults]
    if planned is not None and not (type(planned) is int and 1 <= planned <= MOST_PULLS):
        faults.append(Fault("planned-pulls", f"{where}: planned_pulls", repr(planned), "give a whole number, 1 to 100"))
    if faults:
        raise ValueRefused(faults)
    return Question(
        text=str(table.get("question", "")),
        band=band,
        smallest=smallest,
        expectation=str(table.get("expectation", "")),
        planned_pulls=planned,
        declared=True,
    )


def parse_band(text: str) -> tuple[float, float]:
    """A band of rpm such as "1800-4600 rpm", "1,800 to 4,600".

    Args:
        text: two speeds with a hyphen or "to" between; commas mark thousands.

    Returns:
        (low, high) [rpm].

    Raises:
        ValueRefused: not two ascending speeds.
    """
    parts = text.lower().replace("rpm", "").replace(",", "").replace("\N{EN DASH}", "-").replace("to", "-").split("-")
    try:
        low, high = (float(part) for part in parts)
    except ValueError:
        low, high = 0.0, 0.0
    if not 0 < low < high < HIGHEST:
        raise ValueRefused(Fault("band", "band", repr(text), 'give two ascending speeds, e.g. "1800-4600 rpm"'))
    return low, high


def parse_share(text: str) -> float:
    """A share of torque such as "1 %"; between 0 and 20 %.

    Args:
        text: number with a per cent sign.

    Returns:
        Fraction.

    Raises:
        ValueRefused: no per cent sign, or out of range.
    """
    share = parse(text, "1") if text.strip().endswith("%") else -1.0
    if not 0 < share <= 0.2:
        raise ValueRefused(Fault("smallest", "smallest", repr(text), 'give it in per cent, above 0, e.g. "1 %"'))
    return share
