"""What the numbers of a check sheet say; limits are the trade's (common practice), examples worked by hand."""

from __future__ import annotations

import numpy as np
import pytest

from fairpull.health import measured
from fairpull.terms.findings import Severity

PSI = 6894.757293168361
LB_FT = 1.3558179483314004
LBF = 4.4482216152605


def psi(*values: float) -> np.ndarray:
    return np.array(values) * PSI


@pytest.mark.parametrize(
    ("cylinders", "expected"),
    [
        ((165, 165, 165, 165), []),
        ((165, 150, 149, 165), []),  # 9.7 % below
        ((165, 148, 165, 165), [("x, cylinder 2", Severity.WARNING)]),  # 10.3 % below
        ((165, 124, 165, 148), [("x, cylinder 2", Severity.WARNING), ("x, cylinder 4", Severity.WARNING)]),
        ((165, 123, 165, 165), [("x, cylinder 2", Severity.FAULT)]),  # below three quarters
        ((0, 165), [("x, cylinder 1", Severity.FAULT)]),
    ],
)
def test_compression_is_held_against_the_highest_cylinder(
    cylinders: tuple[float, ...], expected: list[tuple[str, Severity]]
) -> None:
    """165 psi less a tenth is 148.5, three quarters of it 123.75."""
    found = [(finding.where, finding.severity) for finding in measured.compression(psi(*cylinders), "x")]
    assert found == expected


def test_compression_is_told_in_psi_and_as_a_share() -> None:
    (finding,) = measured.compression(psi(165, 132), "x")
    assert finding.text == "132 psi, 20% below the highest cylinder."
    assert finding.code == "compression-low"


@pytest.mark.parametrize(
    ("leak", "severity", "word"),
    [
        (0.10, None, ""),
        (0.11, Severity.NOTE, "usable, not top"),
        (0.20, Severity.NOTE, "usable, not top"),
        (0.21, Severity.WARNING, "poor"),
        (0.30, Severity.WARNING, "poor"),
        (0.31, Severity.FAULT, "bad"),
    ],
)
def test_leakdown_by_grades(leak: float, severity: Severity | None, word: str) -> None:
    found = measured.leakdown(np.array([leak, leak]), "x")
    assert [finding.severity for finding in found] == ([] if severity is None else [severity] * 2)
    assert all(word in finding.text for finding in found)


def test_uneven_leakdown_is_told_beyond_four_points() -> None:
    assert measured.leakdown(np.array([0.02, 0.06]), "x") == ()
    (finding,) = measured.leakdown(np.array([0.02, 0.07]), "x")
    assert (finding.code, finding.severity) == ("leakdown-uneven", Severity.NOTE)
    assert "5 points" in finding.text


@pytest.mark.parametrize(("off", "told"), [(0.04, False), (0.06, True), (-0.06, True)])
def test_lash_is_told_beyond_a_twentieth_of_a_millimetre(off: float, told: bool) -> None:
    wanted = np.full(3, 0.40e-3)
    found = measured.lash(wanted + np.array([0.0, off * 1e-3, 0.0]), wanted, "x")
    assert bool(found) is told
    if told:
        assert "1 valves are off, valve 2" in found[0].text
        assert f"{off:+.2f} mm" in found[0].text


@pytest.mark.parametrize(
    ("load", "severity"), [(112, None), (107, None), (106, Severity.WARNING), (101, Severity.WARNING),
                           (100.5, Severity.FAULT)]
)  # fmt: skip
def test_springs_are_held_against_their_load_when_new(load: float, severity: Severity | None) -> None:
    """112 lbf less 5 % is 106.4, less 10 % is 100.8."""
    found = measured.springs(np.array([112.0, load]) * LBF, np.full(2, 112.0) * LBF, "x")
    assert [finding.severity for finding in found] == ([] if severity is None else [severity])
    if severity is not None:
        assert "spring 2" in found[0].text


@pytest.mark.parametrize(
    ("shift", "scale", "told"),
    [
        (0.4, 500.0, False),
        (0.6, 500.0, True),  # half a lb-ft is the larger of the two limits
        (-0.6, 500.0, True),
        (0.9, 1000.0, False),  # a thousandth of full scale
        (1.1, 1000.0, True),
    ],
)
def test_a_zero_that_moved_is_told(shift: float, scale: float, told: bool) -> None:
    hung = np.array([0.0, 100.0, 200.0]) * LB_FT
    found = measured.dead_weights(hung + shift * LB_FT, hung, "x", full_scale=scale * LB_FT)
    assert bool(found) is told
    if told:
        assert found[0].severity == Severity.FAULT
        assert ("too much" if shift > 0 else "too little") in found[0].text
        assert f"{abs(shift):.1f} lb-ft" in found[0].text


def test_without_full_scale_the_largest_weight_stands_for_it() -> None:
    """A thousandth of 800 lb-ft is 0.8."""
    hung = np.array([0.0, 400.0, 800.0]) * LB_FT
    assert measured.dead_weights(hung + 0.7 * LB_FT, hung, "x") == ()
    assert measured.dead_weights(hung + 0.7 * LB_FT, hung[:2].repeat([2, 1]), "x") != ()


def test_one_bad_reading_is_no_moved_zero() -> None:
    hung = np.array([0.0, 50.0, 100.0, 150.0, 200.0]) * LB_FT
    off = np.array([0.1, 0.0, 9.0, 0.1, 0.0]) * LB_FT
    assert measured.dead_weights(hung + off, hung, "x", full_scale=500.0 * LB_FT) == ()
