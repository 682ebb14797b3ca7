"""Small words shared by every face: names of standards, numbers with intervals, findings in order of weight."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from fairpull.show import digits, scale
from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import CANNOT_TELL, Comparison, Difference, Estimate, Verdict
from fairpull.terms.findings import Finding, Severity

STANDARD_NAMES = {
    "none": "observed, no correction",
    "sae-j1349": "SAE J1349",
    "sae-j607": "SAE J607",
    "iso-1585": "ISO 1585",
    "un-r85": "UN R85",
    "din-70020": "DIN 70020",
    "jis-d1001": "JIS D 1001",
    "iso-3046": "ISO 3046",
    "iso-15550": "ISO 15550",
    "eec-80-1269": "80/1269/EEC",
}

CAUTIONS = (
    "Engine testing can kill: carbon monoxide, fuel fire, burst rotating parts, burns, noise. Nobody stands in the "
    "plane of a flywheel, shaft or fan, and nobody makes a pull alone.",
    "Everything on this page is computed from measurements and is an estimate. It does not replace the part makers' "
    "limits, local codes and the judgement of people licensed for the work.",
    "A difference that was measured says nothing about how long a part will last.",
)
"""The usual cautions (DESIGN section 10). None of them says that anything is free of danger."""

_MORE_OR_LESS = re.compile(r"\b(more|less) torque\b")
_WEIGHT = {Severity.FAULT: 0, Severity.WARNING: 1, Severity.NOTE: 2}


@dataclass(frozen=True, slots=True)
class Merged:
    """One finding with every place where it was found."""

    code: str
    severity: Severity
    places: tuple[str, ...]
    text: str
    remedy: str


def plain(text: str) -> str:
    """Text from a file without control characters, so that it cannot steer a terminal."""
    if text.isprintable():
        return text
    kept = (" " if one in "\t\r\n" else one for one in text)
    return "".join(one for one in kept if unicodedata.category(one) not in ("Cc", "Cf"))


def standard_name(key: str) -> str:
    """A standard's name as the trade writes it; an unknown key stands for itself."""
    return STANDARD_NAMES.get(key, key)


def apart(given: Estimate, system: str, *, signed: bool = False, quantity: str = "") -> tuple[str, str]:
    """Value with unit, and interval, to the digits that the interval earns; ``at least`` where it is a lower bound."""
    shown = scale.estimate(given, system, quantity)
    decimals = digits.interval_decimals(shown.low, shown.high, default=0 if shown.unit == "rpm" else 1)
    value = digits.number(shown.value, decimals, signed=signed)
    symbol = f" {shown.unit}" if shown.unit else ""
    bound = "at least " if shown.at_least else ""
    return (f"{bound}{value}{symbol}", digits.interval(shown.low, shown.high, decimals, signed=signed))


def column_of(given: Sequence[Estimate], system: str, quantity: str = "") -> list[tuple[str, str, str]]:
    """Value, low and high of each, all to the same decimals: those that the middle interval of the column earns."""
    shown = [scale.estimate(one, system, quantity) for one in given]
    places = digits.column_decimals([one.half_width for one in shown])
    return [
        (digits.number(one.value, places), digits.number(one.low, places), digits.number(one.high, places))
        for one in shown
    ]


def with_interval(given: Estimate, system: str, *, signed: bool = False, quantity: str = "") -> str:
    """``7.5 lb-ft (6.2 to 8.8)``: value, unit and interval in one line."""
    value, ends = apart(given, system, signed=signed, quantity=quantity)
    return value if ends == digits.DASH else f"{value} ({ends})"


def excess(ratio: Estimate) -> Estimate:
    """A ratio (1 = equal) as what it is above 1."""
    return replace(ratio, value=ratio.value - 1.0, low=ratio.low - 1.0, high=ratio.high - 1.0)


def fraction(value: float, *, signed: bool = False, decimals: int = 1) -> str:
    """A fraction in per cent: ``0.012`` -> ``1.2 %``."""
    shown = digits.number(value * 100.0, decimals, signed=signed)
    return shown if shown == digits.DASH else f"{shown} %"


def axis_decimals(values: FloatArray | Sequence[float]) -> int:
    """Decimals of places along the axis: none for rpm and ft/min, one for m/s."""
    return 0 if max((float(one) for one in values if math.isfinite(one)), default=1e3) > 100.0 else 1


