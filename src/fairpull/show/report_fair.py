"""What a comparison from the book adds to the report: the ledger under the verdict, fair views below the difference."""

from __future__ import annotations

from fairpull.show import fairness_text, ledger_text, report_tables
from fairpull.show.facts.past_page import past_sentence
from fairpull.show.report_tables import text
from fairpull.terms.ledger import EQUAL, UNKNOWN, FairComparison, Ledger


def opening(made: FairComparison | None) -> str:
    """What is under test and how much else differs, before the verdict.

    Args:
        made: the comparison with its ledgers; None where it came from files.

    Returns:
        HTML; empty without ledgers.
    """
    if made is None or not made.ledgers:
        return ""
    said = "".join(f'<p class="said">{text(ledger.summary)}</p>' for ledger in made.ledgers)
    return f'<section aria-label="What differs, in short">{said}</section>'


def ledgers(made: FairComparison | None, system: str) -> str:
    """A section for each ledger: what is under test, what else differs, what was held, what nobody knows.

    Args:
        made: the comparison with its ledgers; None where it came from files.
        system: "us" or "metric".

    Returns:
        HTML; empty without ledgers.
    """
    if made is None:
        return ""
    return "".join(_ledger(made, ledger, place, system) for place, ledger in enumerate(made.ledgers))


def _ledger(made: FairComparison, ledger: Ledger, place: int, system: str) -> str:
    key = "ledger" if place == 0 else f"ledger-{place + 1}"
    named = {role: ", ".join(row.name for row in ledger.rows if row.role == role) for role in (EQUAL, UNKNOWN)}
    notes = [f"Held: {named[EQUAL]}."] if named[EQUAL] else []
    notes += [f"Not known: {named[UNKNOWN]}."] if named[UNKNOWN] else []
    before = made.past.get(ledger.other)
    notes += [f"{ledger_text.BEFORE}{past_sentence(before, system)}"] if before is not None else []
    said = "".join(f'<p class="note">{text(one)}</p>' for one in notes)
    table = report_tables.table(ledger_text.differing(ledger, system), key=key, level=2)
    return f'<section aria-label="What differs">{table}{said}</section>'


def looks(made: FairComparison | None, system: str) -> str:
    """A section for each fair view and each boost table, its assumption under it, the plain view beside.

    Args:
        made: the comparison with its views; None where it came from files.
        system: "us" or "metric".

    Returns:
        HTML; empty without views.
    """
    if made is None:
        return ""
    reference = made.comparison.groups[0].name
    parts = []
    for other, views in made.looks.items():
        for place, look in enumerate(views):
            key = f"fair-{place + 1}-{other}"
            table = report_tables.table(
                fairness_text.look_table(look, (reference, other), system), key=text(key), level=2
            )
            parts.append(
                f'<section><p class="said">{text(look.sentence)}</p>{table}'
                f'<p class="note">{text(look.assumption)}</p></section>'
            )
    for place, facts in enumerate(made.boost):
        table = report_tables.table(fairness_text.boost_table(facts, system), key=f"boost-{place + 1}", level=2)
        parts.append(f'<section><p class="said">{text(facts.text)}</p>{table}</section>')
    return "".join(parts)
