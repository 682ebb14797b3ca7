"""Two logs of one pull become one recording: lag and drift are found again, doubtful joins are refused."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from fairpull.logs.join import join
from fairpull.terms.arrays import FloatArray
from fairpull.terms.errors import ReadRefused
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.recording import Conditions, Mapped, Origin, Recording


def true_speed(time: FloatArray) -> FloatArray:
    """Hold, 12 s sweep, drop: what any brake pull looks like, with a little torsional wobble."""
    points_t = [0.0, 3.0, 4.0, 16.0, 17.0, 20.0, 24.0]
    points_n = [1500.0, 1500.0, 2000.0, 5500.0, 5450.0, 1900.0, 1500.0]
    return np.interp(time, points_t, points_n) + 15.0 * np.sin(2.3 * time)


def recording(name: str, time: FloatArray, rpm: FloatArray, **more: FloatArray) -> Recording:
    origin = Origin(path=f"{name}.csv", sha256=name * 4, format="delimited", reason="test")
    mapped = tuple(Mapped(key, "", key, "exact", "test") for key in ("time", "rpm", *more))
    return Recording(name, origin, {"time": time, "rpm": rpm, **more}, mapped=mapped)


def pair(
    lag: float = 1.37,
    drift: float = 150e-6,
    *,
    rate: float = 20.0,
    noise: float = 8.0,
    seed: int = 3,
    start: float = 0.0,
) -> tuple[Recording, Recording]:
    """Brake at 100 Hz; controller on its own clock so that brake time = other * (1 + drift) + lag."""
    rng = np.random.default_rng(seed)
    brake_time = np.arange(0.0, 24.0, 0.01)
    other_time = np.arange(0.0, 24.0 - lag, 1.0 / rate)
    seen_at = other_time * (1.0 + drift) + lag
    brake = recording(
        "brake",
        brake_time,
        true_speed(brake_time) + rng.normal(0, 3.0, brake_time.size),
        torque=200.0 + 0.0 * brake_time,
    )
    controller = recording(
        "controller",
        other_time + start,
        np.round((true_speed(seen_at) + rng.normal(0, noise, seen_at.size)) / 10.0) * 10.0,
        spark_advance=0.1 + 0.01 * seen_at,
    )
    return brake, controller


def found(joined: Recording, code: str = "logs-joined") -> Finding:
    return next(finding for finding in joined.findings if finding.code == code)


def numbers(joined: Recording) -> tuple[float, float, float]:
    """Lag [s], drift [1], misfit [rpm] as the finding tells them."""
    text = found(joined).text
    match = re.search(r"lag (-?[\d.]+) ms .*drift (-?\d+) ppm .*misfit ([\d.]+) rpm", text)
    assert match is not None
    return float(match[1]) / 1e3, float(match[2]) / 1e6, float(match[3])


def code(error: pytest.ExceptionInfo[ReadRefused]) -> str:
    return error.value.faults[0].code


@pytest.mark.parametrize("lag", [0.0, 0.02, 1.37, 4.9])
@pytest.mark.parametrize("drift", [0.0, 150e-6, -2000e-6])
def test_lag_and_drift_are_found_again(lag: float, drift: float) -> None:
    joined = join(*pair(lag, drift))
    seen_lag, seen_drift, misfit = numbers(joined)
    assert seen_lag == pytest.approx(lag, abs=0.012)  # at the first sample, where drift's own error adds
    assert seen_drift == pytest.approx(drift, abs=1500e-6)  # 3 standard errors of a 12 s sweep at 20 Hz
    assert 5.0 < misfit < 15.0


def test_a_carried_channel_sits_at_the_right_moment() -> None:
    joined = join(*pair(1.37, 500e-6))
    time, spark = joined.channels["time"], joined.channels["spark_advance"]
    known = np.isfinite(spark)
    assert np.flatnonzero(known)[0] == pytest.approx(137, abs=6)
    wrong = (spark[known] - 0.1) / 0.01 - time[known]
    assert np.max(np.abs(wrong)) < 0.008  # s, over the whole pull


def test_the_quoted_standard_error_covers_the_truth() -> None:
    """Over 20 seeds the lag's error divided by its standard error has the size of a standard normal."""
    ratios = []
    for seed in range(20):
        text = found(join(*pair(0.8, 0.0, seed=seed, noise=15.0))).text
        match = re.search(r"lag (-?[\d.]+) ms \(± ([\d.]+)\)", text)
        assert match is not None
        ratios.append((float(match[1]) - 800.0) / float(match[2]))
    assert 0.5 < np.sqrt(np.mean(np.square(ratios))) < 1.8


