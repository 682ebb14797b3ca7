"""A comparison of builds from the book as JSON: the comparison, its ledgers, its fair views."""

from __future__ import annotations

from fairpull.show import json_parts as parts
from fairpull.show.json_parts import Json
from fairpull.show.json_purpose import past_to_json
from fairpull.show.jsonface import comparison_to_json
from fairpull.terms.ledger import BoostFacts, FairComparison, FairLook, Ledger, LedgerRow
from fairpull.terms.units import house_unit_of


def _values(row: LedgerRow) -> Json | None:
    """Both values of a row as numbers, where it is two numbers."""
    if row.values is None:
        return None
    reference, other = row.values
    unit = house_unit_of(row.quantity)
    return {"reference": parts.bare(reference), "other": parts.bare(other), "unit": unit}


def _ledger(ledger: Ledger) -> Json:
    return {
        "reference": ledger.reference,
        "other": ledger.other,
        "summary": ledger.summary,
        "changes": [
            {"kind": one.kind, "before": one.before, "after": one.after, "details": list(one.details)}
            for one in ledger.changes
        ],
        "rows": [
            {
                "name": row.name,
                "role": row.role,
                "reference": row.reference,
                "other": row.other,
                "effect": None if row.effect is None else parts.estimate(row.effect),
                "rule": row.rule,
                "values": _values(row),
                "text": row.text,
            }
            for row in ledger.rows
        ],
        "together": None if ledger.together is None else parts.estimate(ledger.together),
        "findings": parts.findings(ledger.findings),
    }


def _look(look: FairLook) -> Json:
    return {
        "name": look.name,
        "assumption": look.assumption,
        "axis": look.axis,
        "quantity": look.quantity,
        "x": parts.numbers(look.x),
        "reference": parts.array(look.reference, look.unit),
        "other": parts.array(look.other, look.unit),
        "ratio": parts.band(look.ratio, look.ratio_low, look.ratio_high, "1"),
        "plain_ratio": parts.array(look.plain, "1"),
        "mean": None if look.mean is None else parts.estimate(look.mean),
        "held": None if look.held is None else parts.estimate(look.held),
        "band": look.band,
        "sentence": look.sentence,
        "source": look.source,
    }


def _boost(facts: BoostFacts) -> Json:
    return {
        "boosted": facts.boosted,
        "natural": facts.natural,
        "rpm": parts.array(facts.rpm, "rpm"),
        "pressure_ratio": parts.array(facts.pressure_ratio, "1"),
        "density_ratio": parts.array(facts.density_ratio, "1"),
        "gain": parts.array(facts.gain, "1"),
        "gain_per_pressure": parts.array(facts.per_pressure, "1/Pa"),
        "of_simple_estimate": parts.array(facts.of_simple, "1"),
        "boost": parts.array(facts.boost, "Pa"),
        "gain_band": {"low": parts.numbers(facts.gain_low), "high": parts.numbers(facts.gain_high), "how": facts.band},
        "gain_per_pressure_band": {
            "low": parts.numbers(facts.per_pressure_low),
            "high": parts.numbers(facts.per_pressure_high),
        },
        "expected_of_simple_estimate": facts.expected_simple,
        "expected_gain_per_pressure": facts.expected_per_pressure,
        "text": facts.text,
        "findings": parts.findings(facts.findings),
    }


def fair_to_json(made: FairComparison, system: str = "us") -> Json:
    """A comparison of builds as a document: that of ``comparison_to_json`` with three more members.

    Args:
        made: the result.
        system: shown units of the other faces.

    Returns:
        JSON values.
    """
    comparison = comparison_to_json(made.comparison, system)
    head: Json = {name: comparison.pop(name) for name in ("schema", "schema_version") if name in comparison}
    return {
        **head,
        "ledgers": [_ledger(ledger) for ledger in made.ledgers],
        **comparison,
        "fair_looks": {name: [_look(look) for look in looks] for name, looks in made.looks.items()},
        "boost": [_boost(facts) for facts in made.boost],
        "past": {name: past_to_json(past) for name, past in made.past.items()},
        "fair_findings": parts.findings(made.findings),
    }


def fair_json_text(made: FairComparison, system: str = "us") -> str:
    """The document as one line of strict JSON."""
    return parts.dumps(fair_to_json(made, system))
