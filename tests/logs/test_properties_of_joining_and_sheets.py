"""Property tests: any two looks at one speed align; any table comes back from any corner of a sheet."""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from fairpull.logs.align import align, clean_trace
from fairpull.logs.formats import workbook
from fairpull.logs.options import ReadOptions
from fairpull.terms.arrays import FloatArray

FEW = settings(max_examples=25, deadline=None, derandomize=True)


def speed(at: FloatArray, seed: int) -> FloatArray:
    """An irregular run: a new level every 2 s, straight in between."""
    levels = np.random.default_rng(seed).uniform(1200.0, 6000.0, 20)
    return np.asarray(np.interp(at, np.arange(20) * 2.0, levels), dtype=np.float64)


@FEW
@given(
    seed=st.integers(0, 10_000),
    lag=st.floats(-5.0, 5.0),
    drift=st.floats(-2e-3, 2e-3),
    rate=st.sampled_from([8.0, 25.0, 200.0]),
)
def test_any_lag_and_drift_are_found_again(seed: int, lag: float, drift: float, rate: float) -> None:
    rng = np.random.default_rng(seed)
    first, second = np.arange(8.0, 28.0, 0.01), np.arange(0.0, 20.0, 1.0 / rate)
    reference = clean_trace(first, speed(first, seed) + rng.normal(0.0, 3.0, first.size))
    other = clean_trace(second, speed(8.0 + lag + second * (1.0 + drift), seed) + rng.normal(0.0, 8.0, second.size))
    best = align(reference, other, least_overlap=10.0)[0]
    wrong = best.to_reference(second) - (lag + second * (1.0 + drift))
    assert np.max(np.abs(wrong)) < 0.02
    assert best.misfit < 15.0


@FEW
@given(seed=st.integers(0, 10_000))
def test_a_log_aligns_with_itself_without_lag(seed: int) -> None:
    time = np.arange(0.0, 20.0, 0.02)
    trace = clean_trace(time, speed(time, seed))
    best = align(trace, trace, least_overlap=10.0)[0]
    assert abs(best.lag) < 1e-6
    assert abs(best.drift) < 1e-6
    assert best.misfit < 1e-3


@FEW
@given(
    down=st.integers(0, 30),
    right=st.integers(0, 12),
    rows=st.lists(
        st.tuples(st.floats(500.0, 9000.0), st.floats(-50.0, 900.0), st.floats(-1e6, 1e6)), min_size=3, max_size=25
    ),
)
def test_any_table_comes_back_from_any_corner(down: int, right: int, rows: list[tuple[float, float, float]]) -> None:
    import openpyxl

    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    cells: list[tuple[object, ...]] = [("Speed", "Torque", "own channel"), ("rpm", "N m", ""), *rows]
    for at, row in enumerate(cells, 1 + down):
        for across, cell in enumerate(row, 1 + right):
            sheet.cell(at, across, cell)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.xlsx"
        book.save(path)
        found = workbook.load(path, ReadOptions())
    assert found.columns == ("Speed", "Torque", "own channel")
    for place, name in enumerate(found.columns):
        expected = np.array([row[place] for row in rows])
        assert np.allclose(found.values[name], expected, rtol=1e-14, atol=1e-300)
