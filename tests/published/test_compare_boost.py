"""Boost, hidden torque and weather sensitivities against calculated tables of the trade's sheet.

Birth certificate: the project's reference of trade practice. Table 3.7 (outlet temperature from 80 degF without cooler,
and density ratio) is marked *calculated* there; its digits come out with 14.7 psi of air and a ratio of specific heats
of 1.4 (section 2.3 of the same sheet writes the exponent as 0.283, which does not give the table). Hidden torque of
section 1.7, vapour of 1.8 and weather of 3.9: *calculated*. Table 8.2 and section 8.3: an invented demonstration,
*computed by hand* from unrounded values, so that the printed table allows half a unit in each entry. Drive power:
*computed by hand* from the trade's form, lb/min x 0.24 x degF / 42.4.
"""

from __future__ import annotations

import numpy as np
import pytest

from fairpull.compare.fairness import boost_facts, fair_looks
from fairpull.compare.fairness.boosted import PSI
from fairpull.compare.fairness.charge import (
    compressor_efficiency,
    compressor_outlet_temperature,
    density_ratio,
    drive_power,
    pressure_ratio,
)
from fairpull.compare.ledger import rules
from fairpull.terms.units import from_house, to_house
from tests.compare import fair_days as days

SEA_LEVEL = 14.7 * PSI
BOOSTS = (5, 8, 10, 15, 20)
TABLE = {
    0.55: ((166, 210, 237, 298, 353), (1.16, 1.25, 1.30, 1.44, 1.57)),
    0.65: ((152, 190, 213, 265, 311), (1.18, 1.28, 1.35, 1.51, 1.65)),
    0.75: ((143, 175, 195, 240, 280), (1.20, 1.31, 1.39, 1.56, 1.72)),
}


@pytest.mark.parametrize("efficiency", sorted(TABLE))
def test_outlet_temperature_and_density_ratio_to_the_printed_digits(efficiency: float) -> None:
    inlet = to_house(80.0, "degF", "K")
    ratio = pressure_ratio(np.array(BOOSTS) * PSI, SEA_LEVEL)
    outlet = np.asarray(compressor_outlet_temperature(inlet, ratio, efficiency))
    density = np.asarray(density_ratio(ratio, inlet, outlet))
    temperatures, densities = TABLE[efficiency]
    assert [round(one) for one in from_house(outlet, "degF", "K").tolist()] == list(temperatures)
    assert [round(one, 2) for one in density.tolist()] == list(densities)
    assert np.asarray(compressor_efficiency(inlet, outlet, ratio)) == pytest.approx(efficiency, rel=1e-12)


def test_the_exponent_of_section_2_3_is_another_ratio_of_specific_heats() -> None:
    gamma = 1.0 / (1.0 - 0.283)
    outlet = compressor_outlet_temperature(300.0, 2.0, 0.7, gamma)
    assert float(outlet) == pytest.approx(300.0 * (1.0 + (2.0**0.283 - 1.0) / 0.7), rel=1e-12)


def test_drive_power_in_the_units_of_the_trade() -> None:
    # 17.07 lb/min heated by 105 degF, 95 % of the belt: 17.07 x 0.24 x 105 / 42.4 / 0.95 = 10.68 hp
    flow, inlet = to_house(17.07 * 60.0, "lb/h", "kg/s"), 292.0
    power = drive_power(flow, inlet, inlet + 105.0 / 1.8, 0.95)
    assert from_house(float(power), "hp", "W") == pytest.approx(10.68, rel=0.003)


@pytest.mark.parametrize(("inertia", "printed"), [(0.25, (1.9, 5.8, 11.6)), (0.40, (3.1, 9.3, 18.5))])
def test_hidden_torque_to_the_printed_digits(inertia: float, printed: tuple[float, ...]) -> None:
    found = [from_house(rules.hidden_torque(inertia, rate), "lb-ft", "N m") for rate in (100.0, 300.0, 600.0)]
    assert [round(one, 1) for one in found] == list(printed)


def test_weather_sensitivities_of_the_trade() -> None:
    # 4.1 to 4.2 % for each inHg, 1 to 1.1 % for each 10 degF, 1.9 % for 0.46 inHg of vapour
    reference = to_house(29.23, "inHg", "Pa")
    inch = to_house(1.0, "inHg", "Pa")
    value, low, high = rules.pressure_effect(reference, reference + inch)
    assert value * 100.0 == pytest.approx(4.15, abs=0.06)
    assert low < 0.041 < high
    value, low, high = rules.temperature_effect(298.15, 298.15 + 10.0 / 1.8)
    assert value * 100.0 == pytest.approx(-1.1, abs=0.05)
    assert low < -0.01 < high
    value, _, _ = rules.vapour_effect(reference + 0.46 * inch, 0.0, 0.46 * inch)
    assert value * 100.0 == pytest.approx(-1.9, abs=0.06)


def test_equal_boost_of_the_demonstration() -> None:
    # 8.3: "At 5,200, equal 6.5 psi: 149 v 145 lb-ft (+2.8 %)"
    screw = days.from_table("screw", days.SCREW_LBFT, days.SCREW_PSI, 0.0)
    centrifugal = days.from_table("centrifugal", days.CENTRIFUGAL_LBFT, days.CENTRIFUGAL_PSI, 60.0)
    looks, _ = fair_looks(screw, centrifugal, days.comparison((screw, centrifugal), step=400.0))
    (equal,) = [look for look in looks if look.name == "at equal boost"]
    assert equal.x.tolist() == [5200.0]
    assert equal.mean is not None
    assert equal.held is not None
    assert round(equal.mean.value * 100.0, 1) == 2.8
    assert round(from_house(equal.held.value, "psi", "Pa"), 1) == 6.5
    assert "5,200 rpm, the only place" in equal.sentence


@pytest.mark.parametrize(
    ("name", "horsepower", "psi", "gain", "per_psi"),
    [
        ("centrifugal", days.CENTRIFUGAL_HP, days.CENTRIFUGAL_PSI, 36.0, 4.2),
        ("screw", days.SCREW_HP, days.SCREW_PSI, 24.0, 3.9),
    ],
)
def test_gain_for_each_psi_at_6000(
    name: str, horsepower: tuple[int, ...], psi: tuple[float, ...], gain: float, per_psi: float
) -> None:
    # 8.3: "NA->C at 6,000: +36 % for 8.4 psi = 4.2 %/psi; NA->D: +24 % for 6.2 = 3.9 %/psi"; powers are printed to
    # 1 hp of 120, so a gain to 1 % and a gain for each psi to 0.12 to 0.16
    natural = days.from_table("natural", _torque(days.NATURAL_HP), None, 0.0)
    blown = days.from_table(name, _torque(horsepower), psi, 60.0)
    found = boost_facts(blown, natural, days.comparison((natural, blown), step=400.0))
    assert found is not None
    at = int(np.flatnonzero(found.rpm == 6000.0)[0])
    assert found.gain[at] * 100.0 == pytest.approx(gain, abs=1.0)
    assert found.per_pressure[at] * PSI * 100.0 == pytest.approx(per_psi, abs=0.12)
    ratio = (14.3 + psi[at]) / 14.3
    assert found.pressure_ratio[at] == pytest.approx(ratio, rel=1e-9)
    assert found.of_simple[at] == pytest.approx((1.0 + found.gain[at]) / ratio, rel=1e-12)


def _torque(horsepower: tuple[int, ...]) -> tuple[float, ...]:
    """Torque [lb-ft] that makes these powers at the table's speeds."""
    return tuple(float(one) for one in np.array(horsepower) * 5252.113 / days.TABLE_RPM)
