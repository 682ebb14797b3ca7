"""From curves to the numbers the noise model works on: which pull, which build, which clock, which rpm."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fairpull.compare.prior import DEFAULT_GAP
from fairpull.terms.arrays import FloatArray, IntArray
from fairpull.terms.errors import Fault, NotComparable
from fairpull.terms.pull import Curve

NIGHT = 6.0 * 3600.0  # a longer pause between pulls starts another day, whatever the date says
MIN_NODES = 3


@dataclass(frozen=True, slots=True)
class Layout:
    """Pulls in running order on common rpm nodes.

    Attributes:
        names: pull names, shape (n,).
        build: index of the build of each pull, shape (n,).
        build_names: name of each build; the first is the reference.
        rpm: common nodes, shape (g,).
        log_torque: log of observed torque, shape (n, g).
        curve_se: mean relative standard error of the curves, scalar.
        hours: running time of each pull [h], shape (n,), the first at 0.
        day: index of the day of each pull, shape (n,).
        stamped: True where the clock came from the logs, False where running order stood in.
        curves: the curves, running order.
    """

    names: tuple[str, ...]
    build: IntArray
    build_names: tuple[str, ...]
    rpm: FloatArray
    log_torque: FloatArray
    curve_se: float
    hours: FloatArray
    day: IntArray
    stamped: bool
    curves: tuple[Curve, ...]

    @property
    def builds(self) -> int:
        """Number of builds."""
        return len(self.build_names)

    def counts(self) -> IntArray:
        """Pulls of each build, shape (builds,)."""
        counts: IntArray = np.bincount(self.build, minlength=self.builds).astype(np.int64)
        return counts

    def design(self) -> FloatArray:
        """Indicator matrix pull x build, shape (n, builds)."""
        design: FloatArray = (self.build[:, None] == np.arange(self.builds)[None, :]).astype(np.float64)
        return design


def lay_out(groups: Sequence[tuple[str, Sequence[Curve]]], order: Sequence[str] | None = None) -> Layout:
    """Bring the curves of all builds onto common ground.

    Args:
        groups: (build name, curves), reference first; every curve on the same rpm step.
        order: pull names in running order, for logs without a clock; otherwise the order handed in.

    Returns:
        The layout, pulls sorted by clock where every pull is stamped.

    Raises:
        NotComparable: fewer than two builds, an empty one, two pulls of one name, or no common tested rpm.

    Source: own definition.
    """
    _refuse_bad_groups(groups)
    curves = [curve for _, members in groups for curve in members]
    build = np.repeat(np.arange(len(groups)), [len(members) for _, members in groups])
    rows, hours, day, stamped = _clock(curves, order)
    rpm, torque, se = _common(curves)
    return Layout(
        names=tuple(curves[i].name for i in rows),
        build=build[rows],
        build_names=tuple(name for name, _ in groups),
        rpm=rpm,
        log_torque=np.log(torque)[rows],
        curve_se=float(np.sqrt(np.mean((se / torque) ** 2))),
        hours=hours,
        day=day,
        stamped=stamped,
        curves=tuple(curves[i] for i in rows),
    )


def _refuse_bad_groups(groups: Sequence[tuple[str, Sequence[Curve]]]) -> None:
    faults = [
        Fault("empty-group", name, "no pull that counts", "give at least one pull for this build")
        for name, members in groups
        if not members
    ]
    if len(groups) < 2:
        faults.append(
            Fault(
                "one-group",
                "groups",
                f"{len(groups)} build given",
                "give a reference and at least one other build",
            )
        )
    names = [curve.name for _, members in groups for curve in members]
    faults += [
        Fault("same-pull-twice", name, "the same pull stands twice", "name each pull once, in one group")
        for name in sorted({name for name in names if names.count(name) > 1})
    ]
    if faults:
        raise NotComparable(faults)


def _clock(curves: Sequence[Curve], order: Sequence[str] | None) -> tuple[IntArray, FloatArray, IntArray, bool]:
    stamps = [curve.started_at for curve in curves]
    known = [stamp for stamp in stamps if stamp is not None]
    if len(known) == len(stamps) and order is None:
        clock = np.array(known)
        rows = np.argsort(clock, kind="stable")
        clock = clock[rows]
        day = np.concatenate([[0], np.cumsum(np.diff(clock) > NIGHT)]).astype(np.int64)
        return rows, (clock - clock[0]) / 3600.0, day, True
    place = {name: i for i, name in enumerate(order)} if order is not None else {}
    missing = [curve.name for curve in curves if order is not None and curve.name not in place]
    if missing:
        raise NotComparable(
            Fault(
                "order-incomplete",
                "order",
                f"{', '.join(missing)} not named",
                "name every pull once, first to last",
            )
        )
    keys = [place.get(curve.name, i) for i, curve in enumerate(curves)]
    rows = np.argsort(np.array(keys), kind="stable")
    hours = np.arange(len(curves), dtype=np.float64) * (DEFAULT_GAP / 3600.0)
    return rows, hours, np.zeros(len(curves), dtype=np.int64), False


def _common(curves: Sequence[Curve]) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Nodes at which every curve was tested; torque and its standard error there, shape (n, g)."""
    tables: list[Mapping[float, int]] = [
        {float(r): i for i, r in enumerate(curve.rpm) if np.isfinite(curve.torque[i]) and curve.torque[i] > 0}
        for curve in curves
    ]
    shared = sorted(set.intersection(*(set(table) for table in tables)))
    if len(shared) < MIN_NODES:
        ranges = "; ".join(f"{c.name} {c.tested[0]:.0f}-{c.tested[1]:.0f} rpm" for c in curves)
        raise NotComparable(
            Fault(
                "no-common-range",
                "tested ranges",
                f"fewer than {MIN_NODES} rpm steps were tested by every pull ({ranges})",
                "leave out the short pull, or test both builds over one range",
            )
        )
    torque = np.array([[curve.torque[table[r]] for r in shared] for curve, table in zip(curves, tables, strict=True)])
    se = np.array([[curve.torque_se[table[r]] for r in shared] for curve, table in zip(curves, tables, strict=True)])
    return np.array(shared), torque, np.nan_to_num(se)
