"""What channels and an engine file yield together, by rpm and build: BMEP, breathing, fuel, mixture, piston speed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fairpull.show import digits, scale
from fairpull.show.facts import grid, words
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.table import words as text
from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import Comparison, Group

MOST_ROWS = 12


@dataclass(frozen=True, slots=True)
class Kind:
    """How one derived quantity is written: heading, full name, decimals by system; ``beneath`` where it has no unit."""

    head: str
    name: str
    places: dict[str, int]
    beneath: str = ""
    spare: bool = False


KINDS: dict[str, Kind] = {
    "bmep": Kind("BMEP", "brake mean effective pressure (BMEP)", {"us": 1, "metric": 2}),
    "torque_per_displacement": Kind("specific torque", "torque per displacement", {"us": 3, "metric": 1}, spare=True),
    "volumetric_efficiency": Kind("VE", "volumetric efficiency (VE)", {"us": 1, "metric": 1}),
    "bsfc": Kind("BSFC", "brake specific fuel consumption (BSFC)", {"us": 3, "metric": 0}),
    "bsac": Kind("BSAC", "brake specific air consumption (BSAC)", {"us": 2, "metric": -1}),
    "thermal_efficiency": Kind("thermal eff.", "brake thermal efficiency", {"us": 1, "metric": 1}),
    "lambda_from_flows": Kind("lambda", "lambda from flows", {"us": 3, "metric": 3}, "flows"),
    "lambda_flows_over_sensor": Kind("flows over", "lambda from flows / from sensor", {"us": 3, "metric": 3}, "sensor"),
    "mean_piston_speed": Kind("piston speed", "mean piston speed", {"us": 0, "metric": 1}),
}


def _names(comparison: Comparison) -> list[str]:
    found = dict.fromkeys(name for group in comparison.groups for name in group.derived)
    return [*(name for name in KINDS if name in found), *(name for name in found if name not in KINDS)]


def _kind(name: str) -> Kind:
    spelled = name.replace("_", " ")
    return KINDS.get(name, Kind(spelled, spelled, {"us": 3, "metric": 3}))


def _house(comparison: Comparison, name: str) -> str:
    return next(group.derived[name].unit for group in comparison.groups if name in group.derived)


def _quantity(name: str) -> str:
    return name if name in ("bmep", "lambda_from_flows", "lambda_flows_over_sensor") else ""


def _columns(comparison: Comparison, system: str) -> tuple[Column, ...]:
    columns = [Column("rpm"), text("build")]
    for name in _names(comparison):
        kind = _kind(name)
        symbol = "" if kind.beneath else scale.label(_house(comparison, name), system, _quantity(name))
        columns.append(Column(kind.head, kind.beneath or symbol, spare=kind.spare))
    return tuple(columns)


def _shown(group: Group, name: str, system: str) -> FloatArray:
    one = group.derived.get(name)
    if one is None:
        return np.full(len(group.rpm), np.nan)
    if _kind(name).beneath:
        return one.values
    return scale.arrays(one.values, one.unit, system, _quantity(name))


def _row(group: Group, values: dict[str, float], first: str, system: str) -> tuple[str, ...]:
    return (first, group.name, *(digits.number(value, _kind(name).places[system]) for name, value in values.items()))


def _means(group: Group, names: list[str], band: tuple[float, float], system: str) -> dict[str, float]:
    inside = (band[0] <= group.rpm) & (group.rpm <= band[1])
    means = {}
    for name in names:
        values = _shown(group, name, system)[inside]
        known = values[np.isfinite(values)]
        means[name] = float(known.mean()) if len(known) else float("nan")
    return means


def by_rpm(comparison: Comparison, system: str) -> Table:
    """Every derived quantity at round rpm, builds beneath each other, and its mean over the band of interest."""
    names = _names(comparison)
    groups = [group for group in comparison.groups if group.derived]
    rows = []
    if groups:
        every = np.unique(np.concatenate([group.rpm for group in groups]))
        wanted = every[grid.rows_of(every, MOST_ROWS)]
        read = {
            (group.name, name): grid.at(group.rpm, _shown(group, name, system), wanted)
            for group in groups
            for name in names
        }
        for n, rpm in enumerate(wanted.tolist()):
            for group in groups:
                values = {name: float(read[group.name, name][n]) for name in names}
                if np.isfinite(list(values.values())).any():
                    rows.append(_row(group, values, digits.number(rpm, 0), system))
        rows += [_row(group, _means(group, names, comparison.band, system), "mean", system) for group in groups]
    note = (
        f"As observed, mean of each build's pulls. Mean: over {words.tested(comparison, *comparison.band, system)}. "
        "VE: volumetric efficiency. How each was made, and against which air: see How each number was made."
    )
    return Table("derived", "With the engine file, by rpm", _columns(comparison, system), tuple(rows), note)


def made(comparison: Comparison) -> Iterator[tuple[str, str]]:
    """Name and making of every derived quantity; builds that share a making are named together."""
    for name in _names(comparison):
        hows: dict[str, list[str]] = {}
        for group in comparison.groups:
            if name in group.derived:
                hows.setdefault(group.derived[name].how, []).append(group.name)
        for how, builds in hows.items():
            whose = "" if len(hows) == 1 else f", {' and '.join(builds)}"
            yield f"{_kind(name).name}{whose}", how
