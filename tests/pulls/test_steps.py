"""Step tests: held speeds averaged over their settled part, and tables taken as they stand."""

from __future__ import annotations

import numpy as np
import pytest

from fairpull.pulls import PullOptions, curve, find
from fairpull.pulls.holds import batch_error, settled_part
from fairpull.pulls.steps import neighbour_scatter
from fairpull.terms.errors import NotComparable
from fairpull.terms.recording import Recording
from tests.pulls.rig import ORIGIN, Rig, table, truth

LEVELS = np.arange(2000.0, 6001.0, 250.0)


def stepped(hold: float = 5.0, closed: bool = False, seed: int = 1, hunting: float = 0.0) -> Rig:
    rig = Rig(seed=seed, hunting=hunting).idle()
    for k, level in enumerate(LEVELS):
        if closed:
            rig.add(1.0, 900.0, level, 0.3, 0.3).add(hold, level, level, 1.0).add(2.0, level, 900.0, 0.0, -0.1)
        else:
            if k:
                rig.add(1.0, level - 250.0, level, 1.0)
            rig.add(hold, level, level, 1.0)
    return rig.add(3.0, 6000.0, 900.0, 0.0, -0.1)


@pytest.mark.parametrize("closed", [False, True])
@pytest.mark.parametrize("hunting", [0.0, 8.0])
def test_step_test_is_found_and_averaged(closed: bool, hunting: float) -> None:
    (pull,) = find(stepped(closed=closed, hunting=hunting).recording())
    assert pull.kind == "steps"
    assert pull.sweep_rate == 0.0
    assert np.allclose(pull.channels["rpm"], LEVELS, atol=2.0)
    # 500 samples of 2 N m: the mean is good to 0.09 N m
    assert np.abs(pull.channels["torque"] - truth(pull.channels["rpm"])).max() < 0.4
    assert np.median(pull.channels["torque_se"]) == pytest.approx(2.0 / np.sqrt(500.0), rel=0.4)
    assert "last 5 s" in pull.choices["hold"]
    assert pull.findings == ()


def test_torque_that_settles_late_is_averaged_late_and_told_when_it_does_not_settle() -> None:
    recording = stepped(hold=8.0).recording()
    torque = recording.channels["torque"].copy()
    torque[600:1000] += np.linspace(40.0, 0.0, 400)  # the first hold's first two seconds
    late = Recording(name="made", origin=ORIGIN, channels={**recording.channels, "torque": torque})
    (pull,) = find(late)
    assert pull.channels["torque"][0] == pytest.approx(float(truth(np.array(2000.0))), abs=0.5)
    torque[600:2200] += np.linspace(60.0, 0.0, 1600)
    (moving,) = find(Recording(name="made", origin=ORIGIN, channels={**recording.channels, "torque": torque}))
    (finding,) = [f for f in moving.findings if f.code == "hold-not-settled"]
    assert "2000 rpm" in finding.text


def test_second_series_is_a_second_pull() -> None:
    rig = Rig().idle()
    for level in (*LEVELS[::4], *LEVELS[::4]):
        rig.add(1.0, 900.0, level, 0.3, 0.3).add(4.0, level, level, 1.0).add(2.0, level, 900.0, 0.0, -0.1)
    pulls = find(rig.recording())
    assert [pull.channels["rpm"].size for pull in pulls] == [5, 5]
    assert pulls[1].name == "made#2"


def test_sweep_and_steps_in_one_file() -> None:
    rig = stepped()
    rig.idle().pull()
    assert [pull.kind for pull in find(rig.recording())] == ["steps", "sweep"]


def test_kind_can_be_overruled() -> None:
    recording = stepped().recording()
    assert [pull.kind for pull in find(recording, PullOptions(kind="sweep"))] == ["sweep"]


def test_curve_of_steps_interpolates_and_never_extrapolates() -> None:
    (pull,) = find(stepped().recording())
    laid = curve(pull, np.arange(1750.0, 6300.0, 125.0))
    inside = (laid.rpm >= 1990.0) & (laid.rpm <= 6010.0)
    assert np.isnan(laid.torque[~inside]).all()
    assert np.isnan(laid.torque_se[~inside]).all()
    assert np.isfinite(laid.torque[inside]).all()
    at = np.searchsorted(laid.rpm, 2125.0)
    assert laid.torque[at] == pytest.approx(np.mean(pull.channels["torque"][:2]), abs=0.05)
    se = pull.channels["torque_se"]
    assert laid.torque_se[at] == pytest.approx(0.5 * np.hypot(se[0], se[1]), rel=0.02)
    assert "torque_se" not in laid.channels


