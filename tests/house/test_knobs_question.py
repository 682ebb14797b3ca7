"""Every part of a declared question turns something: the verdict, or what is quoted beside it."""

from __future__ import annotations

from dataclasses import fields

import numpy as np
import pytest

from fairpull.compare import compare
from fairpull.show.comparison_text import comparison_text
from fairpull.terms.comparison import Question
from fairpull.terms.pull import Curve

RPM = np.arange(2000.0, 5001.0, 250.0)

KNOBS: dict[str, object] = {
    "text": "Does the header pay below 3,000 rpm?",
    "band": (2500.0, 4000.0),
    "smallest": 0.05,
    "expectation": "two per cent in the middle",
    "planned_pulls": 5,
    "declared": True,
}


def curves(build: str, gain: float) -> list[Curve]:
    rng = np.random.default_rng(len(build))
    torque = [300.0 * (1.0 + gain) * (1.0 + rng.normal(0.0, 0.003)) - 4e-6 * (RPM - 3500.0) ** 2 for _ in range(3)]
    error = np.full(RPM.size, 0.3)
    return [Curve(f"{build} {n}", RPM, one, error, {}, (2000.0, 5000.0)) for n, one in enumerate(torque)]


def shown(question: Question) -> str:
    order = ["log 0", "header 0", "log 1", "header 1", "log 2", "header 2"]
    groups = [("log", curves("log", 0.0)), ("header", curves("header", 0.01))]
    return comparison_text(compare(groups, question=question, order=order))


def test_every_part_has_its_case() -> None:
    assert set(KNOBS) == {field.name for field in fields(Question)}


@pytest.fixture(scope="module")
def default() -> str:
    return shown(Question())


@pytest.mark.parametrize("knob", sorted(KNOBS))
def test_a_knob_turns_something(knob: str, default: str) -> None:
    assert shown(Question(**{knob: KNOBS[knob]})) != default  # type: ignore[arg-type]


def test_the_same_question_gives_the_same_answer(default: str) -> None:
    assert shown(Question()) == default
