"""JIS D 1001: automotive engine power; its own text names ISO 1585 as its counterpart."""

from __future__ import annotations

from fairpull.air.factors import road_factor
from fairpull.air.standard import Case, Limit, Standard
from fairpull.terms.arrays import Number


def _factor(case: Case) -> Number:
    return road_factor(case, low=0.0372, floor=0.2)


STANDARD = Standard(
    key="jis-d1001",
    title="JIS D 1001 (1993)",
    reference="dry pressure 99 kPa, 298 K",
    formula="spark: (99 kPa / p_dry)^1.2 (T / 298)^0.6; compression: fa^fm, fm constant below 37.2 mg/(l cycle)",
    factor=_factor,
    limits=(
        Limit("factor", 0.93, 1.07, "memory", "spark"),
        Limit("factor", 0.90, 1.10, "second-hand", "compression"),
    ),
    charged=(
        "From memory, as in its counterpart ISO 1585: the same factor for pressure-charged spark-ignition engines."
    ),
    charged_covered=True,
    compression="own, needs fuel",
    sources=("jis-d1001",),
)
