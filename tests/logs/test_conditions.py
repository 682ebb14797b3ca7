"""Weather and engine by hand: conditions.toml for the folder and per file, options, lines before the header."""

from __future__ import annotations

from pathlib import Path

import pytest

from fairpull import logs
from fairpull.terms.errors import ReadRefused
from fairpull.terms.recording import Conditions
from tests.logs.small_log import GOOD, codes, read, refused, write

FOLDER = """
barometer = "29.62inHg"
inlet_temperature = "68degF"
humidity = "56%"
date = "2031-05-06"

[files."pull-0*.csv"]
inlet_temperature = "20degC"
dew_point = "10degC"
"""


def toml(folder: Path, text: str) -> None:
    (folder / "conditions.toml").write_text(text, "utf-8")


def test_what_holds_for_the_folder_and_for_one_file(tmp_path: Path) -> None:
    toml(tmp_path, FOLDER)
    (folder,) = logs.read(write(tmp_path, GOOD))
    assert folder.given.pressure == pytest.approx(29.62 * 3386.38864034, rel=1e-9)
    assert folder.given.temperature == pytest.approx(293.15, rel=1e-12)
    assert folder.given.relative_humidity == pytest.approx(0.56, rel=1e-12)
    (one,) = logs.read(write(tmp_path, GOOD, name="pull-07.csv"))
    assert one.given.temperature == 293.15
    assert one.given.dew_point == 283.15
    assert one.given.relative_humidity is None, "one humidity, the file's own"
    assert "conditions.toml" in one.choices["given dew_point"]
    assert "no-weather" not in {finding.code for finding in one.findings}


def test_an_option_stands_before_the_file(tmp_path: Path) -> None:
    toml(tmp_path, FOLDER)
    found = read(tmp_path, GOOD, given=Conditions(temperature=300.0))
    assert found.given.temperature == 300.0
    assert found.given.pressure is not None
    assert found.choices["given temperature"] == "by option"


def test_engine_and_place(tmp_path: Path) -> None:
    toml(tmp_path, 'displacement = "2.0L"\nstrokes = 4\naltitude = "5200ft"\nbarometer = "30.1inHg"\n')
    bar = {"Speed [rpm]": GOOD["Speed [rpm]"], "BMEP [bar]": [10.0 + 0.01 * at for at in range(60)]}
    found = read(tmp_path, bar)
    assert found.channels["torque"][0] == pytest.approx(10e5 * 2e-3 / (4 * 3.141592653589793), rel=1e-12)
    assert "barometer-sea-level" in codes(found)


def test_all_faults_of_the_file_at_once(tmp_path: Path) -> None:
    toml(tmp_path, 'barometer = "29.62"\nhumidity = 45\ntemperature = "68K"\ndate = "yesterday"\n')
    said = refused(tmp_path, GOOD)
    assert set(said) == {"unit-missing", "humidity-as-percent", "weather-impossible", "date-unreadable"}
    assert "45%" in said["humidity-as-percent"]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ('barometre = "29.62inHg"\n', "conditions-file-entry"),
        ("strokes = 3\n", "conditions-file-entry"),
        ('[files."a"]\ncolour = "red"\n', "conditions-file-entry"),
        ("barometer = = 3\n", "conditions-unreadable"),
    ],
)
def test_a_wrong_shape_is_refused(text: str, code: str, tmp_path: Path) -> None:
    toml(tmp_path, text)
    assert set(refused(tmp_path, GOOD)) == {code}


def test_a_named_file(tmp_path: Path) -> None:
    apart = tmp_path / "apart.toml"
    apart.write_text('barometer = "99kPa"\n', "utf-8")
    assert read(tmp_path, GOOD, conditions_file=apart).given.pressure == pytest.approx(99e3)
    assert "conditions-unreadable" in refused(tmp_path, GOOD, conditions_file=tmp_path / "gone.toml")


def test_options_are_checked_too(tmp_path: Path) -> None:
    with pytest.raises(ReadRefused) as error:
        logs.read(write(tmp_path, GOOD), logs.ReadOptions(given=Conditions(pressure=101.3, relative_humidity=45.0)))
    assert {fault.code for fault in error.value.faults} == {"weather-impossible", "humidity-as-percent"}


def test_lines_before_the_header_fill_what_nobody_said(tmp_path: Path) -> None:
    before = "Operator: somebody\nBaro: 29.62 inHg\nAir temp = 68 degF\nRH 56 %\nOil: straight 30\n"
    found = read(tmp_path, GOOD, before)
    assert found.given.pressure == pytest.approx(29.62 * 3386.38864034, rel=1e-9)
    assert found.given.relative_humidity == pytest.approx(0.56)
    assert codes(found) == {"weather-from-preamble"}
    by_hand = read(tmp_path, GOOD, before, given=Conditions(pressure=99e3, dew_point=280.0))
    assert by_hand.given.pressure == 99e3
    assert by_hand.given.relative_humidity is None
    assert by_hand.given.temperature == pytest.approx(293.15)


def test_a_line_without_a_clear_unit_is_not_taken(tmp_path: Path) -> None:
    found = read(tmp_path, GOOD, "Operator: somebody\nBaro: 29.62 psi\n")
    assert found.given.pressure is None
    assert "preamble-weather-unclear" in codes(found)


def test_weather_known_twice_is_said_where_it_differs(tmp_path: Path) -> None:
    columns = GOOD | {"Baro [kPa]": [99.0] * 60}
    assert "weather-twice" in codes(read(tmp_path, columns, given=Conditions(pressure=101e3)))
    assert "weather-twice" not in codes(read(tmp_path, columns, given=Conditions(pressure=99.1e3)))
