"""Columns become channels: spellings, units, cylinders, meters, a person's own words."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from fairpull.logs.names import INDEX, match
from fairpull.terms.glossary import CHANNELS
from tests.logs.small_log import GOOD, SPEED, TIME, TORQUE, about, codes, mapped, read, refused

LB_FT = 1.3558179483314004


@pytest.mark.parametrize(
    ("name", "channel", "number", "unit"),
    [
        ("speed_rpm", "rpm", 0, "rpm"),
        ("torque_Nm", "torque", 0, "nm"),
        ("EngineSpeed", "rpm", 0, ""),
        ("full_load_power_kW", "power", 0, "k w"),
        ("max_bmep_bar", "bmep", 0, "bar"),
        ("speed_rad_s", "rpm", 0, "rad s"),
        ("EGT 3", "exhaust_temperature", 3, ""),
        ("egt3", "exhaust_temperature", 3, ""),
        ("Cyl 5 EGT", "exhaust_temperature", 5, ""),
        ("EGT_6_degF", "exhaust_temperature", 6, "deg f"),
        ("Lambda Bank 2", "lambda", 2, ""),
        ("lambda left", "lambda", 1, ""),
        ("Lambda R", "lambda", 2, ""),
        ("Fuel flow B lb/hr", "fuel_mass_flow", 2, "lb hr"),
        ("A/F", "air_fuel_ratio", 0, ""),
        ("coolant_in", "coolant_in", 0, ""),
        ("Water Out F", "coolant_out", 0, "f"),
        ("MAP kPa abs", "manifold_pressure", 0, "k pa abs"),
        ("CO ppm", "carbon_monoxide", 0, ""),
        ("Drehzahl", "rpm", 0, ""),
        ("exhaust_temperature_4", "exhaust_temperature", 4, ""),
    ],
)
def test_names_of_the_trade(name: str, channel: str, number: int, unit: str) -> None:
    found = match(name)
    assert found is not None
    assert (found.channel, found.number, found.unit, found.exact) == (channel, number, unit, True)


def test_every_spelling_of_the_glossary_is_found() -> None:
    for channel in CHANNELS:
        for spelling in (channel.name, *channel.spellings):
            found = match(spelling)
            assert found is not None, spelling
            assert found.channel == channel.name or INDEX[spelling] != channel.name, spelling


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("Corrected Torque", "already corrected"),
        ("Torque (SAE)", "already corrected"),
        ("Target Speed", "target"),
        ("rated_power_kW", "rating"),
        ("equivalence_ratio", "1/lambda"),
        ("Max torque", "extreme"),
    ],
)
def test_what_sounds_like_a_channel_but_is_none(name: str, why: str) -> None:
    found = match(name)
    assert found is not None
    assert found.channel == ""
    assert why in found.reason


@pytest.mark.parametrize("name", ["note", "NOx", "vehicle_no", "compression_ratio", "aux 7", "Speed km/h"])
def test_what_is_not_in_the_glossary(name: str) -> None:
    assert match(name) is None


def test_a_word_that_adds_nothing_is_left_out_and_said(tmp_path: Path) -> None:
    found = read(tmp_path, {"Time [s]": TIME, "Avg Speed [rpm]": SPEED, "Brake Torque Mean [lb-ft]": TORQUE})
    assert mapped(found, "Avg Speed").how == "guessed"
    assert "'avg'" in mapped(found, "Avg Speed").reason
    np.testing.assert_allclose(found.channels["torque"], LB_FT * np.array(TORQUE), rtol=1e-14)
    assert "columns-guessed" in codes(found)


def test_cylinders_and_banks_keep_their_numbers(tmp_path: Path) -> None:
    columns = GOOD | {f"EGT {n} [degF]": about(1300 + n) for n in range(1, 7)}
    found = read(tmp_path, columns | {"Lambda left": about(0.87), "Lambda right": about(0.89)})
    assert {key for key in found.channels if key.startswith("exhaust")} == {
        f"exhaust_temperature_{n}" for n in range(1, 7)
    }
    assert found.channels["exhaust_temperature_3"][0] == pytest.approx((1303 + 459.67) * 5 / 9, rel=1e-12)
    assert found.channels["lambda_2"][0] == 0.89
    assert codes(found) == set()


def test_two_fuel_meters_are_added_and_said(tmp_path: Path) -> None:
    found = read(tmp_path, GOOD | {"Fuel A [lb/hr]": about(50), "Fuel B [kg/h]": about(10)})
    expected = np.array(about(50)) * 0.45359237 / 3600 + np.array(about(10)) / 3600
    np.testing.assert_allclose(found.channels["fuel_mass_flow"], expected, rtol=1e-12)
    assert "Fuel A + Fuel B" in found.choices["fuel_mass_flow"]
    assert mapped(found, "Fuel B").channel == "fuel_mass_flow"


def test_the_sum_stands_before_its_parts(tmp_path: Path) -> None:
    found = read(tmp_path, GOOD | {"Fuel A [kg/h]": about(5), "Fuel B [kg/h]": about(6), "Fuel flow [kg/h]": about(11)})
    np.testing.assert_allclose(found.channels["fuel_mass_flow"], np.array(about(11)) / 3600, rtol=1e-12)
    assert mapped(found, "Fuel A").channel is None


def test_the_unit_tells_mass_from_volume(tmp_path: Path) -> None:
    found = read(tmp_path, GOOD | {"Fuel flow [L/h]": about(40), "Air flow [cfm]": about(250)})
    assert found.channels["fuel_volume_flow"][0] == pytest.approx(40e-3 / 3600, rel=1e-12)
    assert found.channels["air_volume_flow"][0] == pytest.approx(250 * 0.3048**3 / 60, rel=1e-12)


def test_a_speed_of_the_road_is_left_aside(tmp_path: Path) -> None:
    found = read(tmp_path, GOOD | {"Wheel speed [km/h]": about(80), "Speed 2 [km/h]": about(80)})
    assert mapped(found, "Speed 2").channel is None
    assert set(found.extra) == {"Wheel speed", "Speed 2"}


def test_two_columns_of_one_quantity(tmp_path: Path) -> None:
    turning = [value * np.pi / 30 for value in SPEED]
    found = read(tmp_path, {"speed_rad_s": turning, "speed_rpm": SPEED, "torque_Nm": TORQUE})
    assert mapped(found, "speed_rpm").channel == "rpm"
    assert "same to within rounding" in mapped(found, "speed_rad_s").reason
    apart = read(tmp_path, {"speed_rad_s": [v * 1.1 for v in turning], "speed_rpm": SPEED, "torque_Nm": TORQUE})
    assert "columns-disagree" in codes(apart)


def test_units_found_from_torque_times_speed(tmp_path: Path) -> None:
    power = [t * n / 5252.113 for t, n in zip(TORQUE, SPEED, strict=True)]
    found = read(tmp_path, {"Time": TIME, "Speed": SPEED, "Torque": TORQUE, "Power": power})
    np.testing.assert_allclose(found.channels["torque"], LB_FT * np.array(TORQUE), rtol=1e-12)
    assert mapped(found, "Torque").how == "guessed"
    assert "5252" in mapped(found, "Torque").reason
    assert "unit-assumed" in codes(found)


def test_torque_without_unit_and_without_power_is_asked_for(tmp_path: Path) -> None:
    said = refused(tmp_path, {"Time": TIME, "Speed": SPEED, "Torque": TORQUE})
    assert set(said) == {"unit-unknown"}
    assert "N m or lb-ft" in said["unit-unknown"]
    assert read(tmp_path, {"Time": TIME, "Speed": SPEED, "Torque": TORQUE}, units={"Torque": "lb-ft"})


def test_all_faults_at_once(tmp_path: Path) -> None:
    columns = {"Time [s]": TIME, "Speed": about(0.001), "Torque": TORQUE, "RH [1]": about(45)}
    assert set(refused(tmp_path, columns)) == {"unit-unknown", "humidity-as-percent"}


@pytest.mark.parametrize(
    ("column", "level", "channel", "house"),
    [
        ("Baro", 29.6, "barometer", 29.6 * 3386.38864034),
        ("Baro", 1002.0, "barometer", 100200.0),
        ("Inlet air", 72.0, "inlet_temperature", (72 + 459.67) * 5 / 9),
        ("Inlet air", 21.0, "inlet_temperature", 294.15),
        ("Humidity", 45.0, "relative_humidity", 0.45),
        ("Throttle", 99.0, "throttle", 0.99),
        ("EGT", 1400.0, "exhaust_temperature", (1400 + 459.67) * 5 / 9),
        ("Coolant out", 82.0, "coolant_out", 355.15),
        ("Spark", 28.0, "spark_advance", np.radians(28.0)),
        ("BMEP", 11.0, "bmep", 11e5),
        ("Fuel density", 0.745, "fuel_density", 745.0),
    ],
)
def test_a_missing_unit_is_assumed_where_only_one_fits(
    column: str, level: float, channel: str, house: float, tmp_path: Path
) -> None:
    found = read(tmp_path, GOOD | {column: about(level, 0.001)})
    assert found.channels[channel][0] == pytest.approx(house, rel=1e-7)
    assert mapped(found, column).how == "guessed"
    assert "alone" in mapped(found, column).reason or "only" in mapped(found, column).reason
    assert "unit-assumed" in codes(found)


@pytest.mark.parametrize(
    ("column", "level", "units"),
    [
        ("Inlet air", 40.0, "°C or °F"),
        ("Fuel flow", 20.0, "kg/h or"),
        ("MAP", 100.0, "kPa or"),
        ("Oil temp", 120.0, "°C or"),
    ],
)
def test_a_missing_unit_is_asked_for_where_two_fit(column: str, level: float, units: str, tmp_path: Path) -> None:
    found = read(tmp_path, GOOD | {column: about(level, 0.001)})
    assert mapped(found, column).channel is None
    (finding,) = (finding for finding in found.findings if finding.code == "unit-unknown")
    assert units in finding.text
    assert column in finding.remedy
    assert column in found.extra


def test_a_persons_own_words(tmp_path: Path) -> None:
    (tmp_path / "channels.toml").write_text(
        '[channels]\n"Ch07" = "torque"\n"Ch08" = { channel = "inlet_temperature", unit = "°F" }\n'
        '"Speed" = ""\n"N2" = "rpm"\n',
        "utf-8",
    )
    columns = {
        "Time [s]": TIME,
        "Speed [rpm]": about(1.0),
        "N2 [1/min]": SPEED,
        "Ch07 [lb-ft]": TORQUE,
        "Ch08": about(72),
    }
    found = read(tmp_path, columns)
    np.testing.assert_allclose(found.channels["rpm"], SPEED, rtol=1e-15)
    assert found.channels["inlet_temperature"][0] == pytest.approx((72 + 459.67) * 5 / 9, rel=1e-12)
    assert (mapped(found, "Ch07").how, mapped(found, "Ch07").reason) == ("person", "named by channels.toml")
    assert mapped(found, "Speed").channel is None
    assert found.choices["column names"] == "channels.toml"


def test_an_option_stands_before_the_file(tmp_path: Path) -> None:
    (tmp_path / "channels.toml").write_text('[channels]\n"Ch07" = "power"\n', "utf-8")
    columns = {"Time [s]": TIME, "Speed [rpm]": SPEED, "Ch07": TORQUE}
    found = read(tmp_path, columns, columns={"Ch07": "torque"}, units={"torque": "-lb-ft"})
    assert found.channels["torque"][0] == pytest.approx(-LB_FT * TORQUE[0], rel=1e-12)
    assert mapped(found, "Ch07").how == "option"


def test_wrong_words_are_refused_together(tmp_path: Path) -> None:
    (tmp_path / "channels.toml").write_text(
        '"A" = "twist"\n"B" = { channel = "torque", unit = "degC" }\n"C" = 5\n'
        '"D" = { channel = "rpm", colour = "red" }\n',
        "utf-8",
    )
    said = refused(tmp_path, GOOD)
    assert set(said) == {"channel-unknown", "unit-of-another-quantity", "channels-file-entry"}
    (tmp_path / "channels.toml").unlink()
    said = refused(tmp_path, GOOD, columns={"Nothing": "torque", "Speed": "twist"})
    assert {"column-unknown", "channel-unknown"} <= set(said)


def test_a_named_channels_file(tmp_path: Path) -> None:
    other = tmp_path / "mine.toml"
    other.write_text('"Twist" = "torque"\n', "utf-8")
    found = read(tmp_path, {"Speed [rpm]": SPEED, "Twist [N m]": TORQUE}, channels_file=other)
    assert "torque" in found.channels
    assert refused(tmp_path, GOOD, channels_file=tmp_path / "gone.toml").keys() == {"channels-file-unreadable"}
