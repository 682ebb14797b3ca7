"""The cylinder head: valves, volumes, and the flow table with the depression it was measured at."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Annotated, Any, ClassVar

import numpy as np

from fairpull.engine import ports
from fairpull.engine.form_types import Count, Text
from fairpull.engine.parts.base import PartForm, fact
from fairpull.engine.sheet_quantities import (
    AIR_FLOW,
    LIFT,
    Depression,
    Length,
    PortArea,
    SeatAngle,
    Thin,
    Volume,
)
from fairpull.engine.sheet_tables import Rows, Table
from fairpull.engine.tuned_lengths import pipe_area
from fairpull.terms.build import Fact

CAUTION = (
    "square-root law; it takes for granted that the port's flow pattern does not change, and from 3 to 28 inH2O that "
    "misleads by 2 to 5 %"
)
FlowTable = Annotated[Rows, Table(("lift", "intake flow", "exhaust flow"), (LIFT, AIR_FLOW, AIR_FLOW), 2)]


class HeadForm(PartForm):
    """A cylinder head; flows are of one cylinder, all its valves together."""

    NEEDS: ClassVar = (("flow", "depression", 'depression = "28 inH2O"'),)

    material: Text = ""
    intake_valve: Length | None = None
    exhaust_valve: Length | None = None
    intake_valves: Count = 1
    exhaust_valves: Count = 1
    intake_seat_angle: SeatAngle | None = None
    exhaust_seat_angle: SeatAngle | None = None
    chamber_volume: Volume | None = None
    gasket_thickness: Thin | None = None
    gasket_bore: Length | None = None
    intake_port_volume: Volume | None = None
    exhaust_port_volume: Volume | None = None
    intake_port_area: PortArea | None = None
    exhaust_port_area: PortArea | None = None
    depression: Depression | None = None
    flow: FlowTable | None = None

    def facts(self, written: Mapping[str, Any]) -> list[Fact]:
        """Flow at 28 inH2O, its share and its speed, and what the trade's rules make of it."""
        if self.flow is None or self.depression is None:
            return []
        rows = np.array(self.flow, dtype=np.float64)
        table = ports.flow_table_at(rows, self.depression, ports.BENCH_DEPRESSION)
        converted = "" if self._at_bench_depression() else f", from {written.get('depression')} by the {CAUTION}"
        best = int(np.argmax(table[:, 1]))
        how = f"most of the flow table{converted}"
        found = [fact("intake flow at 28 inH2O", table[best, 1], "m3/s", how)]
        found += self._per_area("intake", float(table[best, 1]))
        if table.shape[1] > 2:
            most = float(np.max(table[:, 2]))
            found.append(fact("exhaust flow at 28 inH2O", most, "m3/s", how))
            found += self._per_area("exhaust", most)
            share = float(np.mean(ports.exhaust_share(table[1:, 2], table[1:, 1])))
            found.append(fact("exhaust over intake flow", share, "1", "mean of the flow table's rows past the first"))
        ceiling = float(ports.power_ceiling(table[best, 1]))
        how = "0.257 hp for each cfm at 28 inH2O; mild engines reach 60 to 75 % of it"
        return [*found, fact("power ceiling of one cylinder", ceiling, "W", how, "head-flow-rule")]

    def _at_bench_depression(self) -> bool:
        return self.depression is not None and math.isclose(self.depression, ports.BENCH_DEPRESSION, rel_tol=1e-3)

    def _per_area(self, side: str, flow: float) -> list[Fact]:
        found = []
        area: float | None = getattr(self, f"{side}_port_area")
        if area is not None:
            how = f"{side} flow at 28 inH2O over the port's smallest area; the most seen is 100 to 107 m/s"
            found.append(fact(f"{side} flow per port area", float(ports.flow_per_area(flow, area)), "m/s", how))
        valve: float | None = getattr(self, f"{side}_valve")
        if valve is not None:
            area = getattr(self, f"{side}_valves") * float(pipe_area(valve))
            coefficient = float(ports.flow_coefficient(flow, area, ports.BENCH_DEPRESSION))
            how = "flow at 28 inH2O over what the valve heads' area would pass without losses"
            found.append(fact(f"{side} flow coefficient at best", coefficient, "1", how, "heywood"))
        return found


FORMS = {"head": HeadForm}
