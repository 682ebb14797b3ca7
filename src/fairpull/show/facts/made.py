"""How each number was made: what every estimate says of itself, and the sources it names."""

from __future__ import annotations

import re

from fairpull.show.facts import derived, words
from fairpull.show.facts.table import Table
from fairpull.show.facts.table import words as text
from fairpull.terms.comparison import Comparison, Estimate
from fairpull.terms.sources import SOURCES

STATUS = {
    "read": "the text itself was read",
    "second-hand": "known from a reproduction",
    "memory": "not re-read; check before relying on it",
    "practice": "common practice of the trade, no source",
}

MAKING = ("standard formula", "method")
"""Choices that say how numbers are made, with the keys of their sources in brackets."""

FORMULAS = (
    ("corrected torque", "observed torque x the pull's correction factor"),
    ("power", "torque x 2 pi x rpm / 60"),
    ("difference, per cent", "other / reference - 1, at the same rpm"),
    ("band average", "mean over the band of interest at equal steps"),
)


def _estimates(comparison: Comparison) -> list[tuple[str, Estimate]]:
    named: list[tuple[str, Estimate]] = []
    for difference in comparison.differences:
        who = f"{difference.other} against {difference.reference}: "
        named += [
            (f"{who}average, per cent", difference.mean_ratio),
            (f"{who}average {words.quantity(comparison)}", difference.mean_torque),
            (f"{who}average power", difference.mean_power),
            (f"{who}area under power", difference.area_ratio),
            (f"{who}constant amount", difference.shape.offset),
            (f"{who}constant ratio, above 1", words.excess(difference.shape.scale)),
        ]
        named += [(f"{who}crossover", one) for one in difference.crossovers]
    for group in comparison.groups:
        who = f"{group.name}: "
        named += [
            (f"{who}highest {words.quantity(comparison)}", group.peak_torque),
            (f"{who}where the highest {words.quantity(comparison)} lies", group.peak_torque_rpm),
            (f"{who}highest power", group.peak_power),
            (f"{who}where the highest power lies", group.peak_power_rpm),
            (f"{who}average {words.quantity(comparison)}", group.mean_torque),
            (f"{who}average power", group.mean_power),
            (f"{who}area under power", group.power_area),
        ]
    named.append(("pull to pull", comparison.noise.pull_sd))
    return named


def explained(comparison: Comparison) -> Table:
    """The standard's formula, the method, and the making of everything that the engine file gave."""
    rows = [(name, comparison.choices[name]) for name in MAKING if name in comparison.choices]
    rows += [("corrected torque", FORMULAS[0][1])] if comparison.standard != "none" else []
    rows += derived.made(comparison)
    return Table("making", "How each number was made", (text("number"), text("how it was made")), tuple(rows))


def numbers(comparison: Comparison, system: str) -> Table:
    """Every estimate with the sentence that says how it was made."""
    rows = [(name, "", comparison.choices[name]) for name in MAKING if name in comparison.choices]
    rows += [(name, "", formula) for name, formula in FORMULAS]
    rows += [(name, "", how) for name, how in derived.made(comparison)]
    quantity = comparison.quantity
    for name, one in _estimates(comparison):
        shown = words.with_interval(one, system, quantity=quantity if one.unit == "Pa" else "")
        rows.append((name, shown, one.how or "not stated"))
    columns = (text("number"), text("value (95 % interval)"), text("how it was made"))
    return Table("made", "How each number was made", columns, tuple(rows))


def _said(comparison: Comparison) -> str:
    parts = [one.how for _, one in _estimates(comparison)]
    parts += [*comparison.choices.values(), comparison.noise.text, comparison.standard]
    parts += [f"{finding.text} {finding.remedy}" for finding in words.all_findings(comparison)]
    parts += [how for _, how in derived.made(comparison)]
    parts += [difference.shape.text for difference in comparison.differences]
    return " ".join(parts)


def named_sources(said: str) -> tuple[tuple[str, ...], ...]:
    """Key, title and state of verification of every published work that a text names by its key."""
    return tuple(
        (key, source.title, STATUS.get(source.status, source.status))
        for key, source in SOURCES.items()
        if re.search(rf"(?<![\w-]){re.escape(key)}(?![\w-])", said)
    )


def in_lines(rows: tuple[tuple[str, ...], ...]) -> Table:
    """Named sources as key and words, for a face without room for columns."""
    said = tuple((key, work if key == "practice" else f"{work} ({verified})") for key, work, verified in rows)
    return Table("sources", "Sources", (text("key"), text("work")), said)


def sources(comparison: Comparison) -> Table:
    """The published works that the numbers name, and how far each was verified."""
    rows = named_sources(_said(comparison))
    columns = (text("key"), text("work"), text("how far it was verified"))
    return Table("sources", "Sources", columns, rows, "" if rows else "No source is named by these numbers.")
