"""The parts of compare, each against what is known about it."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from fairpull.compare import DEFAULT_PRIOR, compare
from fairpull.compare.bands import Band, simultaneous, spans
from fairpull.compare.layout import lay_out
from fairpull.compare.odd import odd_pulls
from fairpull.compare.posterior import build_frame, stratified, weigh
from fairpull.compare.power import student_ratio
from fairpull.compare.shapes import candidate_shapes, correlations, drift_over_time, matern32, squared_exponential
from fairpull.compare.spending import level_at
from fairpull.compare.summaries import crossovers, peak, power_of
from fairpull.compare.verdict import kind_of
from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import CANNOT_TELL, DIFFERS, NO_DIFFERENCE, Span
from tests.compare.days import RPM, alternating, base, pull

EVERYWHERE = np.ones(3, dtype=np.bool_)


def band(low: list[float], high: list[float]) -> Band:
    bottom, top = np.array(low), np.array(high)
    middle = (bottom + top) / 2.0
    return Band(middle, (top - bottom) / 4.0, 2.0, bottom, top, bottom, top)


@pytest.mark.parametrize(
    ("low", "high", "kind"),
    [
        ([0.001, -0.01, -0.01], [0.02, 0.01, 0.01], DIFFERS),
        ([-0.02, -0.01, -0.01], [-0.001, 0.01, 0.01], DIFFERS),
        ([-0.009, -0.009, -0.009], [0.009, 0.009, 0.009], NO_DIFFERENCE),
        ([-0.009, -0.011, -0.009], [0.009, 0.009, 0.009], CANNOT_TELL),
        ([-0.009, -0.009, -0.009], [0.009, 0.011, 0.009], CANNOT_TELL),
    ],
)
def test_three_verdicts_follow_from_the_band_alone(low: list[float], high: list[float], kind: str) -> None:
    assert kind_of(band(low, high), EVERYWHERE, 0.01) == kind


def test_spans_join_neighbours_of_one_sign_only() -> None:
    found = spans(np.array([1.0, 2.0, 3.0, 4.0]), band([0.1, 0.1, -0.1, -0.2], [0.2, 0.2, 0.1, -0.1]), np.ones(4, bool))
    assert found == (Span(1.0, 2.0, 1), Span(4.0, 4.0, -1))


def test_simultaneous_band_holds_all_nodes_at_once() -> None:
    draws = np.random.default_rng(1).standard_normal((20000, 1, 10))
    [laid] = simultaneous(draws, np.ones(10, bool), 0.05)
    # ten independent normals: 95 % of maxima lie below the (0.95^(1/10) + 1) / 2 point of the normal
    assert laid.reach == pytest.approx(stats.norm.ppf((0.95**0.1 + 1.0) / 2.0), rel=0.02)
    assert laid.point_high[0] == pytest.approx(1.96, rel=0.05)


def test_two_comparisons_share_one_allowance() -> None:
    draws = np.random.default_rng(2).standard_normal((20000, 2, 5))
    [first, second] = simultaneous(draws, np.ones(5, bool), 0.05)
    [alone] = simultaneous(draws[:, :1], np.ones(5, bool), 0.05)
    assert first.reach == second.reach > alone.reach


@pytest.mark.parametrize("dof", [2, 3, 5, 10, 30, 200])
def test_student_ratio_against_scipy(dof: int) -> None:
    exact = stats.t.ppf(0.975, dof) / stats.norm.ppf(0.975)
    assert student_ratio(dof) == pytest.approx(exact, rel={2: 0.035, 3: 0.01}.get(dof, 0.003))


def test_planned_looks_spend_exactly_the_allowance() -> None:
    for planned in (1, 2, 5, 12):
        assert sum(level_at(k, planned) for k in range(1, planned + 1)) == pytest.approx(0.05, rel=1e-12)


def test_open_ended_looks_never_spend_more_than_the_allowance() -> None:
    assert sum(level_at(k, None) for k in range(1, 5000)) < 0.05
    assert level_at(1, None) == 0.025


def test_first_of_two_looks_by_the_published_function() -> None:
    # Pocock-type: alpha ln(1 + (e - 1) t) at t = 1/2; Lan and DeMets (1983), formula from memory
    assert level_at(1, 2) == pytest.approx(0.05 * math.log(1.0 + (math.e - 1.0) / 2.0))


def test_correlations_have_mean_diagonal_one_and_are_proper() -> None:
    shapes = candidate_shapes(DEFAULT_PRIOR)
    matrices = correlations(RPM, base(RPM), shapes)
    assert np.trace(matrices, axis1=1, axis2=2) == pytest.approx(np.full(len(shapes), len(RPM)), rel=1e-6)
    assert np.linalg.eigvalsh(matrices).min() > 0.0


def test_kernels_at_zero_and_far_away() -> None:
    for kernel in (matern32, squared_exponential):
        matrix = kernel(np.array([0.0, 1e6]), 500.0)
        assert matrix == pytest.approx(np.eye(2), abs=1e-12)


def test_matern_hand_value() -> None:
    # r = l: (1 + sqrt 3) exp(-sqrt 3) = 0.48335...
    assert matern32(np.array([0.0, 500.0]), 500.0)[0, 1] == pytest.approx((1 + 3**0.5) * math.exp(-(3**0.5)))


def test_drift_is_one_unit_after_one_hour_and_days_start_afresh() -> None:
    hours, day = np.array([0.0, 1.0, 24.0, 25.0]), np.array([0, 0, 1, 1])
    matrix = drift_over_time(hours, day)
    assert matrix[1, 1] == pytest.approx(1.0)
    assert matrix[3, 3] == pytest.approx(1.0)
    assert matrix[1, 3] == 0.0
    assert np.linalg.eigvalsh(matrix).min() > -1e-12


def test_evidence_against_a_direct_calculation() -> None:
    """The decomposed likelihood equals the multivariate normal one, written out in full for every candidate."""
    layout = lay_out(alternating(2, None, seed=8))
    prior = DEFAULT_PRIOR
    frame = build_frame(layout, layout.log_torque, prior)
    pick = np.unique(np.linspace(0, len(RPM) - 1, frame.nodes).round().astype(int))
    data = layout.log_torque[:, pick]
    design = layout.design()
    contrasts = np.linalg.qr(design, mode="complete")[0][:, 2:]
    factors = np.stack([np.ones(len(pick)), prior.slope_share * (2 * RPM[pick] - 6400.0) / 2800.0], axis=1)
    which, scatter = [0, 11, 23], 0.004
    full, split = [], []
    for p in which:
        shape = correlations(RPM[pick], np.exp(data.mean(axis=0)), (frame.shapes[p],))[0]
        for d in range(0, len(frame.time), 7):
            drift = contrasts.T @ frame.time[d] @ contrasts
            covariance = np.kron(np.eye(2), scatter**2 * shape) + np.kron(drift, factors @ factors.T)
            seen = (contrasts.T @ data).ravel()
            full.append(stats.multivariate_normal.logpdf(seen, cov=covariance, allow_singular=True))
            split.append(_split_likelihood(frame, p, d, scatter, contrasts))
    assert np.array(split) - split[0] == pytest.approx(np.array(full) - full[0], abs=1e-3)


def _split_likelihood(frame: object, p: int, d: int, scatter: float, contrasts: FloatArray) -> float:
    from fairpull.compare.posterior import _drift_axes_likelihood

    repeats = contrasts.shape[1]
    sigma = np.full((len(frame.shapes), 1), scatter)  # type: ignore[attr-defined]
    axes = _drift_axes_likelihood(frame, sigma)[p, d, 0]  # type: ignore[arg-type]
    rest = -repeats * (frame.nodes - 2) * math.log(scatter) - frame.rest[p] / (2 * scatter**2)  # type: ignore[attr-defined]
    return float(axes + rest - 0.5 * repeats * frame.log_det[p])  # type: ignore[attr-defined]


def test_many_repeats_find_the_scatter() -> None:
    layout = lay_out(alternating(12, None, scatter=0.006, seed=11))
    cells = weigh(build_frame(layout, layout.log_torque, DEFAULT_PRIOR), DEFAULT_PRIOR)
    found = float((cells.weight * cells.scatter).sum())
    residual = layout.log_torque - layout.design() @ np.array(
        [layout.log_torque[layout.build == k].mean(axis=0) for k in (0, 1)]
    )
    assert found == pytest.approx(float(np.sqrt((residual**2).sum() / (22 * len(RPM)))), rel=0.15)


def test_without_repeats_the_prior_speaks() -> None:
    result = compare(alternating(1, None))
    assert result.noise.pull_sd.low < DEFAULT_PRIOR.scatter[0]
    assert result.noise.pull_sd.high > DEFAULT_PRIOR.scatter[1]
    assert "no repeats" in result.noise.text


def test_stratified_draws_follow_the_weights() -> None:
    index = stratified(np.array([0.1, 0.6, 0.3]), 1000)
    assert np.bincount(index) == pytest.approx([100, 600, 300], abs=1)
    assert np.all(np.diff(index) >= 0)


def test_peak_by_parabola_is_exact_for_a_parabola() -> None:
    rpm = np.arange(2000.0, 4001.0, 100.0)
    curve = 300.0 - ((rpm - 3037.0) / 200.0) ** 2
    found = peak(rpm, curve, np.tile(curve, (10, 1)), "N m")
    assert found.height.value == pytest.approx(300.0, abs=1e-9)
    assert found.rpm.value == pytest.approx(3037.0, abs=1e-6)
    assert not found.height.at_least


def test_crossing_by_straight_line() -> None:
    rpm = np.array([1000.0, 1100.0, 1200.0])
    mean = np.array([-0.02, -0.01, 0.03])
    found = crossovers(rpm, mean, np.tile(mean, (5, 1)), (Span(1000.0, 1100.0, -1), Span(1200.0, 1200.0, 1)))
    assert found[0].value == pytest.approx(1125.0)


def test_power_at_the_crossing_of_the_units() -> None:
    # 1 lb-ft at 5252.113122 rpm is 1 hp (definition: 33000 / 2 pi)
    torque, horsepower = 1.3558179483314004, 745.6998715822702
    assert power_of(np.array([torque]), np.array([33000 / (2 * math.pi)]))[0] == pytest.approx(horsepower, rel=1e-12)


def test_the_odd_pull_is_named_with_its_size() -> None:
    def low(rpm: FloatArray) -> FloatArray:
        return np.full_like(rpm, -0.04)

    groups = alternating(4, None, scatter=0.002)
    odd = pull("odd", 200.0, low, scatter=0.0)
    layout = lay_out([("A", [*groups[0][1], odd]), groups[1]])
    found = odd_pulls(layout, layout.log_torque, np.ones(len(RPM), bool), DEFAULT_PRIOR.typical(), 2.0)
    assert [one.pull for one in found] == ["odd"]
    assert found[0].deviation == pytest.approx(-0.04, abs=0.004)


def test_good_pulls_are_seldom_called_odd() -> None:
    called = 0
    for seed in range(60):
        layout = lay_out(alternating(4, None, scatter=0.004, seed=seed))
        called += len(odd_pulls(layout, layout.log_torque, np.ones(len(RPM), bool), DEFAULT_PRIOR.typical(), 2.0))
    assert called <= 15  # 480 pulls at 1 % each: mean 4.8


@pytest.mark.parametrize(("kind", "make"), [("offset", 1), ("scale", 0)])
def test_offset_and_scale_are_told_apart_where_the_curve_allows(kind: str, make: int) -> None:
    rpm = np.arange(1500.0, 6001.0, 150.0)
    falling = 320.0 - 0.045 * (rpm - 1500.0)

    def change(x: FloatArray) -> FloatArray:
        return 12.0 / falling if make else np.full_like(x, 0.05)

    def curve(name: str, minute: float, gain: FloatArray, seed: int) -> object:
        from dataclasses import replace

        made = pull(name, minute, scatter=0.002, seed=seed, rpm=rpm)
        return replace(made, torque=made.torque / base(rpm) * falling * (1.0 + gain))

    zero = np.zeros_like(rpm)
    groups = [
        ("A", [curve(f"A{i}", 30 * i, zero, i) for i in range(5)]),
        ("B", [curve(f"B{i}", 30 * i + 15, change(rpm), 50 + i) for i in range(5)]),
    ]
    shape = compare(groups).differences[0].shape  # type: ignore[arg-type]
    assert shape.kind == kind
    if kind == "offset":
        assert shape.offset.value == pytest.approx(12.0, abs=1.0)
        assert "hang a weight" in shape.text
    else:
        assert shape.scale.value == pytest.approx(1.05, abs=0.004)
