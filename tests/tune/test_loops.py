"""Spark and mixture loops: what is said of them, and where nothing can be said."""

from __future__ import annotations

import math

import numpy as np
import pytest

from fairpull.terms.findings import Severity
from fairpull.terms.tuning import LoopPoints
from fairpull.tune import mixture_loop, spark_loop
from fairpull.tune.parabola import Belief
from fairpull.tune.spark import first_knock

DEG = math.pi / 180.0


def spark(setting: list[float], torque: list[float], knock: list[float] | None = None) -> LoopPoints:
    silent = [math.nan] * len(setting) if knock is None else knock
    return LoopPoints(3000.0, np.array(setting) * DEG, np.array(torque), np.array(silent))


def loop_of(setting: list[float], top: float) -> list[float]:
    return [300.0 * (1.0 - 4.8e-4 * (one - top) ** 2) for one in setting]


SWEEP = [20.0, 23.0, 26.0, 29.0, 32.0, 35.0]


def test_the_top_and_the_least_advance_within_one_per_cent() -> None:
    loop = spark_loop(spark(SWEEP, loop_of(SWEEP, 29.0)))
    assert loop.best is not None
    assert loop.modest is not None
    assert loop.best.value / DEG == pytest.approx(29.0, abs=0.4)
    # 1 % at sqrt(0.01 / 4.8e-4) = 4.56 degrees, computed by hand
    assert (loop.best.value - loop.modest.value) / DEG == pytest.approx(4.56, abs=0.5)
    assert loop.flat is not None
    assert loop.flat.value / DEG == pytest.approx(9.13, abs=1.0)
    assert loop.cost_of_safe is not None
    assert loop.cost_of_safe.value == pytest.approx(0.01, abs=0.003)
    assert loop.knock_limited is None
    assert loop.next_setting is None
    assert loop.next_why.startswith("Nothing left to learn")
    assert len(loop.checks) == 2
    assert all("agrees with" in check for check in loop.checks)


def test_torque_that_still_rises_reads_at_least_and_asks_for_more_advance() -> None:
    setting = [14.0, 17.0, 20.0]
    loop = spark_loop(spark(setting, loop_of(setting, 30.0)))
    assert loop.best is not None
    assert loop.best.at_least
    assert loop.best.value == pytest.approx(20.0 * DEG)
    assert loop.next_setting is not None
    assert 20.0 < loop.next_setting / DEG <= 24.0
    assert "knock" in loop.next_why


def test_limits_hold_the_next_point() -> None:
    setting = [14.0, 17.0, 20.0]
    loop = spark_loop(spark(setting, loop_of(setting, 30.0)), limits=(10.0 * DEG, 21.0 * DEG))
    assert loop.next_setting is not None
    assert loop.next_setting / DEG <= 21.0 + 1e-9


def test_knock_before_best_torque_limits_the_spark() -> None:
    setting = [14.0, 17.0, 20.0, 23.0]
    loop = spark_loop(spark(setting, loop_of(setting, 30.0), [1.0, 1.0, 1.1, 9.0]))
    assert loop.knock_limited is True
    assert loop.modest is not None
    assert loop.modest.value / DEG <= 20.5
    assert loop.next_setting is None or loop.next_setting / DEG <= 20.5
    assert [finding.code for finding in loop.findings] == ["knock-limited"]


def test_knock_beyond_best_torque_does_not_limit() -> None:
    loop = spark_loop(spark(SWEEP, loop_of(SWEEP, 26.0), [1, 1, 1, 1, 1, 9.0]))
    assert loop.knock_limited is False


@pytest.mark.parametrize(
    ("knock", "limit", "first"),
    [
        ([math.nan] * 3, None, None),
        ([1.0, 1.0, 1.0], None, math.inf),
        ([1.0, 1.0, 4.0], None, 30.0 * DEG),
        ([1.0, 2.0, 4.0], 1.5, 27.0 * DEG),
    ],
)
def test_where_knock_was_first_heard(knock: list[float], limit: float | None, first: float | None) -> None:
    assert first_knock(spark([24.0, 27.0, 30.0], [1.0, 1.0, 1.0], knock), limit) == first


def test_one_setting_is_no_loop() -> None:
    loop = spark_loop(spark([30.0, 30.0], [300.0, 301.0]))
    assert loop.best is None
    assert loop.findings[0].severity is Severity.FAULT
    assert "run two more" in loop.next_why


def test_two_settings_rest_on_the_trades_curvature_and_say_so() -> None:
    loop = spark_loop(spark([30.0, 33.0], [300.0, 300.0]))
    assert loop.findings[0].code == "loop-few-points"
    assert loop.best is not None
    assert loop.best.value / DEG == pytest.approx(31.5, abs=0.5)


def test_a_shape_that_breaks_the_rule_is_said() -> None:
    steep = [300.0 * (1.0 - 4.0e-3 * (one - 29.0) ** 2) for one in SWEEP]
    wide = Belief(2e-3 / DEG**2, 1.5, 0.003, 1.0)
    loop = spark_loop(spark(SWEEP, steep), belief=wide)
    assert any("does NOT agree" in check for check in loop.checks)


