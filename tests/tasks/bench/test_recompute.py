"""Two stored numbers are held against each other."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from fairpull.book import Book
from fairpull.tasks.bench.recompute import check_pull, json_distance, relative
from fairpull.tasks.bench.take import take_files
from fairpull.terms.findings import Severity
from tests.tasks.bench.shop import sweep

NAN = math.nan


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    [
        ([1.0, 2.0], [1.0, 2.0], 0.0),
        ([0.0, 2.0], [0.0, 2.0], 0.0),
        ([1.0, NAN], [1.0, NAN], 0.0),
        ([1.0, 2.0], [1.0, 2.5], 0.2),
        ([1.0, 2.0], [1.0, -2.0], 2.0),
        ([0.0, 2.0], [1e-30, 2.0], 1.0),
        ([1.0, NAN], [1.0, 2.0], math.inf),
        ([], [], 0.0),
    ],
)
def test_relative_difference_of_arrays(one: list[float], other: list[float], expected: float) -> None:
    assert relative(np.array(one), np.array(other)) == pytest.approx(expected)
    assert relative(np.array(other), np.array(one)) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    [
        ({"a": [1.0, {"b": 4}]}, {"a": [1.0, {"b": 4}]}, 0.0),
        ({"a": [1.0, {"b": 4}]}, {"a": [1.0, {"b": 5}]}, 0.2),
        ({"a": 1.0}, {"b": 1.0}, math.inf),
        ([1.0], [1.0, 2.0], math.inf),
        ("differs", "cannot tell", math.inf),
        (True, False, math.inf),
        (None, 1.0, math.inf),
        (None, None, 0.0),
        (0, 0.0, 0.0),
    ],
)
def test_distance_of_documents(one: object, other: object, expected: float) -> None:
    assert json_distance(one, other) == pytest.approx(expected)
    assert json_distance(other, one) == pytest.approx(expected)


def test_a_pull_whose_original_is_gone_is_told(kept: Book, tmp_path: Path) -> None:
    (line,) = take_files(kept, [sweep(tmp_path / "first.csv")], "plain").kept
    assert check_pull(kept, line) == []
    kept.original(line.original).unlink()
    (finding,) = check_pull(kept, line)
    assert (finding.code, finding.severity) == ("pull-not-readable-again", Severity.FAULT)
    assert finding.where == "pull first"


def test_a_pull_that_was_read_otherwise_is_told(kept: Book, tmp_path: Path) -> None:
    from dataclasses import replace

    log = sweep(tmp_path / "first.csv", more={"probe": 90.0})
    (line,) = take_files(kept, [log], "plain").kept
    shifted = replace(line, reading={**line.reading, "clean": {"inertia": 0.2}})
    (finding,) = check_pull(kept, shifted)
    assert finding.code == "not-the-same-again"
    other = replace(line, reading={"read": {"columns": {"probe": "oil_temperature"}, "units": {"probe": "degC"}}})
    (finding,) = check_pull(kept, other)
    assert "oil_temperature" in finding.text
