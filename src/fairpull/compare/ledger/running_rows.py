"""Rows of how the pulls were run: order, days, sweep rate, range, calibration, zero."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np

from fairpull.compare.layout import NIGHT
from fairpull.compare.ledger import rules
from fairpull.compare.ledger.case import Case, channel_mean, estimate, numbers, said, tested_range, usable
from fairpull.terms.ledger import CONFOUNDER, EQUAL, UNKNOWN, LedgerRow, RunFacts

START_EQUAL = 200.0  # [rpm]
RANGE_EQUAL = 200.0  # [rpm]
ZERO_EQUAL = 0.68  # 0.5 lb-ft [N m]
RATE_EQUAL = 0.10  # of the reference's rate
INERTIA_EQUAL = 0.05  # of the reference's inertia
NOT_GIVEN_BACK = "none"


def order_row(case: Case) -> LedgerRow:
    """Running order: alternated, returned to, or one block after the other.

    Args:
        case: both builds, with the running numbers of their pulls.

    Returns:
        The row.

    Source: practice (A-B-A is the normal minimum).
    """
    name = "running order"
    one, two = np.asarray(case.reference.numbers), np.asarray(case.other.numbers)
    if not one.size or not two.size or not (np.isfinite(one).all() and np.isfinite(two).all()):
        return said(name, UNKNOWN, (UNKNOWN, UNKNOWN), "Nobody wrote down the running order.")
    blocks = running_blocks(one.tolist(), two.tolist())
    shown = tuple(", ".join(f"{number:g}" for number in sorted(values.tolist())) for values in (one, two))
    if len(blocks) > 2:
        word = "alternated" if len(blocks) > 3 else "returned to"
        text = f"{'-'.join(blocks)}: {word}, so drift can be told from the change."
        return said(name, EQUAL, shown, text)
    text = f"{'-'.join(blocks)}: one after the other without a return, so drift looks like the change."
    if _share_day(case) is False:
        return said(name, CONFOUNDER, shown, text, "counted under day")
    rule = "slow drift of 0.3 to 1.5 % over a day, by the time between the two [practice]"
    return said(name, CONFOUNDER, shown, text, rule, estimate(rules.order_effect(_gap(case)), rule))


def running_blocks(reference: list[float], other: list[float]) -> list[str]:
    """Blocks of running: "A" for the reference, "B" for the other.

    Args:
        reference: running numbers, any unit that rises.
        other: the same.

    Returns:
        Letters, neighbours unlike.

    Source: definition.
    """
    every = sorted([(number, "A") for number in reference] + [(number, "B") for number in other])
    blocks: list[str] = []
    for _, letter in every:
        if not blocks or blocks[-1] != letter:
            blocks.append(letter)
    return blocks


def _started(facts: RunFacts) -> list[float]:
    return [pull.started_at for pull in facts.pulls if pull.started_at is not None]


def _gap(case: Case) -> float | None:
    """Hours between the middles of the two builds' pulls."""
    one, two = _started(case.reference), _started(case.other)
    if len(one) < len(case.reference.pulls) or len(two) < len(case.other.pulls) or not one or not two:
        return None
    return (float(np.mean(two)) - float(np.mean(one))) / 3600.0


def day_row(case: Case) -> LedgerRow:
    """Day and session.

    Args:
        case: both builds.

    Returns:
        The row.

    Source: practice (1 to 1.5 % from day to day); iso5725 (between-day variation is not seen within a day).
    """
    name = "day"
    shown = [_when(facts) for facts in (case.reference, case.other)]
    shared = _share_day(case)
    if shared is None:
        text = "No clock and no session say whether they ran on one day."
        return said(name, UNKNOWN, shown, text)
    if shared:
        return said(name, EQUAL, shown, "Both ran on one day.")
    rule = "1 to 1.5 % from day to day on a good brake [practice]"
    text = "They never ran on the same day, so the day may be the difference; more pulls today cannot tell."
    return said(name, CONFOUNDER, shown, text, rule, estimate(rules.day_effect(), rule))


def _when(facts: RunFacts) -> str:
    """Days by the clock, else sessions by name."""
    started = sorted(_started(facts))
    days = [datetime.fromtimestamp(one, UTC).strftime("%Y-%m-%d") for one in started]
    named = days or [name for name in facts.session if name]
    return ", ".join(dict.fromkeys(named)) or UNKNOWN


def _share_day(case: Case) -> bool | None:
    one, two = _started(case.reference), _started(case.other)
    if one and two:
        clock = np.sort(np.array(one + two))
        days = np.concatenate([[0], np.cumsum(np.diff(clock) > NIGHT)])
        mine, theirs = ({int(days[np.searchsorted(clock, t)]) for t in times} for times in (one, two))
        return bool(mine & theirs)
    sessions = [{name for name in facts.session if name} for facts in (case.reference, case.other)]
    return bool(sessions[0] & sessions[1]) if all(sessions) else None


