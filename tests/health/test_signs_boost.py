"""Belt slip, boost creep and shortfall."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pytest

from fairpull.health.signs import belt_slip, boost_creep, boost_shortfall
from fairpull.terms.arrays import FloatArray
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen
from fairpull.terms.pull import Pull
from fairpull.terms.units import to_house
from tests.health.plain_pull import HIGH, pull, share, speeds, view

PSI = to_house(1.0, "psi", "Pa")


def centrifugal(lost: FloatArray | float = 0.0) -> FloatArray:
    """9 psi at the top, as rpm squared; ``lost`` of blower speed."""
    return np.asarray(9.0 * PSI * np.square(speeds() / HIGH * (1.0 - lost)))


def late(size: float, begins: float = 0.6) -> FloatArray:
    """Nothing below ``begins`` of the range, ``size`` at its end."""
    return np.asarray(size * np.clip(share(speeds()) - begins, 0.0, None) / (1.0 - begins))


def boosted(seed: int, boost: FloatArray, others: Mapping[str, FloatArray] | None = None) -> Pull:
    """A pull with this boost logged."""
    noise = 100.0 * np.random.default_rng(seed).standard_normal(boost.size)
    return pull({"boost": boost + noise, **(others or {})}, seed=seed, without=("manifold_pressure",))


def plateau(level: float = 10.0) -> FloatArray:
    """A gate holds boost from a fifth of the range on."""
    return np.asarray(level * PSI * np.clip(share(speeds()) / 0.2 + 0.3, 0.0, 1.0))


def test_blower_speed_that_falls_behind() -> None:
    blower = 6.0 * speeds() * (1.0 - late(0.06))
    found = belt_slip.look(view(boosted(1, centrifugal(late(0.06)), {"blower_rpm": blower}), induction="belt"))
    assert isinstance(found, Sign)
    assert found.severity is Severity.FAULT
    assert found.size == pytest.approx(0.06, abs=0.005)
    assert 3900.0 <= found.low <= 4600.0


def test_a_blower_speed_that_holds_rules_slip_out() -> None:
    short = centrifugal() - late(2.0 * PSI)
    assert belt_slip.look(view(boosted(1, short, {"blower_rpm": 6.0 * speeds()}), induction="belt")) is None


@pytest.mark.parametrize("references", [0, 2])
def test_boost_that_leaves_its_line(references: int) -> None:
    others = tuple(boosted(100 + n, centrifugal()) for n in range(references))
    found = belt_slip.look(view(boosted(1, centrifugal(late(0.10))), induction="belt", others=others))
    assert isinstance(found, Sign)
    assert found.low >= 3800.0
    sound = belt_slip.look(view(boosted(1, centrifugal()), induction="belt", others=others))
    assert sound is None


def test_a_roll_off_of_positive_displacement_is_its_own() -> None:
    assert belt_slip.look(view(boosted(1, 6.6 * PSI * (1.0 - late(0.08))), induction="belt")) is None
    found = belt_slip.look(view(boosted(1, 6.6 * PSI * (1.0 - late(0.25))), induction="belt"))
    assert isinstance(found, Sign)


def test_nothing_slips_without_a_belt() -> None:
    assert belt_slip.look(view(boosted(1, centrifugal(late(0.10))), induction="turbo")) is None
    assert isinstance(belt_slip.look(view(pull(without=("manifold_pressure",)), induction="belt")), Unseen)


@pytest.mark.parametrize("references", [0, 2])
def test_boost_that_climbs_above_its_plateau(references: int) -> None:
    others = tuple(boosted(100 + n, plateau()) for n in range(references))
    found = boost_creep.look(view(boosted(1, plateau() + late(1.5 * PSI)), induction="turbo", others=others))
    assert isinstance(found, Sign)
    assert found.severity is Severity.WARNING
    assert found.low >= 3800.0
    assert found.high == HIGH
    for seed in range(2, 6):
        assert boost_creep.look(view(boosted(seed, plateau()), induction="turbo", others=others)) is None


def test_a_centrifugal_does_not_creep() -> None:
    assert boost_creep.look(view(boosted(1, centrifugal()), induction="belt")) is None


def test_boost_below_the_series() -> None:
    others = tuple(boosted(100 + n, plateau()) for n in range(2))
    found = boost_shortfall.look(view(boosted(1, plateau() - 0.5 * PSI), induction="turbo", others=others))
    assert isinstance(found, Sign)
    assert found.size == pytest.approx(-0.5 * PSI, rel=0.05)
    near = boost_shortfall.look(view(boosted(1, plateau() - 0.1 * PSI), induction="turbo", others=others))
    assert near is None


def test_a_belt_driven_boost_goes_with_the_barometer() -> None:
    thin = np.full(speeds().size, 90.0e3)
    others = tuple(boosted(100 + n, centrifugal()) for n in range(2))
    light = boosted(1, 0.9 * centrifugal(), {"barometer": thin})
    assert boost_shortfall.look(view(light, induction="belt", others=others)) is None
    assert isinstance(boost_shortfall.look(view(light, induction="turbo", others=others)), Sign)


def test_boost_that_fades_from_its_own_plateau() -> None:
    found = boost_shortfall.look(view(boosted(1, plateau() - late(2.5 * PSI, 0.5)), induction="turbo"))
    assert isinstance(found, Sign)
    assert isinstance(boost_shortfall.look(view(boosted(1, centrifugal()), induction="belt")), Unseen)
    assert boost_shortfall.look(view(pull())) is None
