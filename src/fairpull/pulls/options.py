"""What the person may ask of the cleaning; every default is visible in a pull's choices."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from fairpull.terms.errors import Fault, UnknownName, ValueRefused

if TYPE_CHECKING:
    from fairpull.terms.calibration import Calibration

KINDS = ("auto", "sweep", "steps")


@dataclass(frozen=True, slots=True)
class PullOptions:
    """How pulls are found in a recording and cleaned.

    Attributes:
        kind: "auto", or "sweep" or "steps" to overrule what the speed trace looks like.
        min_span: least rise of speed that counts as a sweep [rpm].
        min_duration: least time that counts as a sweep [s].
        settle_rpm: speed discarded after the ramp is released [rpm]; trade practice is 200 to 300.
        throttle_floor: throttle opening from which a segment counts as full load, fraction.
        throttle_full: below this opening a pull carries a finding, fraction.
        nominal_rate: the ramp that was set on the brake [rpm/s]; None: the pull's own median rate.
        hold_min: shortest time at one speed that counts as a hold [s].
        hold_average: a hold is averaged over its last ``hold_average`` seconds, or its last half if that is shorter.
        despike_k: a sample further than this many robust standard deviations from its window's median is a spike;
            0 switches despiking off.
        despike_window: window of the median [samples], odd.
        bridge: longest dropout that is bridged by a straight line [samples].
        lags: channel -> delay of that channel against the others [s]; it is moved back by as much.
        inertia: rotating inertia at the crankshaft [kg m2] for torque += I dw/dt; None: no correction.
        inertia_window: half-width of the local quadratic fit that gives dw/dt [s].
        calibration: the brake's dead-weight line, applied as (indicated - a0)/a1; None: torque as logged.
        valid_to: the pulls count up to this speed only [rpm]; None: to their end.
    """

    kind: str = "auto"
    min_span: float = 500.0
    min_duration: float = 2.0
    settle_rpm: float = 250.0
    throttle_floor: float = 0.85
    throttle_full: float = 0.98
    nominal_rate: float | None = None
    hold_min: float = 1.5
    hold_average: float = 5.0
    despike_k: float = 6.0
    despike_window: int = 5
    bridge: int = 5
    lags: Mapping[str, float] = field(default_factory=dict)
    inertia: float | None = None
    inertia_window: float = 0.25
    calibration: Calibration | None = None
    valid_to: float | None = None


def check_options(options: PullOptions) -> None:
    """Refuse options that make no sense, all at once.

    Args:
        options: what was asked.

    Raises:
        UnknownName: ``kind`` is not one of KINDS.
        ValueRefused: a number is out of its range.
    """
    if options.kind not in KINDS:
        raise UnknownName(Fault("pull-kind", "kind", repr(options.kind), f"one of {', '.join(KINDS)}"))
    rules = (
        ("min_span", options.min_span > 0, "a speed above 0 rpm"),
        ("min_duration", options.min_duration > 0, "a time above 0 s"),
        ("settle_rpm", options.settle_rpm >= 0, "0 rpm or more"),
        ("throttle_floor", 0 <= options.throttle_floor <= 1, "a fraction between 0 and 1"),
        ("throttle_full", 0 <= options.throttle_full <= 1, "a fraction between 0 and 1"),
        ("hold_min", options.hold_min > 0, "a time above 0 s"),
        ("hold_average", options.hold_average > 0, "a time above 0 s"),
        ("despike_k", options.despike_k >= 0, "0 (off) or a positive number, usually 3 to 8"),
        (
            "despike_window",
            options.despike_window >= 3 and options.despike_window % 2 == 1,
            "an odd number from 3",
        ),
        ("bridge", options.bridge >= 0, "0 samples or more"),
        ("inertia", options.inertia is None or 0 <= options.inertia < 1000, "0 to 1000 kg m2"),
        ("inertia_window", options.inertia_window > 0, "a time above 0 s"),
        (
            "nominal_rate",
            options.nominal_rate is None or options.nominal_rate != 0,
            "a rate other than 0 rpm/s",
        ),
    )
    faults = [
        Fault("pull-option", name, f"{name} = {getattr(options, name)}", f"give {wanted}")
        for name, good, wanted in rules
        if not good
    ]
    if faults:
        raise ValueRefused(faults)
