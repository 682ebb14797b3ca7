"""Exhaust and intake restriction, reversion, and the shapes they rest on."""

from __future__ import annotations

import numpy as np
import pytest

from fairpull.health.along import above_from, grows_as_square, own_line, to_the_end
from fairpull.health.signs import exhaust_restriction, intake_restriction, reversion
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen
from fairpull.terms.units import to_house
from tests.health.plain_pull import BAROMETER, HIGH, channels, pull, share, speeds, view

PSI, INHG = to_house(1.0, "psi", "Pa"), to_house(1.0, "inHg", "Pa")


@pytest.mark.parametrize("kind", ["sweep", "steps"])
@pytest.mark.parametrize("references", [0, 3])
def test_a_sound_pull_shows_nothing(kind: str, references: int) -> None:
    for seed in range(1, 6):
        one = view(pull(seed=seed, kind=kind), references=references)
        for module in (exhaust_restriction, intake_restriction, reversion):
            seen = module.look(one)
            assert seen is None or (kind == "steps" and isinstance(seen, Unseen))


@pytest.mark.parametrize("references", [0, 2])
def test_back_pressure_that_grows_with_rpm_squared(references: int) -> None:
    square = np.square(speeds() / HIGH)
    found = exhaust_restriction.look(
        view(pull({"exhaust_pressure": BAROMETER + 5.0 * PSI * square}), references=references)
    )
    assert isinstance(found, Sign)
    assert found.severity is Severity.WARNING
    # top 15 % of the range: middle at 4,960 rpm, (4960 / 5200)^2 of 5 psi, less 1.2 psi where references have it
    assert found.size / PSI == pytest.approx((5.0 if not references else 3.8) * (4960.0 / 5200.0) ** 2, rel=0.03)


def test_back_pressure_of_three_psi_is_worth_a_note() -> None:
    square = np.square(speeds() / HIGH)
    top = 3.04 / (4960.0 / 5200.0) ** 2
    found = exhaust_restriction.look(view(pull({"exhaust_pressure": BAROMETER + top * PSI * square})))
    assert isinstance(found, Sign)
    assert found.severity is Severity.NOTE


def test_a_restriction_is_seen_from_the_loss_where_no_gauge_is() -> None:
    sound, square = channels(1), np.square(speeds() / HIGH)
    lost = {
        "torque": sound["torque"] * (1.0 - 0.06 * np.square(square)),
        "air_mass_flow": sound["air_mass_flow"] * (1.0 - 0.03 * np.square(square)),
        "fuel_mass_flow": sound["fuel_mass_flow"] * (1.0 - 0.03 * np.square(square)),
        "exhaust_temperature_1": sound["exhaust_temperature_1"] + 20.0 * square,
    }
    found = exhaust_restriction.look(view(pull(lost, without=("exhaust_pressure",)), references=2))
    assert isinstance(found, Sign)
    assert "against 2 earlier pulls" in found.evidence
    assert isinstance(exhaust_restriction.look(view(pull(without=("exhaust_pressure",)))), Unseen)


@pytest.mark.parametrize("references", [0, 2])
def test_a_manifold_far_below_the_barometer(references: int) -> None:
    square = np.square(speeds() / HIGH)
    found = intake_restriction.look(
        view(pull({"manifold_pressure": BAROMETER - 2.4 * INHG * square}), references=references)
    )
    assert isinstance(found, Sign)
    assert found.severity is Severity.WARNING
    street = view(pull({"manifold_pressure": BAROMETER - 1.5 * INHG * square}))
    assert intake_restriction.look(street) is None


def test_a_boosted_intake_cannot_be_seen() -> None:
    assert isinstance(intake_restriction.look(view(pull(), induction="belt")), Unseen)
    assert isinstance(intake_restriction.look(view(pull(without=("manifold_pressure",)))), Unseen)


def test_a_lambda_that_hashes_at_low_speed() -> None:
    rpm = speeds()
    hashed = channels(1)["lambda"] + np.where(rpm < 2500.0, 0.03, 0.0) * np.random.default_rng(3).standard_normal(
        rpm.size
    )
    found = reversion.look(view(pull({"lambda": hashed})))
    assert isinstance(found, Sign)
    assert found.high <= 2500.0


def test_a_torque_that_scatters_with_the_sensor_is_combustion() -> None:
    rpm, random = speeds(), np.random.default_rng(3)
    rough = np.where(rpm < 2500.0, 1.0, 0.0)
    sound = channels(1)
    one = pull(
        {
            "torque": sound["torque"] + 4.0 * rough * random.standard_normal(rpm.size),
            "lambda": sound["lambda"] + 0.03 * rough * random.standard_normal(rpm.size),
        }
    )
    assert reversion.look(view(one)) is None


def test_a_sag_at_low_speed_against_the_series() -> None:
    sound, x = channels(1), share(speeds())
    sag = 1.0 - 0.06 * np.clip(1.0 - x / 0.25, 0.0, 1.0) ** 0.5
    lost = {name: sound[name] * sag for name in ("torque", "air_mass_flow", "fuel_mass_flow")}
    found = reversion.look(view(pull(lost), references=2))
    assert isinstance(found, Sign)
    assert found.size > 0.025


def test_a_gauge_that_is_off_by_a_constant_is_no_restriction() -> None:
    moved = channels(1)["exhaust_pressure"] + 1.0 * PSI
    assert exhaust_restriction.look(view(pull({"exhaust_pressure": moved}), references=2)) is None
    moved = channels(1)["manifold_pressure"] - 1.0 * INHG
    assert intake_restriction.look(view(pull({"manifold_pressure": moved}), references=2)) is None


def test_growth_with_the_square() -> None:
    rpm = np.linspace(1000.0, 5000.0, 41)
    every = np.ones(41, dtype=np.bool_)
    assert grows_as_square(rpm, 3.0 * np.square(rpm), every) == pytest.approx(1.0)
    assert grows_as_square(rpm, -3.0 * np.square(rpm), every) == pytest.approx(-1.0)
    assert grows_as_square(rpm, np.ones(41), every) < 0.7
    assert grows_as_square(rpm, np.zeros(41), every) == 0.0


def test_a_line_of_its_own_leaves_out_what_is_far_off() -> None:
    rpm = np.linspace(1000.0, 5000.0, 41)
    every = np.ones(41, dtype=np.bool_)
    values = 2e-7 * rpm**2
    values[20] *= 3.0
    assert own_line(rpm, values, every, bent=True) == pytest.approx(2e-7 * rpm**2, rel=1e-6)
    assert np.isnan(own_line(rpm, values, rpm < 1200.0)).all()


def test_where_a_stretch_begins() -> None:
    flags = np.array([True, False, True, True, True, False])
    present = np.array([True, True, True, True, True, False])
    assert to_the_end(flags, present) == 2
    assert to_the_end(~flags, present) is None
    assert above_from(np.array([3.0, 0.0, 2.0, 4.0, np.nan]), 1.0) == 2
    assert above_from(np.array([3.0, 0.0, np.nan]), 1.0) == 1