def axis_range(low: float, high: float, unit: str = "rpm") -> str:
    """``1,800 to 4,600 rpm``."""
    return f"{digits.interval(low, high, axis_decimals([low, high]))} {unit}"


def quantity(comparison: Comparison) -> str:
    """The compared quantity as written in words."""
    return "BMEP" if comparison.quantity == "bmep" else comparison.quantity


def capital(said: str) -> str:
    """The same with a capital first letter, the rest untouched."""
    return said[:1].upper() + said[1:]


def basis(standard: str) -> str:
    """``corrected by SAE J1349``, or ``observed, no correction``."""
    name = standard_name(standard)
    return name if standard == "none" else f"corrected by {name}"


def axis_unit(comparison: Comparison) -> str:
    """House unit of the comparison's axis: rpm, or m/s for mean piston speed."""
    return "rpm" if comparison.axis == "rpm" else "m/s"


def main_unit(comparison: Comparison) -> str:
    """House unit of the compared quantity: N m, or Pa for BMEP."""
    return "N m" if comparison.quantity == "torque" else "Pa"


def tested(comparison: Comparison, low: float, high: float, system: str) -> str:
    """A stretch of the comparison's axis in shown units: ``1,800 to 4,600 rpm``."""
    unit = axis_unit(comparison)
    return axis_range(scale.scalar(low, unit, system), scale.scalar(high, unit, system), scale.label(unit, system))


def of(comparison: Comparison, difference: Difference) -> str:
    """Which difference a table is about, where there are several or the quantity is not torque: ``header: ``."""
    named = [difference.other] if len(comparison.differences) > 1 else []
    named += ["BMEP"] if comparison.quantity == "bmep" else []
    return f"{', '.join(named)}: " if named else ""


def clock(started_at: float | None) -> str:
    """Wall-clock time of a pull, hours and minutes; a dash where the log had no date."""
    if started_at is None or not math.isfinite(started_at):
        return digits.DASH
    return datetime.fromtimestamp(started_at, UTC).strftime("%H:%M")


def day(started_at: float) -> str:
    """Day of a pull as month and day: ``05-23``."""
    return datetime.fromtimestamp(started_at, UTC).strftime("%m-%d")


def sentence(difference: Difference, of: str) -> str:
    """The verdict's sentence, in the words of the compared quantity: "torque" or "bmep"."""
    said = difference.verdict.sentence
    return _MORE_OR_LESS.sub(r"\1 BMEP", said) if of == "bmep" else said


def settle(verdict: Verdict) -> str:
    """What would settle a verdict that could not be given; empty where one was, or where its sentence says so."""
    if verdict.confounded and verdict.confounded not in verdict.sentence:
        return f"No number of pulls today can settle it: {verdict.confounded}."
    unsaid = verdict.kind == CANNOT_TELL and f"{verdict.pulls_needed} pulls" not in verdict.sentence
    if unsaid and verdict.pulls_needed is not None:
        return f"{verdict.pulls_needed} pulls a side would settle a difference of the smallest size worth having."
    return ""


def moment(started_at: float) -> str:
    """Date and wall-clock time."""
    return datetime.fromtimestamp(started_at, UTC).strftime("%Y-%m-%d %H:%M:%S")


def all_findings(comparison: Comparison) -> tuple[Finding, ...]:
    """The comparison's findings and those of each difference and view, each once, heaviest first."""
    every: list[Finding] = [*comparison.findings]
    for difference in (*comparison.differences, *(one for view in comparison.views for one in view.differences)):
        every.extend(difference.findings)
    return tuple(sorted(dict.fromkeys(every), key=lambda one: _WEIGHT[Severity(one.severity)]))


def merged(findings: Iterable[Finding]) -> tuple[Merged, ...]:
    """Findings that say the same thing of several places, said once; heaviest first."""
    places: dict[tuple[str, Severity, str, str], list[str]] = {}
    for one in findings:
        where = places.setdefault((one.code, Severity(one.severity), one.text, one.remedy), [])
        if one.where not in where:
            where.append(one.where)
    found = [
        Merged(code, severity, tuple(where), text, remedy) for (code, severity, text, remedy), where in places.items()
    ]
    return tuple(sorted(found, key=lambda one: _WEIGHT[one.severity]))


def listed(names: Sequence[str], most: int = 4) -> str:
    """``a, b, c and 3 more``."""
    if len(names) <= most:
        return ", ".join(names)
    return f"{', '.join(names[:most])} and {len(names) - most} more"