def mixture(setting: list[float], torque: list[float]) -> LoopPoints:
    return LoopPoints(3000.0, np.array(setting), np.array(torque), np.full(len(setting), math.nan))


def test_best_lambda_and_what_the_rich_side_costs() -> None:
    setting = [0.80, 0.83, 0.86, 0.89, 0.92]
    loop = mixture_loop(mixture(setting, [300.0 * (1.0 - 4.0 * (one - 0.87) ** 2) for one in setting]))
    assert loop.best is not None
    assert loop.best.value == pytest.approx(0.87, abs=0.006)
    assert loop.modest is not None
    assert loop.modest.value == pytest.approx(loop.best.value - 0.02, abs=1e-9)
    assert loop.cost_of_safe is not None
    assert loop.cost_of_safe.value == pytest.approx(4.0 * 0.02**2, abs=0.0015)
    assert all("agrees with" in check for check in loop.checks)
    assert len(mixture_loop(mixture(setting, [300.0] * 5), fuel="E85").checks) == 1


def test_the_next_mixture_stays_clear_of_lean() -> None:
    setting = [0.80, 0.82]
    loop = mixture_loop(mixture(setting, [297.0, 298.5]))
    assert loop.next_setting is not None
    assert 0.74 <= loop.next_setting <= 0.85 + 1e-9
    held = mixture_loop(mixture(setting, [297.0, 298.5]), limits=(0.80, 0.81))
    assert held.next_setting is None or held.next_setting <= 0.81 + 1e-9


def test_jets_are_counted_in_numbers() -> None:
    loop = mixture_loop(mixture([66.0, 68.0, 70.0], [299.0, 300.0, 299.5]), by="jet")
    assert loop.best is not None
    assert 66.0 < loop.best.value < 71.0
    assert loop.modest is not None
    assert loop.modest.value == pytest.approx(loop.best.value + 1.0)
    assert loop.checks == ()


def test_settings_that_only_scatter_about_one_are_one() -> None:
    """A logged advance of 26 degrees reads 26.1 and 25.9; that is no loop, however many points there are."""
    near = [25.9, 26.0, 26.1, 26.05]
    loop = spark_loop(spark(near, loop_of(near, 29.0)))
    assert loop.best is None
    assert [finding.code for finding in loop.findings] == ["loop-few-points"]
    two = [*near, 29.0, 29.1]
    (finding,) = spark_loop(spark(two, loop_of(two, 29.0))).findings
    assert finding.text.startswith("2 different settings")


@pytest.mark.parametrize(
    ("limits", "said"),
    [
        (None, "3 degrees either side"),
        ((20.0, 40.0), "3 degrees either side"),
        ((20.0, 31.0), "3 and 6 degrees less"),
        ((29.0, 40.0), "3 and 6 degrees more"),
    ],
)
def test_the_first_steps_stay_within_the_limits(limits: tuple[float, float] | None, said: str) -> None:
    held = None if limits is None else (limits[0] * DEG, limits[1] * DEG)
    assert said in spark_loop(spark([30.0], [300.0]), limits=held).next_why


def heard(setting: list[float], top: float, knock: list[float], scale: float = 4.0) -> LoopPoints:
    torque = [300.0 * (1.0 - scale * (one - top) ** 2) for one in setting]
    return LoopPoints(3000.0, np.array(setting), np.array(torque), np.array(knock))


def test_knock_on_the_rich_side_of_the_top_limits_the_mixture() -> None:
    """Torque is best at 0.90, knock is heard from 0.86: the setting said is 0.84, and nothing leaner is proposed."""
    points = heard([0.80, 0.82, 0.84, 0.86], 0.90, [1.0, 1.0, 1.1, 9.0])
    loop = mixture_loop(points)
    assert loop.knock_limited is True
    assert loop.modest is not None
    assert loop.modest.value == pytest.approx(0.84, abs=1e-9)
    assert loop.next_setting is None or loop.next_setting <= 0.84 + 1e-9
    assert [finding.code for finding in loop.findings] == ["knock-limited"]
    assert "lambda 0.86" in loop.findings[0].text
    deaf = mixture_loop(points, knock_limit=20.0)
    assert deaf.knock_limited is False
    assert mixture_loop(heard([0.80, 0.84, 0.88], 0.86, [math.nan] * 3)).knock_limited is None


def test_a_lean_jet_that_knocks_limits_too() -> None:
    """Numbers fall towards lean: knock at 67, above a top of 66, leaves 68 and richer."""
    loop = mixture_loop(heard([67.0, 69.0, 71.0], 66.0, [9.0, 1.0, 1.0], 0.0025), by="jet")
    assert loop.knock_limited is True
    assert loop.modest is not None
    assert loop.modest.value >= 68.0 - 1e-9
    assert loop.next_setting is None or loop.next_setting >= 68.0
    rich = mixture_loop(heard([67.0, 69.0, 71.0], 70.0, [9.0, 1.0, 1.0], 0.0025), by="jet")
    assert rich.knock_limited is False
