"""One pull's derived quantities as columns: heading, unit and decimals as in a comparison's table of them."""

from __future__ import annotations

from collections.abc import Mapping

from fairpull.show import scale
from fairpull.show.facts.derived import KINDS, Kind
from fairpull.show.facts.table import Column
from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import Derived

OWN_UNIT = ("bmep", "lambda_from_flows", "lambda_flows_over_sensor")
"""Quantities that are shown in a unit of their own, and not in that of their house unit."""


def names(found: Mapping[str, Derived]) -> list[str]:
    """Their names, in the order of a comparison's table."""
    return [*(name for name in KINDS if name in found), *(name for name in found if name not in KINDS)]


def kind(name: str) -> Kind:
    """How a derived quantity is written."""
    spelled = name.replace("_", " ")
    return KINDS.get(name, Kind(spelled, spelled, {"us": 3, "metric": 3}))


def column(name: str, one: Derived, system: str) -> Column:
    """Its heading."""
    return Column(kind(name).head, kind(name).beneath or unit(name, one, system), spare=kind(name).spare)


def unit(name: str, one: Derived, system: str) -> str:
    """Its shown unit; "" where it has none."""
    return "" if kind(name).beneath else scale.label(one.unit, system, name if name in OWN_UNIT else "")


def values(name: str, one: Derived, system: str) -> FloatArray:
    """Its values in the shown unit, shape (g,)."""
    if kind(name).beneath:
        return one.values
    return scale.arrays(one.values, one.unit, system, name if name in OWN_UNIT else "")
