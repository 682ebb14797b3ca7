"""The ledger of two builds: everything that differs besides what is under test."""

from __future__ import annotations

from collections.abc import Sequence

from fairpull.compare.ledger.air_rows import air_rows
from fairpull.compare.ledger.case import case_of
from fairpull.compare.ledger.findings import ledger_findings, sorted_rows, summary_of, together
from fairpull.compare.ledger.running_rows import brake_rows, day_row, order_row, range_rows, sweep_row, throttle_row
from fairpull.compare.ledger.sheet_rows import accessories_row, change_rows, fuel_row, gear_row, hours_row
from fairpull.compare.ledger.state_rows import boost_row, temperature_rows, tune_rows
from fairpull.terms.build import Change
from fairpull.terms.comparison import Comparison
from fairpull.terms.ledger import Ledger, RunFacts


def make_ledger(
    reference: RunFacts,
    other: RunFacts,
    comparison: Comparison | None = None,
    *,
    changes: Sequence[Change] | None = None,
) -> Ledger:
    """List what differs between two builds' pulls, and name what is under test.

    What the sheets say differs is under test; everything else that differs beyond its tolerance is a confounder, with
    the likely size on torque where a rule or a sensitivity is known.

    Args:
        reference: circumstances of the reference.
        other: circumstances of the other build.
        comparison: the plain comparison: its band, its correction and its difference are used; None: the common range
            of the pulls, corrected where the factors say so.
        changes: what differs in the sheets; None: as ``engine.build_changes`` finds it.

    Returns:
        The ledger.

    Source: practice (change one thing, hold the rest; what is not on the list is assumed to have moved).
    """
    case = case_of(reference, other, comparison, _changes(reference, other, changes))
    drafted = [
        *change_rows(case),
        fuel_row(case),
        boost_row(case),
        *air_rows(case),
        *temperature_rows(case),
        *tune_rows(case),
        gear_row(case),
        hours_row(case),
        order_row(case),
        day_row(case),
        sweep_row(case),
        *range_rows(case),
        throttle_row(case),
        accessories_row(case),
        *brake_rows(case),
    ]
    rows = sorted_rows([row for row in drafted if row is not None])
    return Ledger(
        case.names[0],
        case.names[1],
        case.changes,
        rows,
        summary_of(case, rows),
        ledger_findings(case, rows),
        together(rows),
    )


def _changes(reference: RunFacts, other: RunFacts, given: Sequence[Change] | None) -> tuple[Change, ...]:
    if given is not None:
        return tuple(given)
    if reference.build is None or other.build is None:
        return ()
    from fairpull import engine  # reading sheets is heavy: only when two of them are to be compared

    return engine.build_changes(reference.build, other.build)