def test_clocks_that_start_anywhere_make_no_difference() -> None:
    near, far = join(*pair()), join(*pair(start=98765.0))
    assert numbers(near) == pytest.approx(numbers(far), abs=1e-4)


def test_a_faster_controller_is_brought_onto_the_brakes_rows() -> None:
    brake, controller = pair(rate=500.0)
    joined = join(brake, controller)
    assert joined.channels["spark_advance"].shape == brake.channels["time"].shape
    assert numbers(joined)[0] == pytest.approx(1.37, abs=0.003)


def test_a_controller_that_started_before_the_brake() -> None:
    brake, controller = pair(0.0, 0.0)
    late = brake.channels["time"] >= 2.5
    cut = {name: values[late] for name, values in brake.channels.items()}
    cut["time"] = cut["time"] - 2.5
    joined = join(replace(brake, channels=cut), controller)
    assert numbers(joined)[0] == pytest.approx(-2.5, abs=0.006)


def test_speed_spikes_and_dropouts_do_not_move_the_lag() -> None:
    brake, controller = pair(1.37, 0.0)
    rpm = controller.channels["rpm"].copy()
    rpm[::67] = 0.0
    rpm[40:45] = np.nan
    spiky = replace(controller, channels=dict(controller.channels) | {"rpm": rpm})
    assert numbers(join(brake, spiky))[0] == pytest.approx(1.37, abs=0.008)


def test_no_value_across_a_gap() -> None:
    brake, controller = pair(0.0, 0.0)
    keep = (controller.channels["time"] < 8.0) | (controller.channels["time"] > 9.0)
    holed = replace(controller, channels={k: v[keep] for k, v in controller.channels.items()})
    joined = join(brake, holed)
    inside = (joined.channels["time"] > 8.1) & (joined.channels["time"] < 8.9)
    assert np.all(np.isnan(joined.channels["spark_advance"][inside]))
    assert np.all(np.isfinite(joined.channels["spark_advance"][100:700]))


def test_clashes_keep_the_brakes_own_and_say_so() -> None:
    brake, controller = pair()
    joined = join(brake, controller)
    assert joined.channels["rpm"] is brake.channels["rpm"]
    assert "rpm" in found(joined, "join-clash").text
    assert "rpm (controller)" in joined.extra
    assert joined.choices["join clashes"].endswith("rpm")
    rows = {row.column: row for row in joined.mapped if row.reason.startswith("controller")}
    assert rows["spark_advance"].channel == "spark_advance"
    assert rows["rpm"].channel is None
    assert rows["time"].channel is None


def test_what_was_known_of_both_logs_stays_known() -> None:
    brake, controller = pair()
    warm = replace(controller, given=Conditions(pressure=99000.0), choices={"format": "delimited"})
    joined = join(replace(brake, choices={"format": "parquet"}), warm)
    assert joined.given.pressure == 99000.0
    assert joined.choices["format"] == "parquet"
    assert joined.choices["controller: format"] == "delimited"
    assert "controller.csv" in joined.origin.detail
    assert joined.origin.sha256 == brake.origin.sha256
    for name in ("join lag", "join drift", "join misfit", "join method"):
        assert name in joined.choices


def test_what_one_log_lacked_and_the_other_has_is_no_longer_said() -> None:
    brake, controller = pair()
    no_torque = Finding("torque-missing", Severity.FAULT, "controller.csv", "no torque", "join it")
    no_weather = Finding("no-weather", Severity.WARNING, "brake.csv", "no weather", "give it")
    brake, controller = replace(brake, findings=(no_weather,)), replace(controller, findings=(no_torque,))
    assert {f.code for f in join(brake, controller).findings} == {"no-weather", "logs-joined", "join-clash"}
    known = replace(controller, given=Conditions(pressure=99000.0, temperature=295.0))
    assert {f.code for f in join(brake, known).findings} == {"logs-joined", "join-clash"}


