"""Tables about the day: the question, conditions of every pull, noise, the odd pull out, choices, findings, files."""

from __future__ import annotations

from fairpull.show import digits, scale
from fairpull.show.facts import remarks, words
from fairpull.show.facts.made import MAKING
from fairpull.show.facts.remarks import Entry
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.table import words as text
from fairpull.terms.comparison import Comparison, PullRow


def question(comparison: Comparison, system: str) -> Table:
    """What was asked, and whether it was declared before the day."""
    asked = comparison.question
    rows = [("question", asked.text or "none was written down")]
    rows.append(("band of interest", words.tested(comparison, *(asked.band or comparison.band), system)))
    rows.append(("smallest worth having", f"{digits.bare(100.0 * asked.smallest, 2)} %"))
    if asked.expectation:
        rows.append(("expected", asked.expectation))
    if asked.planned_pulls is not None:
        rows.append(("planned pulls a side", str(asked.planned_pulls)))
    rows.append(("declared", "in a file, before the comparison" if asked.declared else "no; these are the defaults"))
    note = "" if asked.declared else "A band that is chosen after seeing the data proves less than one declared before."
    return Table("question", "The question", (text("what"), text("answer")), tuple(rows), note)


def _air_cells(row: PullRow, system: str) -> tuple[str, ...]:
    places = (2, 0, 2) if system == "us" else (2, 1, 2)
    return (
        digits.number(scale.scalar(row.pressure, "Pa", system, "barometer"), places[0]),
        digits.number(scale.scalar(row.temperature, "K", system), places[1]),
        digits.number(scale.scalar(row.vapour_pressure, "Pa", system, "vapour_pressure"), places[2]),
        digits.number(row.factor, 4),
    )


def pulls(comparison: Comparison, system: str) -> Table:
    """Every pull in running order: air, factor, corrected band average, and the drift laid to its place in the day."""
    quantity = comparison.quantity
    unit = words.main_unit(comparison)
    sd = comparison.noise.pull_sd.value
    means = [scale.scalar(row.band_mean, unit, system, quantity) for row in comparison.pulls]
    places = digits.column_decimals([2.0 * sd * abs(mean) for mean in means])
    drift_places = digits.decimals_for(200.0 * sd)
    rows = tuple(
        (
            str(row.order),
            row.group,
            row.pull,
            words.clock(row.started_at),
            *_air_cells(row, system),
            digits.number(row.sweep_rate, 0) if row.sweep_rate else "steps",
            digits.number(mean, places),
            digits.number(100.0 * row.drift, drift_places, signed=True),
        )
        for row, mean in zip(comparison.pulls, means, strict=True)
    )
    columns = (
        Column("#"),
        text("build"),
        text("pull"),
        text("time"),
        Column("air", scale.label("Pa", system, "barometer")),
        Column("inlet", scale.label("K", system)),
        Column("vapour", scale.label("Pa", system, "vapour_pressure"), spare=True),
        Column("factor"),
        Column("rate", "rpm/s"),
        Column("mean", scale.label(unit, system, quantity)),
        Column("drift", "%"),
    )
    note = (
        f"Corrected = observed x factor. Mean: {words.quantity(comparison)} {words.basis(comparison.standard)}, "
        f"over {words.tested(comparison, *comparison.band, system)}. Drift: expected from the pull's "
        "place in the running order, taken out before builds are compared."
    )
    return Table("pulls", "Every pull, in running order", columns, rows, note)


def noise(comparison: Comparison) -> Table:
    """What the repeats say about noise."""
    found = comparison.noise
    rows = (
        ("pull to pull", words.with_interval(found.pull_sd, "metric")),
        ("error correlated over", f"{digits.number(found.correlation_rpm, -1)} rpm"),
        ("drift after an hour", words.fraction(found.drift, decimals=2)),
        ("degrees of freedom from repeats", str(found.repeats)),
    )
    return Table("noise", "Noise", (text("what"), text("standard deviation or length")), rows, found.text)


def odd_pulls(comparison: Comparison) -> Table:
    """Pulls that stand apart from the others of their build; reported, never removed."""
    places = digits.decimals_for(200.0 * comparison.noise.pull_sd.value)
    rows = tuple(
        (odd.group, odd.pull, words.fraction(odd.deviation, signed=True, decimals=places), odd.text)
        for odd in comparison.odd_pulls
    )
    return Table(
        "odd",
        "The odd pull out",
        (text("build"), text("pull"), Column("deviation"), text("what to do")),
        rows,
        "Reported, never removed." if rows else "No pull stands apart from the others of its build.",
    )


def choices(comparison: Comparison) -> Table:
    """Every choice made or defaulted, but for those that say how numbers are made (``made.explained``)."""
    rows = tuple((name, value) for name, value in comparison.choices.items() if name not in MAKING)
    return Table("choices", "Choices", (text("choice"), text("value")), rows)


def findings(comparison: Comparison) -> tuple[Entry, ...]:
    """Every finding with its remedy: faults and warnings in full, notes folded by code."""
    return remarks.entries(words.all_findings(comparison), {row.pull for row in comparison.pulls})


def weights(comparison: Comparison) -> str:
    """How many findings of each weight there are, in words; empty where there are none."""
    found = words.merged(words.all_findings(comparison))
    counted = {name: sum(one.severity.value == name for one in found) for name in ("fault", "warning", "note")}
    return ", ".join(f"{count} {name}{'s' if count != 1 else ''}" for name, count in counted.items() if count)


def files(comparison: Comparison) -> Table:
    """Every file with its hash: the proof of which bytes were read."""
    rows = tuple((path, digest) for path, digest in comparison.sources.items())
    return Table("files", "Files", (text("file"), text("sha256")), rows)
