"""The generators alone: every fault moves the channels as trade sheet 2.4 says, and the healthy pulls are plausible.

A pull with a fault is held against its twin, the same pull with the same noise and without the fault.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from fairpull.terms.glossary import BY_NAME
from fairpull.terms.health import SIGN_KINDS
from fairpull.terms.pull import Pull
from simulations.health.cases import Case, faulty_case, healthy_case
from simulations.health.fault_table import BY_KIND, FAULTS
from simulations.health.machines import MACHINES
from simulations.health.weather import factor

SEED = 3
PSI = 6894.757
FEW = 4


def inside(case: Case) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    planted = case.planted
    assert planted is not None
    rpm = case.pull.channels["rpm"]
    found: np.ndarray[tuple[int, ...], np.dtype[np.bool_]] = (rpm >= planted.low - 1.0) & (rpm <= planted.high + 1.0)
    return found


def pairs(kind: str, *channels: str) -> list[tuple[Case, Case]]:
    """Cases of a kind with their twins, those that log the channels."""
    kept: list[tuple[Case, Case]] = []
    for number in range(30):
        case = faulty_case(kind, SEED, number)
        if all(name in case.pull.channels for name in channels):
            kept.append((case, faulty_case(kind, SEED, number, twin=True)))
        if len(kept) == FEW:
            return kept
    raise AssertionError(f"{kind}: too few cases log {channels}")


def size(case: Case) -> float:
    assert case.planted is not None
    return case.planted.size


def moved(case: Case, twin: Case, channel: str) -> float:
    """Mean relative change of a channel inside the planted range."""
    at = inside(case)
    return float(np.mean(case.pull.channels[channel][at] / twin.pull.channels[channel][at]) - 1.0)


def shifted(case: Case, twin: Case, channel: str, last: float = 1.0) -> float:
    """Mean change of a channel inside the planted range, or in its last share."""
    at = np.flatnonzero(inside(case))
    at = at[int((1.0 - last) * at.size) :]
    return float(np.mean(case.pull.channels[channel][at] - twin.pull.channels[channel][at]))


def cylinders(pull: Pull) -> list[str]:
    return [name for name in pull.channels if name.startswith("exhaust_temperature_")]


def test_every_kind_is_planted_once() -> None:
    assert tuple(fault.kind for fault in FAULTS) == SIGN_KINDS


@pytest.mark.parametrize("kind", SIGN_KINDS)
def test_the_same_seed_gives_the_same_bytes(kind: str) -> None:
    one, two = faulty_case(kind, SEED, 1), faulty_case(kind, SEED, 1)
    assert one.planted == two.planted
    for mine, theirs in zip((one.pull, *one.references), (two.pull, *two.references), strict=True):
        assert {name: v.tobytes() for name, v in mine.channels.items()} == {
            name: v.tobytes() for name, v in theirs.channels.items()
        }
    assert one.pull.channels["torque"].tobytes() != faulty_case(kind, SEED, 2).pull.channels["torque"].tobytes()


@pytest.mark.parametrize("kind", SIGN_KINDS)
def test_sizes_and_ranges_are_as_stated(kind: str) -> None:
    low, high = BY_KIND[kind].sizes
    for number in range(FEW):
        case = faulty_case(kind, SEED, number)
        planted = case.planted
        assert planted is not None
        rpm = case.pull.channels["rpm"]
        assert rpm.min() - 30.0 <= planted.low < planted.high <= rpm.max() + 30.0
        if kind not in ("wrong-barometer", "heat-soak"):  # as large as the height, or the heat, makes it
            assert low <= abs(planted.size) <= high


def test_every_value_is_plausible() -> None:
    cases = [healthy_case(SEED, n, machine) for n, machine in enumerate(MACHINES)]
    cases += [faulty_case(kind, SEED, n) for kind in SIGN_KINDS for n in range(2)]
    for case in cases:
        for pull in (case.pull, *case.references):
            for name, values in pull.channels.items():
                channel = BY_NAME[name if name in BY_NAME else name.rpartition("_")[0]]
                assert np.isfinite(values).all()
                assert channel.low <= values.min(), (name, case.planted)
                assert values.max() <= channel.high, (name, case.planted)


@pytest.mark.parametrize("machine", MACHINES, ids=lambda machine: machine.name)
def test_a_healthy_pull_is_a_believable_engine(machine: object) -> None:
    chosen = next(one for one in MACHINES if one is machine)
    case = healthy_case(SEED, 5, chosen, "full")
    channels = case.pull.channels
    rpm, torque = channels["rpm"], channels["torque"]
    bmep = torque.max() * 4.0 * np.pi / chosen.swept
    assert (17e5 if chosen.boosted and chosen.blower == "turbo" else 8e5) < bmep < 26e5
    place = np.linspace(rpm.min(), rpm.max(), 40)
    order = np.argsort(rpm)
    power = np.interp(place, rpm[order], (torque * rpm)[order])
    assert power[-2:].mean() < 0.995 * power.max()
    assert power.argmax() > 4
    per_power = channels["fuel_mass_flow"] / (torque * rpm * np.pi / 30.0) * 3.6e9  # g/kWh
    assert 230.0 < np.median(per_power) < 400.0
    assert 0.72 < np.median(channels["lambda"]) < 0.93
    if not chosen.boosted:
        depression = channels["barometer"] - channels["manifold_pressure"] if "barometer" in channels else None
        assert depression is None or depression[-5:].mean() < 1.1 * 3386.4


def test_healthy_repeats_agree_as_on_a_good_brake() -> None:
    spreads = []
    for number in range(60):
        case = healthy_case(SEED, number, channels="full")
        if len(case.references) < 2:
            continue
        means = [
            np.interp(np.linspace(0.2, 0.8, 30), np.linspace(0, 1, p.channels["rpm"].size), p.channels["torque"]).mean()
            * f
            for p, f in zip(case.references, case.reference_factors, strict=True)
        ]
        spreads.append(np.std(means, ddof=1) / np.mean(means))
    assert 0.001 < np.median(spreads) < 0.007


def test_the_factor_is_one_in_reference_air() -> None:
    assert factor(99000.0, 298.15, 0.0) == pytest.approx(1.0)
    # trade sheet 8.1, pull 03: 29.61 inHg, 69 degF, 55 %: vapour 0.39 inHg by hand, factor 0.992
    assert factor(29.61 * 3386.389, 293.71, 0.39 * 3386.389) == pytest.approx(0.992, abs=0.002)


def test_float_dips_torque_and_air_near_the_top() -> None:
    for case, twin in pairs("valve-float", "air_mass_flow", "lambda"):
        at = inside(case)
        dip = 1.0 - case.pull.channels["torque"][at] / twin.pull.channels["torque"][at]
        assert 0.6 * size(case) < dip.max() < 2.2 * size(case) + 0.01
        assert moved(case, twin, "air_mass_flow") < 0.0
        rpm = case.pull.channels["rpm"]
        below = rpm < case.planted.low - 300.0 if case.planted else rpm < 0.0
        assert np.allclose(case.pull.channels["torque"][below], twin.pull.channels["torque"][below], rtol=0.02)
        assert shifted_spread(case, twin, "lambda") > 0.0025


def shifted_spread(case: Case, twin: Case, channel: str) -> float:
    at = inside(case)
    return float(np.std(case.pull.channels[channel][at] - twin.pull.channels[channel][at]))


def test_misfire_scatters_torque_and_fools_the_lambda_sensor() -> None:
    for case, twin in pairs("misfire", "air_mass_flow"):
        assert -1.6 * size(case) < moved(case, twin, "torque") < -0.2 * size(case)
        assert shifted_spread(case, twin, "torque") > 0.3 * -shifted(case, twin, "torque")
        assert abs(moved(case, twin, "air_mass_flow")) < 1e-3
        assert abs(moved(case, twin, "fuel_mass_flow")) < 1e-3
        assert shifted(case, twin, "lambda") > 0.0
        if len(cylinders(case.pull)) > 1:
            drops = [shifted(case, twin, name) for name in cylinders(case.pull)]
            assert min(drops) < -3.0
            assert sorted(drops)[1] == pytest.approx(0.0, abs=1.0)


def test_starvation_leans_first_and_sags_last() -> None:
    for case, twin in pairs("fuel-starvation", "air_mass_flow"):
        assert shifted(case, twin, "lambda", last=0.05) == pytest.approx(size(case), rel=0.3)
        assert shifted(case, twin, "fuel_pressure", last=0.2) < -0.05 * np.median(twin.pull.channels["fuel_pressure"])
        assert abs(moved(case, twin, "air_mass_flow")) < 0.01
        at = np.flatnonzero(inside(case))[: max(int(0.1 * inside(case).sum()), 3)]
        early = np.mean(case.pull.channels["torque"][at] / twin.pull.channels["torque"][at])
        assert early > 0.985  # BSFC falls before torque does


def test_knock_is_heard_and_cools_the_exhaust() -> None:
    for case, twin in pairs("knock", "knock"):
        assert moved(case, twin, "knock") > 0.6 * (size(case) - 1.0)
        assert -0.02 < moved(case, twin, "torque") < 0.0
        assert all(shifted(case, twin, name) < -3.0 for name in cylinders(case.pull))
        assert abs(moved(case, twin, "air_mass_flow")) < 1e-3


@pytest.mark.parametrize(("kind", "sign"), [("mixture-rich", -1.0), ("mixture-lean", 1.0)])
def test_mixture_moves_sensor_and_flows_together(kind: str, sign: float) -> None:
    for case, twin in pairs(kind, "air_mass_flow"):
        assert shifted(case, twin, "lambda") == pytest.approx(sign * size(case), rel=0.25)
        flows = (1.0 + moved(case, twin, "air_mass_flow")) / (1.0 + moved(case, twin, "fuel_mass_flow"))
        sensor = 1.0 + moved(case, twin, "lambda")
        assert flows == pytest.approx(sensor, rel=0.01)
        assert np.sign(shifted(case, twin, cylinders(case.pull)[0])) == sign


def test_a_slipping_belt_loses_blower_speed_boost_and_torque() -> None:
    for case, twin in pairs("belt-slip", "blower_rpm"):
        last = np.flatnonzero(inside(case))[-3:]
        ratio = case.pull.channels["blower_rpm"][last] / twin.pull.channels["blower_rpm"][last]
        assert 1.0 - ratio.mean() == pytest.approx(size(case), rel=0.35)
        assert shifted(case, twin, "manifold_pressure") < 0.0
        assert moved(case, twin, "torque") < 0.0
        assert moved(case, twin, "air_mass_flow") < 0.0
        assert shifted(case, twin, "lambda") < 0.002


def test_a_creeping_gate_lifts_boost_air_and_torque() -> None:
    for case, twin in pairs("boost-creep", "manifold_pressure"):
        assert shifted(case, twin, "manifold_pressure", last=0.05) == pytest.approx(size(case) * PSI, rel=0.35)
        assert moved(case, twin, "torque") > 0.0


def test_a_shortfall_takes_boost_air_and_torque() -> None:
    for case, twin in pairs("boost-shortfall", "manifold_pressure", "air_mass_flow"):
        assert -1.05 * size(case) * PSI < shifted(case, twin, "manifold_pressure") < -0.3 * size(case) * PSI
        assert moved(case, twin, "torque") < 0.0
        assert moved(case, twin, "air_mass_flow") < 0.0


def test_exhaust_restriction_grows_with_flow() -> None:
    for case, twin in pairs("exhaust-restriction", "exhaust_pressure", "air_mass_flow"):
        torque = case.pull.channels["torque"] / twin.pull.channels["torque"] - 1.0
        assert torque[-5:].mean() < 2.0 * torque[:5].mean() < 0.0
        assert 0.6 < -100.0 * torque[-5:].mean() / size(case) < 3.0  # per cent a psi, trade sheet 3.6
        assert shifted(case, twin, "exhaust_pressure", last=0.2) == pytest.approx(size(case) * PSI, rel=0.25)
        assert moved(case, twin, "air_mass_flow") < 0.0
        assert shifted(case, twin, cylinders(case.pull)[0]) > 2.0


def test_intake_restriction_pulls_the_manifold_down() -> None:
    for case, twin in pairs("intake-restriction", "manifold_pressure", "barometer"):
        channels = case.pull.channels
        depression = channels["barometer"] - channels["manifold_pressure"]
        assert depression[-5:].mean() / 3386.389 == pytest.approx(size(case), rel=0.25)
        assert depression[-5:].mean() > 1.5 * depression[:5].mean()
        assert moved(case, twin, "torque") < -0.01
        assert shifted(case, twin, "lambda") < 0.002 if "lambda" in channels else True


def test_a_low_cylinder_stands_apart_and_costs_the_same_everywhere() -> None:
    for case, twin in pairs("low-cylinder", "exhaust_temperature_1"):
        assert moved(case, twin, "torque") == pytest.approx(-size(case), rel=0.35)
        moves = [abs(shifted(case, twin, name)) for name in cylinders(case.pull)]
        assert 55.0 <= max(moves) <= 168.0  # 100 to 300 degF
        assert sorted(moves)[-2] < 15.0
        ratio = case.pull.channels["torque"] / twin.pull.channels["torque"]
        assert np.std(ratio) < 0.25 * size(case)


def test_heat_soak_leaves_a_loss_after_the_factor() -> None:
    for case, twin in pairs("heat-soak", "torque"):
        corrected = (1.0 + moved(case, twin, "torque")) * case.factor / twin.factor - 1.0
        assert corrected == pytest.approx(-size(case), abs=0.006)
        assert shifted(case, twin, "oil_temperature") > 5.0
        if "inlet_temperature" in case.pull.channels:
            assert shifted(case, twin, "inlet_temperature") > 5.0


def test_zero_is_constant_and_span_is_not() -> None:
    for case, twin in pairs("torque-zero", "torque"):
        more = case.pull.channels["torque"] - twin.pull.channels["torque"]
        assert np.ptp(more) < 2.1 * 1.0 + 0.02 * np.max(twin.pull.channels["torque"])  # rounding of the logger
        assert more.mean() / twin.pull.channels["torque"].max() == pytest.approx(size(case), rel=0.1)
    for case, twin in pairs("torque-span", "torque"):
        ratio = case.pull.channels["torque"] / twin.pull.channels["torque"] - 1.0
        assert np.median(ratio) == pytest.approx(size(case), rel=0.15)
    for kind in ("torque-zero", "torque-span"):
        for case, twin in pairs(kind, "air_mass_flow"):
            assert np.array_equal(case.pull.channels["air_mass_flow"], twin.pull.channels["air_mass_flow"])


def test_a_wrong_pickup_leaves_torque_and_breaks_air_per_turn() -> None:
    for case, twin in pairs("speed-pickup", "air_mass_flow"):
        top, same = case.pull.channels["torque"].max(), twin.pull.channels["torque"].max()
        assert top == pytest.approx(same, rel=0.02)
        low = slice(0, max(case.pull.channels["rpm"].size // 10, 3))
        per_turn = case.pull.channels["air_mass_flow"][low] / twin.pull.channels["air_mass_flow"][low]
        assert np.sign(per_turn.mean() - 1.0) == -np.sign(size(case))
        assert np.array_equal(case.pull.channels["rpm"], twin.pull.channels["rpm"])


def test_a_wrong_barometer_moves_the_factor_and_nothing_else() -> None:
    for case, twin in pairs("wrong-barometer", "torque"):
        assert np.array_equal(case.pull.channels["torque"], twin.pull.channels["torque"])
        if case.engine.induction != "turbo-held":
            assert np.sign(case.factor - twin.factor) == -np.sign(size(case))
        if "barometer" in case.pull.channels:
            assert moved(case, twin, "barometer") == pytest.approx(size(case), abs=0.002)
        else:
            assert case.pull.given.pressure is not None
            assert twin.pull.given.pressure is not None
            assert case.pull.given.pressure / twin.pull.given.pressure - 1.0 == pytest.approx(size(case), abs=0.002)


def test_meters_disagree_by_the_stated_share() -> None:
    for case, twin in pairs("flow-lambda-disagreement", "air_mass_flow", "fuel_mass_flow", "lambda"):
        flows = (1.0 + moved(case, twin, "air_mass_flow")) / (1.0 + moved(case, twin, "fuel_mass_flow"))
        sensor = 1.0 + moved(case, twin, "lambda")
        assert flows / sensor - 1.0 == pytest.approx(size(case), abs=0.022)  # the twin's meters are off, too
        assert np.array_equal(case.pull.channels["torque"], twin.pull.channels["torque"])


def test_reversion_sags_below_2500_with_false_lean() -> None:
    for case, twin in pairs("reversion", "lambda"):
        assert case.planted is not None
        assert case.planted.high <= 2500.0
        assert moved(case, twin, "torque") < -0.3 * size(case)
        assert shifted(case, twin, "lambda") > 0.0
        assert shifted_spread(case, twin, "lambda") > 0.006


@pytest.mark.parametrize(
    ("kind", "channel", "low", "high"),
    [("oil-out-of-window", "oil_temperature", 160.0, 260.0), ("coolant-out-of-window", "coolant_out", 145.0, 215.0)],
)
def test_oil_and_coolant_are_off_the_series_or_beyond_the_window(
    kind: str, channel: str, low: float, high: float
) -> None:
    for case, _ in pairs(kind, channel):
        mean = float(np.mean(case.pull.channels[channel]))
        if case.references:
            usual = float(np.mean([np.mean(one.channels[channel]) for one in case.references]))
            assert (mean - usual) * 1.8 == pytest.approx(size(case), abs=5.0)
        else:
            fahrenheit = (mean - 273.15) * 1.8 + 32.0
            assert fahrenheit < low or fahrenheit > high


def test_brake_water_and_range_are_as_stated() -> None:
    for case, _ in pairs("brake-water-hot", "brake_outlet_temperature"):
        last = float(np.mean(case.pull.channels["brake_outlet_temperature"][-3:]))
        assert 142.0 < (last - 273.15) * 1.8 + 32.0 < size(case) + 2.0  # the thermometer lags
    for case, _ in pairs("peak-at-end", "torque"):
        place = np.linspace(0.0, 1.0, 12)
        rows = np.linspace(0.0, 1.0, case.pull.channels["rpm"].size)
        power = np.interp(place, rows, case.pull.channels["rpm"] * case.pull.channels["torque"])
        assert power[-1] > 0.98 * power.max()


def test_a_sweep_too_fast_lays_torque_to_the_right() -> None:
    for case, twin in pairs("sweep-too-fast", "torque"):
        assert case.pull.sweep_rate > 330.0
        assert all(one.sweep_rate < 250.0 for one in case.references)
        rpm, torque, true = (case.pull.channels["rpm"], case.pull.channels["torque"], twin.pull.channels["torque"])
        late = rpm > 0.6 * rpm.max()
        shifts = np.linspace(0.0, 1200.0, 61)
        errors = [np.mean((np.interp(rpm[late] - s, rpm, true) - torque[late]) ** 2) for s in shifts]
        assert 0.4 * size(case) < shifts[int(np.argmin(errors))] < 1.3 * size(case)


def test_nothing_of_the_detectors_is_known_to_the_generators() -> None:
    from pathlib import Path

    folder = Path(__file__).resolve().parents[2] / "simulations" / "health"
    named: Callable[[str], list[str]] = lambda word: [  # noqa: E731
        path.name for path in folder.glob("*.py") if word in path.read_text(encoding="utf-8")
    ]
    assert named("fairpull.health") == ["measure.py"]
    for room in ("air", "engine", "pulls", "compare", "tune", "demo"):
        assert named(f"fairpull.{room}") == []