def test_table_in_any_order() -> None:
    rpm = np.array([3000.0, 2000.0, 5000.0, 4000.0, np.nan])
    (pull,) = find(table(rpm, np.array([210.0, 200.0, 190.0, 205.0, 1.0])))
    assert pull.kind == "steps"
    assert list(pull.channels["rpm"]) == [2000.0, 3000.0, 4000.0, 5000.0]
    assert list(pull.channels["torque"]) == [200.0, 210.0, 205.0, 190.0]
    assert {finding.code for finding in pull.findings} == {"table-rows-left-out", "holds-far-apart"}
    laid = curve(pull, [2000.0, 2500.0, 5000.0, 5100.0])
    assert list(laid.torque[:3]) == [200.0, 205.0, 190.0]
    assert np.isnan(laid.torque[3])
    assert np.isfinite(laid.torque_se[:3]).all()


def test_table_with_repeated_speeds() -> None:
    rpm = np.array([2000.0, 2000.2, 2500.0, 3000.0])
    (pull,) = find(table(rpm, np.array([200.0, 202.0, 210.0, 205.0])))
    assert pull.channels["rpm"].size == 3
    assert pull.channels["torque"][0] == 201.0
    assert "table-duplicates" in {finding.code for finding in pull.findings}
    assert np.isnan(pull.channels["torque_se"]).all()  # three speeds tell no scatter


@pytest.mark.parametrize(
    ("rpm", "torque", "code"),
    [
        ([2000.0], [200.0], "table-short"),
        ([2000.0, 2000.0, 2000.0], [200.0, 201.0, 202.0], "table-one-speed"),
        ([2000.0, 3000.0, 4000.0], [-200.0, -210.0, -220.0], "torque-negative"),
    ],
)
def test_tables_that_are_refused(rpm: list[float], torque: list[float], code: str) -> None:
    with pytest.raises(NotComparable) as caught:
        find(table(np.array(rpm), np.array(torque)))
    assert [fault.code for fault in caught.value.faults] == [code]


def test_rows_minutes_apart_are_a_table_though_they_have_a_clock() -> None:
    channels = {"time": 60.0 * np.arange(9.0), "rpm": LEVELS[::2], "torque": truth(LEVELS[::2])}
    (pull,) = find(Recording(name="made", origin=ORIGIN, channels=channels, started_at=100.0))
    assert pull.kind == "steps"
    assert np.array_equal(pull.channels["torque"], truth(LEVELS[::2]))


def test_raw_sweep_without_a_clock() -> None:
    rng = np.random.default_rng(2)
    rpm = np.linspace(2000.0, 6000.0, 1200) + rng.standard_normal(1200)
    (pull,) = find(table(rpm, truth(rpm) + 2.0 * rng.standard_normal(1200)))
    assert pull.kind == "sweep"
    assert "sweep-without-clock" in {finding.code for finding in pull.findings}
    laid = curve(pull)
    assert np.abs(laid.torque - truth(laid.rpm)).max() < 1.5


def test_settled_part_rule() -> None:
    # a hold of 15 s at 100 Hz: the last 5 s, less 0.2 s of guard
    assert settled_part(0, 1500, 0.01, 5.0) == (980, 1480)
    # a hold of 4 s: its last half, less the guard
    assert settled_part(1000, 1400, 0.01, 5.0) == (1180, 1380)
    first, end = settled_part(0, 3, 1.0, 5.0)
    assert 0 <= first < end <= 3


def test_batch_error_of_white_and_correlated_noise() -> None:
    rng = np.random.default_rng(5)
    white = rng.standard_normal((400, 500))
    assert np.sqrt(np.mean([batch_error(row) ** 2 for row in white])) == pytest.approx(500**-0.5, rel=0.05)
    slow = np.repeat(rng.standard_normal((400, 50)), 10, axis=1)  # ten samples carry one value
    assert np.sqrt(np.mean([batch_error(row) ** 2 for row in slow])) == pytest.approx(50**-0.5, rel=0.08)
    assert np.isnan(batch_error(np.array([1.0, np.nan, 2.0])))


def test_neighbour_scatter_is_blind_to_a_slope() -> None:
    rng = np.random.default_rng(6)
    x = np.cumsum(rng.uniform(50.0, 300.0, 3000))
    assert neighbour_scatter(x, 3.0 * x) == pytest.approx(0.0, abs=1e-6)
    assert neighbour_scatter(x, 0.05 * x + 2.0 * rng.standard_normal(3000)) == pytest.approx(2.0, rel=0.05)
