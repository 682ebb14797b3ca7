"""The view: grid, smooth channels, noise, derived channels, references."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fairpull.health.shapes import dip_depth, skewness
from fairpull.health.view import STEP, make_view
from tests.health.plain_pull import HIGH, LOW, channels, engine, pull, share, speeds, view


def test_grid_covers_the_tested_range_in_even_steps() -> None:
    """Ascending multiples of 50 rpm from first to last speed."""
    rpm = view(pull()).rpm
    assert (rpm[0], rpm[-1]) == (LOW, HIGH)
    assert np.diff(rpm) == pytest.approx(STEP)


def test_narrow_range_gets_a_finer_grid() -> None:
    """Three hundred rpm are not six nodes."""
    kept = speeds() <= 2300.0
    one = pull()
    short = replace(one, channels={name: values[kept] for name, values in one.channels.items()})
    assert view(short).rpm.size >= 20


def test_rows_beyond_valid_to_are_left_out() -> None:
    """A pull that counts to 4,000 rpm is looked at to 4,000 rpm."""
    assert view(replace(pull(), valid_to=4000.0)).rpm[-1] == 4000.0


def test_smooth_curve_follows_a_line_and_noise_is_measured() -> None:
    """Local lines reproduce a line; the scatter is the one put in."""
    rpm = speeds()
    noise = 0.4 * np.random.default_rng(3).standard_normal(rpm.size)
    seen = view(pull({"torque": 100.0 + 0.01 * rpm}))
    laid = seen.on_grid("torque")
    assert laid is not None
    assert laid == pytest.approx(100.0 + 0.01 * seen.rpm, rel=1e-9)
    assert view(pull({"torque": 100.0 + 0.01 * rpm + noise})).noise("torque") == pytest.approx(0.4, rel=0.15)


def test_missing_samples_are_bridged_and_a_missing_channel_is_none() -> None:
    """A dropout costs nothing; an absent channel is absent."""
    holes = channels(1)["lambda"].copy()
    holes[100:110] = np.nan
    seen = view(pull({"lambda": holes}, without=("knock",)))
    laid = seen.on_grid("lambda_sensor")
    assert laid is not None
    assert np.isfinite(laid).all()
    assert seen.on_grid("knock") is None
    assert seen.ratio("knock") is None
    assert not seen.has("torque", "knock")


def test_derived_channels_by_hand() -> None:
    """Power, consumption, mixture, breathing and mean pressure against sums made by hand at 3,000 rpm."""
    flat = np.ones(speeds().size)
    one = pull({"torque": 100.0 * flat, "air_mass_flow": 0.05 * flat, "fuel_mass_flow": 0.004 * flat})
    seen = view(one)
    at = int(np.argmin(np.abs(seen.rpm - 3000.0)))

    def value(channel: str) -> float:
        laid = seen.on_grid(channel)
        assert laid is not None
        return float(laid[at])

    assert value("power") == pytest.approx(31415.9, rel=1e-3)  # 100 N m x 314.159 rad/s
    assert value("bsfc") == pytest.approx(0.004 / 31415.9, rel=1e-3)
    assert value("bsac") == pytest.approx(0.05 / 31415.9, rel=1e-3)
    assert value("lambda_flow") == pytest.approx(0.05 / 0.004 / 14.6, rel=1e-6)
    assert value("air_each_rev") == pytest.approx(0.001, rel=1e-3)  # 0.05 kg/s over 50 turns a second
    assert value("bmep") == pytest.approx(4.0 * np.pi * 100.0 / (4.0 * np.pi / 4.0 * 0.086**3), rel=1e-6)
    assert value("boost") == pytest.approx(-900.0, abs=120.0)  # 0.8 inHg x (3000/5200)^2 below the room


def test_lambda_sensor_is_the_mean_of_the_numbered_ones() -> None:
    """Two banks, one mean; air over fuel by mass stands in for lambda."""
    flat = np.ones(speeds().size)
    banks = view(pull({"lambda_1": 0.86 * flat, "lambda_2": 0.90 * flat}, without=("lambda",)))
    ratio = view(pull({"air_fuel_ratio": 14.6 * 0.88 * flat}, without=("lambda",)))
    for seen in (banks, ratio):
        laid = seen.on_grid("lambda_sensor")
        assert laid is not None
        assert laid == pytest.approx(0.88)


def test_logged_power_on_another_basis_is_not_believed() -> None:
    """Power follows from torque and speed."""
    seen = view(pull({"power": 9e5 * np.ones(speeds().size)}))
    power, torque = seen.on_grid("power"), seen.on_grid("torque")
    assert power is not None
    assert torque is not None
    assert float(power[10]) == pytest.approx(float(torque[10] * seen.rpm[10]) * np.pi / 30.0, rel=1e-3)


def test_ratio_is_on_corrected_torque() -> None:
    """Ten percent more observed torque in air that asks for ten percent less is no change."""
    dense = pull({"torque": 1.1 * channels(1)["torque"]})
    seen = make_view(
        dense, engine=engine(), references=(pull(seed=2), pull(seed=3)), factor=1.0 / 1.1, reference_factors=(1.0, 1.0)
    )
    assert seen is not None
    against = seen.ratio("torque")
    assert against is not None
    assert against.level == pytest.approx(1.0, abs=0.002)
    assert against.n == 2


def test_expected_scatter_never_falls_below_the_prior_and_grows_with_the_references() -> None:
    """Two pulls that agree by luck promise no more than practice; two that differ by 2 % promise less."""
    base = channels(1)["torque"]
    alike = view(pull(), others=(pull({"torque": base}), pull({"torque": base}))).ratio("torque")
    unlike = view(pull(), others=(pull({"torque": 0.99 * base}), pull({"torque": 1.01 * base}))).ratio("torque")
    assert alike is not None
    assert unlike is not None
    assert alike.scatter == pytest.approx(0.004 * np.sqrt(1.5), rel=1e-6)
    assert unlike.scatter > 1.7 * alike.scatter


def test_difference_is_in_the_channels_unit() -> None:
    """Five kelvin hotter oil."""
    hot = pull({"oil_temperature": channels(1)["oil_temperature"] + 5.0})
    against = view(hot, references=2).difference("oil_temperature")
    assert against is not None
    assert against.level == pytest.approx(5.0, abs=0.01)


def test_reference_beyond_reach_is_not_held_against() -> None:
    """A reference that ends where the pull begins says nothing."""
    low = replace(pull(seed=5), valid_to=2200.0)
    assert view(pull(), others=(low,)).ratio("torque") is None


def test_held_steps_are_joined_by_straight_lines() -> None:
    """Between two holds the view is their mean."""
    seen = view(pull(kind="steps"))
    torque, laid = seen.raw("torque"), seen.on_grid("torque")
    assert torque is not None
    assert laid is not None
    assert float(laid[2]) == pytest.approx(float(torque[0] + torque[1]) / 2.0)
    assert seen.seconds is None


def test_too_few_samples_make_no_view() -> None:
    """Three rows are no pull."""
    one = pull()
    assert make_view(replace(one, channels={name: values[:3] for name, values in one.channels.items()})) is None


def test_share_of_the_range_is_what_the_helpers_say() -> None:
    """The hand-written pull spans 0 to 1."""
    assert (share(speeds())[0], share(speeds())[-1]) == (0.0, 1.0)


def test_a_meter_that_logs_zeros_in_every_reference_is_no_reference() -> None:
    """An unconnected air meter logs zeros: nothing can be held against them, and nothing may break."""
    one = pull()
    dead = replace(one, channels={**one.channels, "air_mass_flow": np.zeros(one.channels["rpm"].shape)})
    seen = make_view(one, references=[dead, dead], reference_factors=[1.0, 1.0])
    assert seen is not None
    assert seen.ratio("air_mass_flow") is None
    assert seen.ratio("torque") is not None


def test_depth_of_a_dip_and_skewness_by_hand() -> None:
    """A dip of 3 below its shoulders at 10; nine steps of 1 and one drop of 9 have a robust deviation of 1.4826."""
    depth = dip_depth(np.array([10.0, 10.0, 7.0, 10.0, 10.0]), 2)
    assert depth[2] == pytest.approx(3.0)
    steps = np.array([1.0, -1.0, 1.0, -1.0, 1.0, -1.0, 1.0, -1.0, 1.0, -9.0])
    assert skewness(steps) == pytest.approx((5 - 4 - 729) / 10 / 1.4826**3)  # -22.33
    assert skewness(steps[:9]) == 0.0  # too few to say
