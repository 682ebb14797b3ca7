"""Engine files: what the channels yield with them, against the scenario's printed check values, and fair views."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from fairpull.tasks.unlike import EQUAL_PISTON_SPEED, EQUAL_RPM
from fairpull.terms.comparison import Comparison, Group
from fairpull.terms.units import from_house
from tests.tasks.small import write_engine

LB_PER_HP_H = 1.0 / 1.68965941e-7  # kg/J in 1 lb/(hp h)


@pytest.fixture(scope="module")
def unlike(judge: Callable[..., Comparison], demo_day: Path) -> Comparison:
    engines = {"03": demo_day / "engine-anvil.toml", "plain": demo_day / "engine-wren.toml"}
    return judge("03=03", "plain=wren-plain", engine_files=engines)


def at(group: Group, name: str, rpm: float) -> float:
    row = int(np.flatnonzero(group.rpm == rpm)[0])
    return float(group.derived[name].values[row])


# Printed in the scenario, observed basis: pull, rpm, BMEP psi, BSFC lb/(hp h), BSAC lb/(hp h), VE %, lambda.
@pytest.mark.parametrize(
    ("build", "rpm", "bmep", "bsfc", "bsac", "breathing", "mixture"),
    [
        (0, 2800.0, 155, 0.443, 5.69, 88.4, 0.88),
        (0, 4400.0, 130, 0.482, 6.09, 79.3, 0.87),
        (1, 4400.0, 175, 0.440, 5.65, 99.0, 0.88),
    ],
)
def test_derived_quantities_are_the_printed_ones(
    unlike: Comparison, build: int, rpm: float, bmep: float, bsfc: float, bsac: float, breathing: float, mixture: float
) -> None:
    """Sensor noise and the pull's own error leave 1.5 %; the printed digits are rounded too."""
    group = unlike.groups[build]
    assert from_house(at(group, "bmep", rpm), "psi", "Pa") == pytest.approx(bmep, rel=0.015)
    assert at(group, "bsfc", rpm) * LB_PER_HP_H == pytest.approx(bsfc, rel=0.015)
    assert at(group, "bsac", rpm) * LB_PER_HP_H == pytest.approx(bsac, rel=0.015)
    assert at(group, "volumetric_efficiency", rpm) * 100.0 == pytest.approx(breathing, rel=0.015)
    assert at(group, "lambda_from_flows", rpm) == pytest.approx(mixture, rel=0.015)


def test_derived_quantities_say_how_they_were_made(unlike: Comparison) -> None:
    derived = unlike.groups[0].derived
    assert set(derived) >= {
        "mean_piston_speed",
        "torque_per_displacement",
        "thermal_efficiency",
        "lambda_flows_over_sensor",
    }
    assert "dry air of the room" in derived["volumetric_efficiency"].how
    assert at(unlike.groups[0], "mean_piston_speed", 4800.0) == pytest.approx(2 * 3.9 * 0.0254 * 80.0, rel=1e-9)
    assert all(len(one.values) == len(unlike.groups[0].rpm) for one in derived.values())


def test_unlike_engines_are_compared_by_mean_effective_pressure(unlike: Comparison) -> None:
    assert [view.name for view in unlike.views] == [EQUAL_RPM, EQUAL_PISTON_SPEED]
    rpm, speed = unlike.views
    for view in (rpm, speed):
        anvil, wren = (from_house(one.value, "psi", "Pa") for one in view.mean_bmep)
        assert 135 < anvil < 155  # the scenario prints 130 to 155
        assert 155 < wren < 180  # and 175 at its best
        assert view.mean_bmep[0].unit == view.differences[0].mean_torque.unit == "Pa"
        assert np.isnan(view.differences[0].power).all()
        assert view.differences[0].mean_ratio.low > 0.08
    assert unlike.differences[0].mean_ratio.value < -0.4  # as engines, half the torque


def test_at_equal_piston_speed_rpm_is_the_references(unlike: Comparison) -> None:
    """Wren's stroke is 0.888 of Anvil's: its 2200-6400 rpm stand at 1955-5687 rpm of Anvil, which ends at 4800."""
    rpm = unlike.views[1].differences[0].rpm
    assert unlike.views[1].axis == "rpm of the reference at equal mean piston speed"
    assert (rpm[0], rpm[-1]) == (2000.0, 4800.0)
    assert unlike.views[0].differences[0].rpm[0] == 2200.0


def test_the_declared_band_holds_in_the_views_too(judge: Callable[..., Comparison], demo_day: Path) -> None:
    engines = {"03": demo_day / "engine-anvil.toml", "plain": demo_day / "engine-wren.toml"}
    found = judge("03=03", "plain=17", engine_files=engines, band=(2500.0, 4000.0), step=250.0)
    assert [len(view.differences) for view in found.views] == [1, 1]
    assert all("2500-4000 rpm" in view.differences[0].verdict.sentence for view in found.views)


def test_like_engines_have_no_views(header: Comparison) -> None:
    assert header.views == ()
    assert all(group.derived for group in header.groups)


def test_without_an_engine_for_every_build_there_are_no_views(judge: Callable[..., Comparison], demo_day: Path) -> None:
    found = judge("03=03", "plain=17", engine_files={"03": demo_day / "engine-anvil.toml"}, step=250.0)
    assert found.views == ()
    assert "bmep" in found.groups[0].derived
    assert found.groups[1].derived == {}


def test_a_view_that_cannot_be_drawn_is_named(judge: Callable[..., Comparison], demo_day: Path, tmp_path: Path) -> None:
    bare = tmp_path / "bare.toml"
    bare.write_text('displacement = "1.68 L"\n', "utf-8")
    engines = {"03": demo_day / "engine-anvil.toml", "plain": bare}
    found = judge("03=03", "plain=17", engine_files=engines, step=250.0)
    assert [view.name for view in found.views] == [EQUAL_RPM]
    (finding,) = [one for one in found.findings if one.code == "fair-view-missing"]
    assert finding.where == EQUAL_PISTON_SPEED
    assert "stroke" in finding.text


def test_engine_files_change_no_verdict(judge: Callable[..., Comparison], demo_day: Path, tmp_path: Path) -> None:
    """An engine file without inertia adds quantities and takes none away."""
    plain = judge("03=03", "07=07", step=250.0)
    other = judge("03=03", "07=07", step=250.0, engine_files={"": write_engine(tmp_path / "engine.toml")})
    assert plain.differences[0].verdict == other.differences[0].verdict
    assert plain.choices["engine"] == "no engine file"
    assert other.choices["engine"] == "03: engine 5.655 L; 07: engine 5.655 L"
