"""Unit traps: each refuses, warns or converts, and says what it saw."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from fairpull.terms.recording import Conditions
from tests.logs.small_log import GOOD, SPEED, TIME, TORQUE, about, codes, mapped, read, refused

KILOWATT = [t * n * np.pi / 30 / 1000 for t, n in zip(TORQUE, SPEED, strict=True)]


@pytest.mark.parametrize(
    ("extra", "code", "said"),
    [
        ({"RH [%]": about(0.45)}, "humidity-as-fraction", "1 for a fraction"),
        ({"Throttle [%]": about(0.99)}, "percent-as-fraction", "1 for a fraction"),
        ({"Oil temp [degC]": about(210)}, "value-implausible", "°F"),
        ({"Boost [kPa]": about(101)}, "absolute-as-gauge", "abs or gauge"),
        ({"Coolant out [degC]": about(450)}, "value-implausible", "outside"),
        ({"Fuel pressure [bar]": about(5000)}, "value-implausible", "outside"),
    ],
)
def test_a_doubtful_channel_is_left_aside_with_the_reason(
    extra: dict[str, list[float]], code: str, said: str, tmp_path: Path
) -> None:
    found = read(tmp_path, GOOD | extra)
    (finding,) = (finding for finding in found.findings if finding.code == code)
    assert said in finding.text + finding.remedy
    column = next(iter(extra)).partition(" [")[0]
    assert mapped(found, column).channel is None


@pytest.mark.parametrize(
    ("extra", "code", "said"),
    [
        ({"RH [1]": about(45)}, "humidity-as-percent", "%"),
        ({"Throttle [fraction]": about(99)}, "fraction-as-percent", "%"),
        ({"Baro [kPa]": about(29.6)}, "value-implausible", "inHg"),
        ({"Baro [psi]": about(99)}, "value-implausible", "kPa"),
        ({"Baro [inHg]": about(1002)}, "value-implausible", "hPa"),
        ({"Inlet air [K]": about(21)}, "value-implausible", "°C"),
        ({"MAP [kPa abs]": about(-3)}, "gauge-as-absolute", "gauge"),
    ],
)
def test_wrong_weather_and_pressures_that_cannot_be_are_refused(
    extra: dict[str, list[float]], code: str, said: str, tmp_path: Path
) -> None:
    found = refused(tmp_path, GOOD | extra)
    assert said in found[code]


def test_speed_and_torque_in_another_unit_are_refused(tmp_path: Path) -> None:
    assert "value-implausible" in refused(tmp_path, GOOD | {"Speed [rpm]": [n * 10 for n in SPEED]})
    assert "value-implausible" in refused(tmp_path, GOOD | {"Torque [N m]": [t * 100 for t in TORQUE]})
    turning = read(tmp_path, GOOD | {"Speed [rpm]": [n * np.pi / 30 for n in SPEED]})
    (finding,) = (finding for finding in turning.findings if finding.code == "value-implausible")
    assert "rad/s" in finding.text


def test_an_unusual_temperature_is_kept_and_said(tmp_path: Path) -> None:
    found = read(tmp_path, GOOD | {"Inlet air [degC]": about(75)})
    (finding,) = (finding for finding in found.findings if finding.code == "value-implausible")
    assert "°F" in finding.text
    assert found.channels["inlet_temperature"][0] == pytest.approx(348.15, rel=1e-9)


def test_torque_times_speed_must_be_power(tmp_path: Path) -> None:
    agreed = read(tmp_path, GOOD | {"Power [kW]": KILOWATT})
    assert codes(agreed) == set()
    found = read(tmp_path, {"Time [s]": TIME, "Speed [rpm]": SPEED, "Torque [lb-ft]": TORQUE, "Power [kW]": KILOWATT})
    (finding,) = (finding for finding in found.findings if finding.code == "torque-power-disagree")
    assert finding.severity == "fault"
    assert "N m with kW" in finding.remedy
    corrected = read(tmp_path, GOOD | {"Power [kW]": [power * 1.03 for power in KILOWATT]})
    (finding,) = (finding for finding in corrected.findings if finding.code == "torque-power-disagree")
    assert finding.severity == "warning"
    assert "0.971" in finding.text


def test_gauge_pressure_is_made_absolute_with_the_barometer(tmp_path: Path) -> None:
    columns = GOOD | {"Baro [kPa]": about(99, 0), "MAP [psig]": about(6), "Back pressure [psi]": about(2)}
    found = read(tmp_path, columns)
    assert found.channels["manifold_pressure"][0] == pytest.approx(99e3 + 6 * 6894.757293168361, rel=1e-9)
    assert found.channels["exhaust_pressure"][0] == pytest.approx(99e3 + 2 * 6894.757293168361, rel=1e-9)
    assert "barometer was added" in found.choices["manifold_pressure"]
    assert "gauge-assumed" in codes(found)  # the back pressure did not say so


def test_absolute_boost_is_made_gauge_with_the_barometer_given(tmp_path: Path) -> None:
    found = read(tmp_path, GOOD | {"Boost [kPa abs]": about(150, 0)}, given=Conditions(pressure=99e3))
    assert found.channels["boost"][0] == pytest.approx(51e3, rel=1e-9)
    alone = read(tmp_path, GOOD | {"Boost [kPa abs]": about(150, 0)})
    assert "barometer-needed" in codes(alone)
    assert mapped(alone, "Boost").channel is None


def test_vacuum_is_below_the_barometer(tmp_path: Path) -> None:
    found = read(tmp_path, GOOD | {"Baro [inHg]": about(29.6, 0), "MAP [inHg vac]": about(1.0, 0)})
    assert found.channels["manifold_pressure"][0] == pytest.approx(28.6 * 3386.38864034, rel=1e-9)


@pytest.mark.parametrize(("pressure", "told"), [(1013.0, True), (836.0, False)])
def test_a_sea_level_barometer_high_up(pressure: float, told: bool, tmp_path: Path) -> None:
    found = read(tmp_path, GOOD | {"Baro [hPa]": about(pressure, 0)}, altitude=1600.0)
    assert ("barometer-sea-level" in codes(found)) == told
    by_hand = read(tmp_path, GOOD, altitude=1600.0, given=Conditions(pressure=100 * pressure))
    assert ("barometer-sea-level" in codes(by_hand)) == told


def test_signs(tmp_path: Path) -> None:
    columns = GOOD | {"Torque [N m]": [-value for value in TORQUE]}
    found = read(tmp_path, columns)
    (finding,) = (finding for finding in found.findings if finding.code == "torque-negative")
    assert "-N m" in finding.remedy
    turned = read(tmp_path, columns, units={"Torque": "-N m"})
    np.testing.assert_allclose(turned.channels["torque"], TORQUE, rtol=1e-15)
    backwards = read(tmp_path, GOOD | {"Speed [rpm]": [-value for value in SPEED]})
    np.testing.assert_allclose(backwards.channels["rpm"], SPEED, rtol=1e-15)
    assert "speed-negative" in codes(backwards)


def test_torque_from_power_or_from_bmep(tmp_path: Path) -> None:
    found = read(tmp_path, {"Time [s]": TIME, "Speed [rpm]": SPEED, "Power [kW]": KILOWATT})
    np.testing.assert_allclose(found.channels["torque"], TORQUE, rtol=1e-12)
    assert "power and speed" in found.choices["torque"]
    assert "torque-from-power" in codes(found)
    bar = {"Speed [rpm]": SPEED, "BMEP [bar]": [t * 4 * np.pi / 2e-3 / 1e5 for t in TORQUE]}
    found = read(tmp_path, bar, displacement=2e-3)
    np.testing.assert_allclose(found.channels["torque"], TORQUE, rtol=1e-12)
    halved = read(tmp_path, bar, displacement=2e-3, strokes=2)
    np.testing.assert_allclose(halved.channels["torque"], 2 * np.array(TORQUE), rtol=1e-12)
    assert "displacement" in refused(tmp_path, bar)["no-displacement"]


def test_an_already_corrected_torque_is_not_taken_by_itself(tmp_path: Path) -> None:
    found = read(tmp_path, GOOD | {"Corrected Torque [N m]": [1.02 * t for t in TORQUE]})
    np.testing.assert_allclose(found.channels["torque"], TORQUE, rtol=1e-15)
    assert "already corrected" in mapped(found, "Corrected Torque").reason
    alone = {"Time [s]": TIME, "Speed [rpm]": SPEED, "Corrected Torque [N m]": TORQUE}
    assert "no-torque" in refused(tmp_path, alone)
    assert "torque" in read(tmp_path, alone, columns={"Corrected Torque": "torque"}).channels
