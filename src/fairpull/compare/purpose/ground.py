"""Pulls laid out for scoring: all builds together where they share a tested range, each by itself where not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from fairpull.compare.layout import Layout, lay_out
from fairpull.terms.errors import Fault, NotComparable
from fairpull.terms.pull import Curve

Groups = Sequence[tuple[str, Sequence[Curve]]]


def lay_out_all(groups: Groups, order: Sequence[str] | None) -> tuple[Layout, ...]:
    """Layouts that cover every build once.

    Args:
        groups: (build name, curves), reference first.
        order: pull names in running order, where logs have no clock.

    Returns:
        One layout of all builds; or one a build, where no rpm was tested by all of them (their drift is then not
        shared, and scores are less sharply told apart), or where there is only one.

    Raises:
        NotComparable: no build, an empty one, two pulls of one name, or a build whose pulls share no tested rpm.

    Source: own definition.
    """
    if not groups:
        raise NotComparable(Fault("empty-group", "builds", "no build given", "give at least one build with its pulls"))
    if len(groups) == 1:
        return (_alone(groups[0], order),)
    try:
        return (lay_out(groups, order),)
    except NotComparable as refusal:
        if any(fault.code != "no-common-range" for fault in refusal.faults):
            raise
    return tuple(_alone(group, order) for group in groups)


def _alone(group: tuple[str, Sequence[Curve]], order: Sequence[str] | None) -> Layout:
    name, curves = group
    if not curves:
        raise NotComparable(Fault("empty-group", name, "no pull that counts", "give at least one pull for this build"))
    if len(curves) > 1:  # laid out as two groups, since a comparison wants two, then named as the one build it is
        both = lay_out([(name, curves[:1]), (f"{name}, other pulls", curves[1:])], order)
        return replace(both, build=np.zeros(len(curves), dtype=np.int64), build_names=(name,))
    curve = curves[0]
    good = np.isfinite(curve.torque) & (curve.torque > 0)
    torque, error = curve.torque[good], np.nan_to_num(curve.torque_se[good])
    if good.sum() < 2:
        raise NotComparable(
            Fault("no-common-range", name, "fewer than 2 rpm steps with torque", "give a pull that covers the duty")
        )
    return Layout(
        names=(curve.name,),
        build=np.zeros(1, dtype=np.int64),
        build_names=(name,),
        rpm=curve.rpm[good],
        log_torque=np.log(torque)[None, :],
        curve_se=float(np.sqrt(np.mean((error / torque) ** 2))),
        hours=np.zeros(1),
        day=np.zeros(1, dtype=np.int64),
        stamped=curve.started_at is not None,
        curves=(curve,),
    )
