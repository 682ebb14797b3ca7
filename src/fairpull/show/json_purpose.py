"""Purpose scores and past work as JSON: SI, every number with its unit."""

from __future__ import annotations

from fairpull.show import json_parts as parts
from fairpull.show.json_parts import Json
from fairpull.terms.purpose import Score, Scores
from fairpull.terms.tuning import PastWork

PURPOSE_SCHEMA = "fairpull/purpose"
PAST_SCHEMA = "fairpull/past"
SCHEMA_VERSION = 1


def _score(one: Score) -> Json:
    return {
        "build": one.build,
        "ranked": one.ranked,
        "value": parts.estimate(one.value),
        "parts": {name: parts.estimate(part) for name, part in one.parts.items()},
        "struck": list(one.struck),
        "not_known": list(one.not_known),
        "untested": list(one.untested),
    }


def scores_to_json(scores: Scores) -> Json:
    """Scores as a document.

    Args:
        scores: of builds on a duty.

    Returns:
        JSON values.
    """
    duty = scores.duty
    return {
        "schema": PURPOSE_SCHEMA,
        "schema_version": SCHEMA_VERSION,
        "duty": {"name": duty.name, "text": duty.text, "kind": duty.kind, "air": parts.air(duty.air)},
        "smallest": parts.number(duty.smallest, "1"),
        "source": duty.source,
        "sentence": scores.sentence,
        "scores": [_score(one) for one in scores.scores],
        "ties": [list(tie) for tie in scores.ties],
        "choices": parts.texts(scores.choices),
        "findings": parts.findings(scores.findings),
    }


def past_to_json(past: PastWork) -> Json:
    """Past work as a document.

    Args:
        past: of one kind of change.

    Returns:
        JSON values.
    """
    return {
        "schema": PAST_SCHEMA,
        "schema_version": SCHEMA_VERSION,
        "kind": past.kind,
        "unit": past.unit,
        "effects": [
            {
                "name": one.name,
                "size": parts.bare(one.size),
                "standard_error": parts.bare(one.standard_error),
                "low": parts.bare(one.low),
                "high": parts.bare(one.high),
                "text": one.text,
                "pulls": list(one.pulls),
            }
            for one in past.effects
        ],
        "mean": None if past.mean is None else parts.estimate(past.mean),
        "expected": None if past.expected is None else parts.estimate(past.expected),
        "between": parts.bare(past.between),
        "heterogeneity": parts.bare(past.heterogeneity),
        "sentence": past.sentence,
        "findings": parts.findings(past.findings),
    }
