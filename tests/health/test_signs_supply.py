"""Fuel starvation, mixture, flows against the sensor, knock: seen where planted by hand, silent on sound pulls."""

from __future__ import annotations

import numpy as np
import pytest

from fairpull.health.mixture import window
from fairpull.health.signs import flow_lambda, fuel_starvation, knock, mixture_lean, mixture_rich
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen
from fairpull.terms.units import to_house
from tests.health.plain_pull import channels, engine, pull, share, speeds, view

ALL = (fuel_starvation, knock, mixture_rich, mixture_lean, flow_lambda)


@pytest.mark.parametrize("kind", ["sweep", "steps"])
@pytest.mark.parametrize("references", [0, 3])
def test_a_sound_pull_shows_nothing(kind: str, references: int) -> None:
    for seed in range(1, 6):
        seen = [module.look(view(pull(seed=seed, kind=kind), references=references)) for module in ALL]
        assert seen == [None] * len(ALL)


def _starved(kind: str = "sweep") -> dict[str, np.ndarray[tuple[int], np.dtype[np.float64]]]:
    rpm, sound = speeds(kind), channels(1, kind)
    short = np.clip((rpm - 4200.0) / 1000.0, 0.0, None)  # from 4,200 rpm up
    mixture = sound["lambda"] + 0.18 * short
    return {
        "fuel_pressure": sound["fuel_pressure"]
        - to_house(3.0, "psi", "Pa") * np.clip((rpm - 3900.0) / 1300.0, 0, None),
        "lambda": mixture,
        "fuel_mass_flow": sound["air_mass_flow"] / (14.6 * mixture),
        "torque": sound["torque"] * (1.0 - 0.10 * np.square(short)),
    }


@pytest.mark.parametrize("references", [0, 2])
@pytest.mark.parametrize(
    "without", [(), ("lambda",), ("air_mass_flow",), ("fuel_pressure",), ("fuel_pressure", "air_mass_flow")]
)
def test_starvation_is_told_from_where_the_mixture_leaves_its_line(without: tuple[str, ...], references: int) -> None:
    seen = fuel_starvation.look(view(pull(_starved(), without=without), references=references))
    assert isinstance(seen, Sign)
    assert seen.severity is Severity.FAULT
    assert seen.counts_to is None
    assert 4100.0 <= seen.low <= 4500.0 or ("lambda" in without and 3900.0 <= seen.low <= 4500.0)
    assert seen.high == 5200.0


def test_the_better_bsfc_of_a_starved_engine_is_called_want_of_fuel() -> None:
    seen = fuel_starvation.look(view(pull(_starved()), references=2))
    assert isinstance(seen, Sign)
    assert "want of fuel" in seen.evidence
    assert "3.2 psi" in seen.evidence


def test_starvation_from_fuel_flow_and_torque_alone() -> None:
    bare = ("fuel_pressure", "lambda", "air_mass_flow")
    seen = fuel_starvation.look(view(pull(_starved(), without=bare), references=2))
    assert isinstance(seen, Sign)
    assert isinstance(fuel_starvation.look(view(pull(without=(*bare, "fuel_mass_flow")))), Unseen)


def test_a_lean_top_under_a_held_pressure_is_no_starvation() -> None:
    starved = _starved()
    starved.pop("fuel_pressure")
    assert fuel_starvation.look(view(pull(starved), references=2)) is None


def test_a_sensor_that_alone_goes_lean_late_is_no_starvation() -> None:
    only = {"lambda": _starved()["lambda"]}
    assert fuel_starvation.look(view(pull(only, without=("fuel_pressure",)), references=2)) is None


@pytest.mark.parametrize(("low", "high"), [(-0.05, 0.0), (0.0, 0.05)])
def test_a_mixture_set_in_one_half_is_no_starvation(low: float, high: float) -> None:
    sound = channels(1)
    mixture = sound["lambda"] + np.where(share(speeds()) > 0.5, high, low)
    moved = {"lambda": mixture, "fuel_mass_flow": sound["air_mass_flow"] / (14.6 * mixture)}
    assert fuel_starvation.look(view(pull(moved, without=("fuel_pressure",)), references=2)) is None


def test_a_pressure_that_follows_the_manifold_is_not_starving() -> None:
    x = share(speeds())
    boost = to_house(10.0, "psi", "Pa") * np.clip(1.4 - x, 0.0, 1.0)  # boost fades to the top
    rail = to_house(43.5, "psi", "Pa") + boost
    one = pull({"fuel_pressure": rail, "boost": boost}, without=("manifold_pressure",))
    assert fuel_starvation.look(view(one, induction="turbo")) is None


