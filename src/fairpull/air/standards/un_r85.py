"""UN Regulation 85, annex 5: net power for type approval."""

from __future__ import annotations

from fairpull.air.factors import road_factor
from fairpull.air.standard import Case, Limit, Standard
from fairpull.terms.arrays import Number


def _factor(case: Case) -> Number:
    return road_factor(case)


STANDARD = Standard(
    key="un-r85",
    title="UN Regulation 85 (net, type approval)",
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
    charged=(
        "From memory, the same factor serves naturally aspirated and pressure-charged spark-ignition "
        "engines; a "
        "proposal of 2014 (its summary was read) takes the correction away from charged engines that make up "
        "for the air themselves."
    ),
    charged_covered=True,
    compression="own, needs fuel",
    sources=("un-r85", "grpe-70-02"),
)
