"""The camshaft card: durations with the lift they are stated at, lift, lash, and how it is installed."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Annotated, Any, ClassVar

import numpy as np

from fairpull.engine import cams
from fairpull.engine.form_types import OrWord, Text
from fairpull.engine.parts.base import PartForm, disagree, fact
from fairpull.engine.sheet_quantities import LIFT, SIGNED_ANGLE, Centreline, Drive, Duration, Lash, Lift
from fairpull.engine.sheet_tables import Rows, Table
from fairpull.terms.build import Fact
from fairpull.terms.errors import Fault

NOT_STATED = "not stated"
DEGREE = math.pi / 180.0
_LIFT_TOLERANCE = 0.03  # rocker ratios and cards are rounded
_ANGLE_TOLERANCE = 2.0 * DEGREE

LiftTable = Annotated[Rows, Table(("angle from full lift", "lobe lift"), (SIGNED_ANGLE, LIFT), 2)]
_AT = 'advertised_lift = "0.006 in", or advertised_lift = "not stated"'
_CHECK = 'checking_lift = "0.050 in" (or "1 mm")'


class CamshaftForm(PartForm):
    """A camshaft as ground and as installed."""

    NEEDS: ClassVar = (
        ("intake_advertised", "advertised_lift", _AT),
        ("exhaust_advertised", "advertised_lift", _AT),
        ("intake_duration", "checking_lift", _CHECK),
        ("exhaust_duration", "checking_lift", _CHECK),
    )

    advertised_lift: Annotated[float | str, OrWord(LIFT, NOT_STATED)] | None = None
    intake_advertised: Duration | None = None
    exhaust_advertised: Duration | None = None
    checking_lift: Lift | None = None
    intake_duration: Duration | None = None
    exhaust_duration: Duration | None = None
    intake_lobe_lift: Lift | None = None
    exhaust_lobe_lift: Lift | None = None
    intake_rocker_ratio: Drive | None = None
    exhaust_rocker_ratio: Drive | None = None
    intake_valve_lift: Lift | None = None
    exhaust_valve_lift: Lift | None = None
    intake_lash: Lash | None = None
    exhaust_lash: Lash | None = None
    lobe_separation: Centreline | None = None
    intake_centreline: Centreline | None = None
    exhaust_centreline: Centreline | None = None
    intake_lift_table: LiftTable | None = None
    exhaust_lift_table: LiftTable | None = None
    lifters: Text = ""

    def contradictions(self) -> list[Fault]:
        """Lifts, durations and centrelines that do not fit together."""
        return [*self._side("intake"), *self._side("exhaust"), *self._centrelines()]

    def _side(self, side: str) -> list[Fault]:
        faults = []
        lobe, ratio, valve = (getattr(self, f"{side}_{name}") for name in ("lobe_lift", "rocker_ratio", "valve_lift"))
        if lobe and ratio and valve and abs(cams.valve_lift(lobe, ratio) / valve - 1.0) > _LIFT_TOLERANCE:
            made = cams.valve_lift(lobe, ratio)
            seen = f"{valve * 1e3:.2f} mm, but lobe lift and rocker ratio make {made * 1e3:.2f} mm"
            faults.append(disagree(f"{side}_valve_lift", seen))
        advertised: float | None = getattr(self, f"{side}_advertised")
        checked: float | None = getattr(self, f"{side}_duration")
        stated, checking = self.advertised_lift, self.checking_lift
        lower = not (isinstance(stated, float) and checking is not None and stated >= checking)
        if advertised is not None and checked is not None and lower and checked >= advertised:
            seen = f"{checked / DEGREE:.0f} deg, not less than the advertised {advertised / DEGREE:.0f} deg"
            faults.append(disagree(f"{side}_duration", seen))
        return faults

    def _centrelines(self) -> list[Fault]:
        if self.lobe_separation is None or self.intake_centreline is None or self.exhaust_centreline is None:
            return []
        made = float(cams.exhaust_centreline(self.lobe_separation, self.intake_centreline))
        if abs(made - self.exhaust_centreline) <= _ANGLE_TOLERANCE:
            return []
        return [
            disagree(
                "exhaust_centreline",
                f"{self.exhaust_centreline / DEGREE:.1f} deg, but lobe separation and intake centreline make "
                f"{made / DEGREE:.1f} deg",
            )
        ]

    def facts(self, written: Mapping[str, Any]) -> list[Fact]:
        """Centrelines, valve events at both lifts, net lift."""
        found = self._installed()
        stated = written.get("advertised_lift", NOT_STATED)
        at = (
            f"the advertised lift, {stated}" if isinstance(self.advertised_lift, float) else "a lift that is not stated"
        )
        found += self._events("advertised", "advertised", at)
        checking = str(written.get("checking_lift", ""))
        found += self._events("duration", f"at {checking}", checking)
        for side in ("intake", "exhaust"):
            found += self._lift(side)
            found += self._table(side, checking)
        return found

    def _exhaust_centreline(self) -> float | None:
        if self.exhaust_centreline is not None or self.lobe_separation is None or self.intake_centreline is None:
            return self.exhaust_centreline
        return float(cams.exhaust_centreline(self.lobe_separation, self.intake_centreline))

    def _installed(self) -> list[Fact]:
        found, intake, exhaust = [], self.intake_centreline, self._exhaust_centreline()
        separation = self.lobe_separation
        if exhaust is not None and self.exhaust_centreline is None:
            how = "before top centre: 2 x lobe separation - intake centreline"
            found.append(fact("exhaust centreline", exhaust, "rad", how))
        if separation is None and intake is not None and exhaust is not None:
            separation = float(cams.lobe_separation(intake, exhaust))
            found.append(fact("lobe separation", separation, "rad", "mean of the two centrelines"))
        if separation is not None and intake is not None:
            advance = cams.installed_advance(separation, intake)
            found.append(fact("installed advance", float(advance), "rad", "lobe separation - intake centreline"))
        return found

    def _events(self, entry: str, name: str, lift: str) -> list[Fact]:
        found: list[Fact] = []
        opening = closing = None
        intake, exhaust = getattr(self, f"intake_{entry}"), getattr(self, f"exhaust_{entry}")
        centre, other = self.intake_centreline, self._exhaust_centreline()
        if intake is not None and centre is not None:
            opening = float(cams.opening_before_top(intake, centre))
            shut = float(cams.closing_after_bottom(intake, centre))
            how = f"at {lift}: duration / 2 - intake centreline"
            found.append(fact(f"intake opening BTDC, {name}", opening, "rad", how))
            how = f"at {lift}: duration / 2 + intake centreline - 180 deg"
            found.append(fact(f"intake closing ABDC, {name}", shut, "rad", how))
        if exhaust is not None and other is not None:
            closing = float(cams.opening_before_top(exhaust, other))
            open_at = float(cams.closing_after_bottom(exhaust, other))
            how = f"at {lift}: duration / 2 + exhaust centreline - 180 deg"
            found.append(fact(f"exhaust opening BBDC, {name}", open_at, "rad", how))
            how = f"at {lift}: duration / 2 - exhaust centreline"
            found.append(fact(f"exhaust closing ATDC, {name}", closing, "rad", how))
        if opening is not None and closing is not None:
            both = float(cams.overlap(opening, closing))
            found.append(fact(f"overlap, {name}", both, "rad", f"at {lift}: intake opening + exhaust closing"))
        return found

    def _lift(self, side: str) -> list[Fact]:
        lobe, ratio, valve, lash = (
            getattr(self, f"{side}_{name}") for name in ("lobe_lift", "rocker_ratio", "valve_lift", "lash")
        )
        found = []
        if valve is None and lobe is not None and ratio is not None:
            valve = float(cams.valve_lift(lobe, ratio))
            found.append(fact(f"{side} valve lift", valve, "m", "lobe lift x rocker ratio"))
        if valve is not None:
            how = "valve lift - lash" if lash else "valve lift; no lash is given"
            found.append(fact(f"{side} net lift", float(cams.net_lift(valve, lash or 0.0)), "m", how))
        return found

    def _table(self, side: str, checking: str) -> list[Fact]:
        table = getattr(self, f"{side}_lift_table")
        if table is None or self.checking_lift is None:
            return []
        angle, lift = np.asarray(table, dtype=np.float64).T
        found = cams.duration_at(angle, lift, self.checking_lift)
        how = "read off the lift table, straight lines between its points"
        return [fact(f"{side} duration at {checking}, lift table", found, "rad", how)] if math.isfinite(found) else []


FORMS = {"camshaft": CamshaftForm}
