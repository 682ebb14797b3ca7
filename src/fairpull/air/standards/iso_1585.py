"""ISO 1585: net power of road-vehicle engines."""

from __future__ import annotations

from fairpull.air.factors import road_factor
from fairpull.air.standard import Case, Limit, Standard
from fairpull.terms.arrays import Number


def _factor(case: Case) -> Number:
    return road_factor(case)


STANDARD = Standard(
    key="iso-1585",
    title="ISO 1585 (net, road vehicles)",
    reference="dry pressure 99 kPa, 298 K",
    formula="spark: (99 kPa / p_dry)^1.2 (T / 298)^0.6; compression: fa^fm",
    factor=_factor,
    limits=(
        Limit("factor", 0.93, 1.07, "memory", "spark"),
        Limit("factor", 0.90, 1.10, "second-hand", "compression"),
        Limit("temperature", 288.15, 308.15, "memory", "spark"),
        Limit("temperature", 283.15, 313.15, "memory", "compression"),
        Limit("dry pressure", 80000.0, 110000.0, "memory"),
    ),
    charged="From memory, the same factor serves naturally aspirated and pressure-charged spark-ignition engines.",
    charged_covered=True,
    compression="own, needs fuel",
    sources=("iso-1585",),
)