def test_another_pull_is_refused() -> None:
    brake, controller = pair()
    rpm = controller.channels["rpm"]
    clock = controller.channels["time"]
    stretched = np.asarray(np.interp(clock * 0.7, clock, rpm), dtype=np.float64) + 200.0
    with pytest.raises(ReadRefused) as error:
        join(brake, replace(controller, channels={**controller.channels, "rpm": stretched}))
    assert code(error) == "join-poor-fit"
    assert "rpm rms" in str(error.value) or "ppm" in str(error.value)


def test_a_wrong_teeth_count_is_named() -> None:
    brake, controller = pair()
    wrong = controller.channels["rpm"] * 60.0 / 58.0
    with pytest.raises(ReadRefused) as error:
        join(brake, replace(controller, channels={**controller.channels, "rpm": wrong}))
    assert code(error) == "join-poor-fit"
    assert "teeth" in error.value.faults[0].remedy


def test_missing_speed_and_clock_are_named_together() -> None:
    brake, controller = pair()
    no_speed = replace(brake, channels={"time": brake.channels["time"]})
    no_clock = replace(controller, channels={"rpm": controller.channels["rpm"]})
    with pytest.raises(ReadRefused) as error:
        join(no_speed, no_clock)
    assert {(f.code, f.where) for f in error.value.faults} == {
        ("join-no-speed", "brake.csv"),
        ("join-no-clock", "controller.csv"),
    }


def test_speed_that_is_never_there_is_missing_speed() -> None:
    brake, controller = pair()
    empty = np.full(brake.channels["rpm"].shape, np.nan)
    with pytest.raises(ReadRefused) as error:
        join(replace(brake, channels={**brake.channels, "rpm": empty}), controller)
    assert code(error) == "join-no-speed"


def test_two_idling_logs_fix_no_lag() -> None:
    time = np.arange(0.0, 20.0, 0.05)
    rng = np.random.default_rng(1)
    first = recording("a", time, 900.0 + rng.normal(0, 5, time.size))
    second = recording("b", time, 900.0 + rng.normal(0, 5, time.size))
    with pytest.raises(ReadRefused) as error:
        join(first, second)
    assert code(error) == "join-poor-fit"
    assert "rpm" in str(error.value)


def test_too_short_an_overlap_is_refused() -> None:
    brake, controller = pair(0.0, 0.0)
    first = brake.channels["time"] < 8.0
    last = controller.channels["time"] > 7.0
    left = replace(brake, channels={k: v[first] for k, v in brake.channels.items()})
    right = replace(controller, channels={k: v[last] for k, v in controller.channels.items()})
    with pytest.raises(ReadRefused) as error:
        join(left, right)
    assert code(error) in {"join-short-overlap", "join-poor-fit"}


def test_a_log_with_two_equal_pulls_is_ambiguous() -> None:
    brake, controller = pair(0.0, 0.0, noise=3.0)
    twice: dict[str, FloatArray] = {k: np.concatenate((v, v)) for k, v in controller.channels.items()}
    twice["time"] = np.arange(0.0, twice["rpm"].size) * 0.05
    with pytest.raises(ReadRefused) as error:
        join(brake, replace(controller, channels=twice))
    assert code(error) == "join-ambiguous"
    assert "s (" in error.value.faults[0].seen


def test_ten_minutes_with_a_fast_running_clock() -> None:
    """Drift of 3000 ppm smears the coarse search by 1.8 s over ten minutes; it is found all the same."""
    rng = np.random.default_rng(5)
    knots = np.arange(0.0, 620.0, 10.0)
    levels = rng.uniform(1500.0, 5500.0, knots.size)
    brake_time = np.arange(0.0, 600.0, 0.05)
    other_time = np.arange(0.0, 590.0, 0.1)
    seen_at = other_time * 1.003 + 5.0
    brake = recording("brake", brake_time, np.interp(brake_time, knots, levels))
    other = recording("ctl", other_time, np.interp(seen_at, knots, levels) + rng.normal(0, 5, other_time.size))
    lag, drift, _ = numbers(join(brake, other))
    assert lag == pytest.approx(5.0, abs=0.01)
    assert drift == pytest.approx(0.003, abs=30e-6)
