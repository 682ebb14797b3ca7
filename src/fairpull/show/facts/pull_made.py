"""How each headline number of a pull was made: formula, the values that went in, and the source."""

from __future__ import annotations

from dataclasses import dataclass

from fairpull.show import digits
from fairpull.show.facts import made, pull, pull_derived, words
from fairpull.show.facts.pull_tables import quantity
from fairpull.show.facts.table import Table
from fairpull.show.facts.table import words as text
from fairpull.show.facts.words import plain
from fairpull.terms.pull_page import PullPage

CURVE = "the observed curve's highest value on multiples of 50 rpm, as far as the pull counts"


@dataclass(frozen=True, slots=True)
class Made:
    """One number taken apart.

    Attributes:
        name: of the number.
        value: as shown.
        formula: in words.
        went_in: what went in, name and value.
        sources: published works behind it.
    """

    name: str
    value: str
    formula: str
    went_in: Table
    sources: Table


def headline(page: PullPage, system: str) -> tuple[Made, ...]:
    """The peaks and the factor, each with how it was made.

    Args:
        page: content of the page.
        system: "us" or "metric".

    Returns:
        Torque, power, factor; those that the pull has.
    """
    found = [_peak(page, one, system) for one in pull.head(page, system).peaks]
    return (*found, _factor(page, system))


def _peak(page: PullPage, peak: pull.Peak, system: str) -> Made:
    rows: list[tuple[str, str]] = []
    line, curve = page.line, page.counted
    if peak.seen:
        rows += [("observed", f"{peak.seen} at {peak.where}"), ("factor", digits.number(page.making.factor, 4))]
        formula = f"corrected {peak.name} = observed {peak.name} x factor; observed: {CURVE}"
    else:
        formula = f"as observed, nothing is corrected: {CURVE}"
    if peak.name == "power":
        formula += "; power = torque x 2 pi x rpm / 60, at each rpm"
    if curve is not None:
        rows += [(name, plain(curve.choices[name])) for name in ("curve", "bandwidth") if name in curve.choices]
    rows.append(("tested", words.axis_range(*line.tested)))
    said = " ".join(value for _, value in rows)
    return Made(f"peak {peak.name}", f"{peak.value} at {peak.where}", formula, _table(rows), _sources(said))


def _factor(page: PullPage, system: str) -> Made:
    making = page.making
    value = digits.number(making.factor, 4)
    if making.standard == "none":
        formula = "corrected = observed: the weather of the pull is not known, or the house corrects nothing"
        return Made("correction factor", value, formula, _table([]), _sources(""))
    rows = [("standard", making.title), ("reference air", making.reference), ("engine", making.engine or digits.DASH)]
    if making.air is not None:
        air = making.air
        dry = air.pressure - air.vapour_pressure
        rows += [
            ("pressure, absolute", quantity(air.pressure, "Pa", "barometer", 2, system)),
            ("vapour pressure", quantity(air.vapour_pressure, "Pa", "vapour_pressure", 3, system)),
            ("dry pressure, p_dry", f"{quantity(dry, 'Pa', 'barometer', 2, system)} ({dry / 1e3:.2f} kPa)"),
            ("inlet air, t", f"{quantity(air.temperature, 'K', '', 1, system)} ({air.temperature - 273.15:.1f} °C)"),
        ]
    return Made(
        "correction factor", value, f"factor = {making.formula}", _table(rows), _sources(" ".join(making.sources))
    )


def _table(rows: list[tuple[str, str]]) -> Table:
    return Table("went-in", "What went in", (text("what"), text("value")), tuple(rows))


def _sources(said: str) -> Table:
    return made.in_lines(made.named_sources(said))


def derived(page: PullPage) -> Table:
    """How what channels and engine yield was made."""
    names = pull_derived.names(page.derived)
    rows = tuple((pull_derived.kind(name).name, plain(page.derived[name].how)) for name in names)
    return Table("derived-made", "How the other columns were made", (text("number"), text("how it was made")), rows)