def sweep_row(case: Case) -> LedgerRow:
    """Sweep rate, with the torque that rotating parts hid.

    Args:
        case: both builds.

    Returns:
        The row.

    Source: definition, I dw/dt; practice (two pulls compare only at one rate with the same rotating parts).
    """
    rates = [_mean([pull.sweep_rate for pull in facts.pulls]) for facts in (case.reference, case.other)]
    values = (rates[0], rates[1])
    given_back = [_given_back(facts) for facts in (case.reference, case.other)]
    inertia = [_inertia(facts) for facts in (case.reference, case.other)]
    hidden = [rules.hidden_torque(one, abs(rate)) if one is not None else None
              for one, rate in zip(inertia, rates, strict=True)]  # fmt: skip
    left = [0.0 if back else torque for back, torque in zip(given_back, hidden, strict=True)]
    reach: rules.Reach
    if all(given_back):
        rule = "inertia given back in both; a tenth of the hidden torque is left open [practice]"
        known = [torque if torque is not None else rules.hidden_torque(0.25, rate)
                 for torque, rate in zip(hidden, rates, strict=True)]  # fmt: skip
        reach = rules.corrected_rate_effect(known[0], known[1], case.torque)
    elif left[0] is not None and left[1] is not None:
        rule = "hidden torque I dw/dt that was not given back [practice]"
        reach = rules.hidden_torque_effect(left[0], left[1], case.torque)
    else:
        rule = "hidden torque I dw/dt with 0.15 to 0.4 kg m2, inertia unknown [practice]"
        reach = rules.unknown_inertia_effect(rates[0], rates[1], case.torque)
    tolerance = RATE_EQUAL * abs(rates[0])
    text = "Sweep rates differ: the faster sweep hides more torque in the rotating parts."
    if given_back[0] != given_back[1]:
        tolerance = -1.0
        text = "One was corrected for the inertia of the rotating parts and the other was not."
    elif not all(given_back) and _unlike(inertia):
        tolerance = -1.0
        text = "Rotating parts differ: the heavier hide more torque while they are sped up."
    return numbers("sweep rate", "sweep_rate", values, tolerance, reach, rule, (text, "No sweep rate for both."))


def _unlike(inertia: list[float | None]) -> bool:
    one, two = inertia
    return one is not None and two is not None and abs(two - one) > INERTIA_EQUAL * one


def _mean(values: list[float]) -> float:
    return float(np.mean(values)) if values else float("nan")


def _given_back(facts: RunFacts) -> bool:
    """Was inertia corrected in every pull? Held steps have none to correct."""
    return bool(facts.pulls) and all(
        pull.kind == "steps" or not pull.choices.get("inertia", NOT_GIVEN_BACK).startswith(NOT_GIVEN_BACK)
        for pull in facts.pulls
    )


def _inertia(facts: RunFacts) -> float | None:
    return facts.build.engine.inertia if facts.build is not None else None


def range_rows(case: Case) -> list[LedgerRow]:
    """Where the pulls start and what range they test.

    Args:
        case: both builds.

    Returns:
        Two rows.

    Source: practice (same start; compare only on the overlap).
    """
    starts = (_start(case.reference), _start(case.other))
    start = numbers(
        "start speed",
        "speed",
        starts,
        START_EQUAL,
        None,
        "",
        ("Pulls start at unlike speeds, so heat and mixture settle at unlike places.", "No speed at the start."),
    )
    one, two = tested_range(case.reference), tested_range(case.other)
    if not np.isfinite([*one, *two]).all():
        return [start, said("tested range", UNKNOWN, (UNKNOWN, UNKNOWN), "No range is known.")]
    shown = tuple(f"{low:,.0f} to {high:,.0f} rpm" for low, high in (one, two))
    if max(abs(two[0] - one[0]), abs(two[1] - one[1])) <= RANGE_EQUAL:
        return [start, said("tested range", EQUAL, shown, "Tested over the same range.")]
    text = "Ranges differ: compared only where both were tested; beyond that nothing is known of one of them."
    return [start, said("tested range", CONFOUNDER, shown, text)]


def _start(facts: RunFacts) -> float:
    rows = [pull.channels["rpm"][usable(pull)] for pull in facts.pulls]
    return _mean([float(rpm.min()) for rpm in rows if rpm.size])


def brake_rows(case: Case) -> list[LedgerRow]:
    """Calibration of the brake and, where somebody looked, its zero.

    Args:
        case: both builds.

    Returns:
        One or two rows.

    Source: practice (span within 1 %; a zero that moved by more than 0.5 lb-ft voids a pull).
    """
    rows = [_calibration(case)]
    if case.reference.zeros or case.other.zeros:
        values = (_zero(case.reference), _zero(case.other))
        reach = rules.zero_effect(values[0], values[1], case.torque)
        rule = "a moved zero is a constant torque at every speed [definition]"
        texts = ("The brake's zero moved between the two.", "The brake's zero was looked at for one of them only.")
        rows.append(numbers("brake zero", "torque", values, ZERO_EQUAL, reach, rule, texts))
    return rows


def _zero(facts: RunFacts) -> float:
    known = [zero for zero in facts.zeros if np.isfinite(zero)]
    return _mean(known)


def _calibration(case: Case) -> LedgerRow:
    sets = [{name for name in facts.calibrations if name} for facts in (case.reference, case.other)]
    shown = tuple("; ".join(sorted(one)) or UNKNOWN for one in sets)
    if not all(sets):
        text = "No calibration is named for both: nobody knows that the brake read the same."
        return said("calibration", UNKNOWN, shown, text)
    if sets[0] == sets[1]:
        return said("calibration", EQUAL, shown, "The same calibration.")
    rule = "span repeats within 1 % [practice]"
    text = "The brake was calibrated anew between the two."
    return said("calibration", CONFOUNDER, shown, text, rule, estimate(rules.calibration_effect(), rule))


def throttle_row(case: Case) -> LedgerRow:
    """Throttle opening.

    Args:
        case: both builds.

    Returns:
        The row.

    Source: practice (throttle below 98 % voids a pull).
    """
    values = tuple(channel_mean(facts, ("throttle",), case.band) for facts in (case.reference, case.other))
    texts = ("Throttle was not equally open.", "No throttle in both.")
    return numbers("throttle", "throttle", (values[0], values[1]), 0.02, None, "", texts)