@pytest.mark.parametrize(("away", "module"), [(-0.045, mixture_rich), (0.045, mixture_lean)])
def test_a_drift_of_the_mixture(away: float, module: object) -> None:
    sound = channels(1)
    moved = {"lambda": sound["lambda"] + away, "fuel_mass_flow": sound["fuel_mass_flow"] * 0.87 / (0.87 + away)}
    one = view(pull(moved), references=2)
    seen = {look.KINDS[0]: look.look(one) for look in (mixture_rich, mixture_lean)}
    mine, other = ("mixture-rich", "mixture-lean") if module is mixture_rich else ("mixture-lean", "mixture-rich")
    found = seen[mine]
    assert isinstance(found, Sign)
    assert found.severity is Severity.WARNING
    assert found.size == pytest.approx(away, abs=0.005)
    assert "against 2 earlier pulls" in found.evidence
    assert seen[other] is None


def test_half_of_the_range_is_enough_for_a_drift() -> None:
    sound, x = channels(1), share(speeds())
    away = np.where(x > 0.5, 0.05, 0.0)
    moved = {"lambda": sound["lambda"] + away, "fuel_mass_flow": sound["fuel_mass_flow"] * 0.87 / (0.87 + away)}
    found = mixture_lean.look(view(pull(moved), references=2))
    assert isinstance(found, Sign)
    assert 3400.0 <= found.low <= 3800.0


def test_lean_beyond_the_limits_card_is_a_fault() -> None:
    sound = channels(1)
    moved = {"lambda": sound["lambda"] + 0.09, "fuel_mass_flow": sound["fuel_mass_flow"] * 0.87 / 0.96}
    for references in (0, 2):
        found = mixture_lean.look(view(pull(moved), references=references))
        assert isinstance(found, Sign)
        assert found.severity is Severity.FAULT


def test_a_sensor_alone_is_no_lean_engine_but_a_disagreement() -> None:
    one = view(pull({"lambda": channels(1)["lambda"] + 0.05}), references=2)
    assert mixture_lean.look(one) is None
    found = flow_lambda.look(one)
    assert isinstance(found, Sign)
    assert found.size == pytest.approx(0.865 / 0.915 - 1.0, abs=0.004)
    assert "sensor reads leaner" in found.evidence


def test_a_fuel_meter_that_reads_low_makes_the_flows_lean() -> None:
    found = flow_lambda.look(view(pull({"fuel_mass_flow": 0.94 * channels(1)["fuel_mass_flow"]})))
    assert isinstance(found, Sign)
    assert found.size > 0.035
    assert "flows read leaner" in found.evidence


def test_without_flows_nothing_can_disagree() -> None:
    seen = flow_lambda.look(view(pull(without=("air_mass_flow",))))
    assert isinstance(seen, Unseen)
    assert seen.missing == ("air_mass_flow",)
    seen = mixture_rich.look(view(pull(without=("lambda", "fuel_mass_flow"))))
    assert isinstance(seen, Unseen)


def test_windows_by_fuel_and_induction() -> None:
    rich, lean = window(engine(), None, 2)
    assert (rich.tolist(), lean.tolist()) == ([0.84, 0.84], [0.90, 0.90])
    rich, lean = window(engine("belt"), np.array([0.0, 60e3]), 2)
    assert rich.tolist() == [0.76, 0.76]
    assert lean.tolist() == [0.90, 0.84]


@pytest.mark.parametrize("references", [0, 2])
@pytest.mark.parametrize("kind", ["sweep", "steps"])
def test_knock_stands_off_its_floor(kind: str, references: int) -> None:
    sound, rpm = channels(1, kind), speeds(kind)
    loud = sound["knock"] * np.where((rpm > 3300.0) & (rpm < 4300.0), 2.5, 1.0)
    found = knock.look(view(pull({"knock": loud}, seed=1, kind=kind), references=references))
    assert isinstance(found, Sign)
    assert found.severity is Severity.FAULT
    assert 3200.0 <= found.low <= 3600.0
    assert 4000.0 <= found.high <= 4400.0


def test_bursts_of_knock_in_one_stretch() -> None:
    loud, rpm = channels(1)["knock"].copy(), speeds()
    loud[np.flatnonzero(rpm > 4000.0)[[0, 5, 9, 14, 19]]] += 1.5
    found = knock.look(view(pull({"knock": loud})))
    assert isinstance(found, Sign)
    assert found.low >= 4000.0


def test_without_a_knock_channel_nothing_is_seen() -> None:
    seen = knock.look(view(pull(without=("knock",))))
    assert isinstance(seen, Unseen)
    assert seen.missing == ("knock",)
