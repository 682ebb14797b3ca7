"""duty.toml: every kind of duty as a person writes it, and everything that is wrong with one said at once."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from fairpull.tasks.duty_file import read_duty
from fairpull.terms.errors import ValueRefused
from fairpull.terms.purpose import Band, Duty, Veto
from fairpull.terms.units import to_house

HP = to_house(1.0, "hp", "W")

HAUL = """
name = "hut carrier"
purpose = "stores up the hut road"
smallest = "2 %"

[[band]]
speed = "1600-2200 rpm"
weight = 0.25

[[band]]
speed = "2,200 to 3,000"
weight = "45 %"

[site]
altitude = "7200 ft"
temperature = "41 degF"
humidity = "50 %"

[[limit]]
of = "exhaust temperature"
most = "1400 degF"
why = "the manifold glows"

[[limit]]
of = "octane"
most = 91
"""


def read(folder: Path, text: str) -> Duty:
    path = folder / "duty.toml"
    path.write_text(text, "utf-8")
    return read_duty(path)


def codes(folder: Path, text: str) -> list[str]:
    with pytest.raises(ValueRefused) as refusal:
        read(folder, text)
    assert all("duty.toml" in fault.where for fault in refusal.value.faults)
    return [fault.code for fault in refusal.value.faults]


def test_bands_site_and_limits(tmp_path: Path) -> None:
    duty = read(tmp_path, HAUL)
    assert (duty.name, duty.kind, duty.text, duty.smallest) == ("hut carrier", "bands", "stores up the hut road", 0.02)
    assert duty.bands == (Band(1600.0, 2200.0, 0.25), Band(2200.0, 3000.0, 0.45))
    assert duty.air is not None
    assert duty.air.pressure == pytest.approx(77_600, rel=2e-3)  # standard atmosphere at 7200 ft
    assert duty.air.temperature == pytest.approx(278.15)
    heat, octane = duty.vetoes
    assert (heat.name, heat.least, heat.unit, heat.text) == ("exhaust_temperature", None, "K", "the manifold glows")
    assert heat.most == pytest.approx(1033.15)
    assert octane == Veto("research_octane", None, 91.0, "1", "")


def test_a_propeller_line_knows_its_lower_end(tmp_path: Path) -> None:
    text = (
        '[line]\nrated = { speed = "3600 rpm", power = "120 hp" }\nexponent = 3\nfrom = "1800 rpm"\nmargin = "10 %"\n'
    )
    duty = read(tmp_path, text)
    assert (duty.kind, duty.exponent) == ("load line", 3.0)
    assert duty.margin == pytest.approx(0.1)
    assert duty.name == "duty"
    assert [point.rpm for point in duty.points] == [3600.0, 1800.0]
    assert duty.points[1].power == pytest.approx(120.0 * HP / 8.0)


def test_a_line_by_points(tmp_path: Path) -> None:
    text = '[[line.point]]\nspeed = 1800\npower = "30 hp"\n[[line.point]]\nspeed = "2600 rpm"\npower = "50 kW"\n'
    duty = read(tmp_path, text)
    assert duty.exponent is None
    assert [point.rpm for point in duty.points] == [1800.0, 2600.0]
    assert [point.power for point in duty.points] == pytest.approx([30.0 * HP, 50_000.0])


def test_time_at_rpm(tmp_path: Path) -> None:
    duty = read(tmp_path, '[[time]]\nspeed = 2400\nshare = "70 %"\n[[time]]\nspeed = 3000\nshare = "30 %"\n')
    assert duty.kind == "histogram"
    assert [point.rpm for point in duty.points] == [2400.0, 3000.0]
    assert [point.weight for point in duty.points] == pytest.approx([0.7, 0.3])


def test_gears(tmp_path: Path) -> None:
    duty = read(tmp_path, '[gears]\nratios = [2.6, 1.7, 1]\nshift = "6000 rpm"\n')
    assert (duty.kind, duty.gears, duty.shift_rpm) == ("gears", (2.6, 1.7, 1.0), 6000.0)


def test_a_published_cycle(tmp_path: Path) -> None:
    duty = read(tmp_path, '[cycle]\nkey = "E3"\nspeed = "3600 rpm"\npower = "100 kW"\n')
    assert (duty.kind, duty.source, len(duty.points)) == ("cycle", "40cfr1042", 4)
    assert duty.points[1].rpm == pytest.approx(3276.0)
    assert duty.points[1].power == pytest.approx(75_000.0)
    assert "E3" in duty.text


def test_limits_of_facts_know_their_unit(tmp_path: Path) -> None:
    text = '[[time]]\nspeed = 2400\nshare = 1\n[[limit]]\nof = "mean piston speed at the limit"\nmost = "4000 ft/min"\n'
    (limit,) = read(tmp_path, text).vetoes
    assert (limit.name, limit.unit) == ("mean_piston_speed_at_the_limit", "m/s")
    assert limit.most == pytest.approx(20.32)


def test_all_faults_are_said_at_once(tmp_path: Path) -> None:
    text = 'nam = 1\n[[band]]\nspeed = "3000-1600"\nweight = "heavy"\n[site]\naltitude = 7200\ntemperature = "5 degC"\n'
    assert codes(tmp_path, text) == ["duty-key", "band", "not-a-number", "unit-missing"]


LIMIT = "[[time]]\nspeed = 2400\nshare = 1\n[[limit]]\nof = '{}'\nmost = {}\n"


@pytest.mark.parametrize(
    ("said", "name", "unit"),
    [
        ("egt", "exhaust_temperature", "K"),
        ("EGT 3", "exhaust_temperature_3", "K"),
        ("exhaust temp", "exhaust_temperature", "K"),
        ("oil press", "oil_pressure", "Pa"),
        ("map", "manifold_pressure", "Pa"),
        ("coil-bind margin at full lift", "coil_bind_margin_at_full_lift", "m"),
        ("dynamic compression ratio", "dynamic_compression_ratio", "1"),
        ("intake valve lift", "intake_valve_lift", "m"),
        ("setting octane card", "octane_card", "1"),
    ],
)
def test_a_limit_goes_by_any_name_of_the_trade(tmp_path: Path, said: str, name: str, unit: str) -> None:
    value = {"K": "'700 degC'", "Pa": "'60 psi'", "m": "'12 mm'", "1": "9.5"}[unit]
    (limit,) = read(tmp_path, LIMIT.format(said, value)).vetoes
    assert (limit.name, limit.unit) == (name, unit)


@pytest.mark.parametrize(
    ("said", "near"),
    [
        ("exhaust temprature", "exhaust temperature"),
        ("coil bind margin at ful lift", "coil bind margin at full lift"),
        ("egtt", "exhaust temperature"),
    ],
)
def test_a_limit_on_nothing_is_refused_with_near_names(tmp_path: Path, said: str, near: str) -> None:
    with pytest.raises(ValueRefused) as refusal:
        read(tmp_path, LIMIT.format(said, 9.5))
    (fault,) = refusal.value.faults
    assert fault.code == "duty-limit-unknown"
    assert near in fault.remedy
    assert read(tmp_path, LIMIT.format("setting x", 9.5)).vetoes[0].name == "x"


def test_a_setting_that_sheets_hold_may_be_limited_by_its_name(tmp_path: Path) -> None:
    path = tmp_path / "duty.toml"
    path.write_text(LIMIT.format("Octane card", 91), "utf-8")
    assert read_duty(path, ("octane_card",)).vetoes[0].name == "octane_card"
    with pytest.raises(ValueRefused):
        read_duty(path)


def test_every_fact_of_the_sheets_can_be_limited() -> None:
    """Names of computed facts as they stand in the source, but for those that are put together there."""
    from fairpull.tasks.duty_limits import limited

    source = Path(__file__).parents[2] / "src" / "fairpull" / "engine"
    files = [*(source / "parts").glob("*.py"), source / "build_facts.py"]
    pattern = re.compile(r'(?:\bfact|\badd)\(\s*"([a-z][^"]+)"')
    names = {name for path in files for name in pattern.findall(path.read_text("utf-8"))}
    assert len(names) > 30
    assert [name for name in sorted(names) if not limited(name).name] == []


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("name = 3", ["duty-kind"]),
        ('[gears]\nratios = [2, 1]\nshift = 6000\n[cycle]\nkey = "E3"\n', ["duty-kind"]),
        ('[cycle]\nkey = "X9"\nspeed = 3600\npower = "90 kW"\n', ["duty-cycle"]),
        ('[cycle]\nkey = "C1"\nspeed = 2200\npower = "90 kW"\n', ["duty-rating", "duty-rating"]),
        ('[cycle]\nkey = "E3"\nspeed = 3600\n', ["duty-missing"]),
        ('[gears]\nratios = [1, 2]\nshift = "6000 rpm"\n', ["duty-gears"]),
        ('[gears]\nratios = ["a"]\nshift = "6000 rpm"\n', ["duty-gears"]),
        ("[[band]]\nspeed = '1600-2200'\nweight = 0\n", ["duty-weight"]),
        ("[[band]]\nspeed = '1600-2200'\nweight = 1\nquantity = 'noise'\n", ["duty-quantity"]),
        ("band = 3\n", ["duty-entry"]),
        ("[line]\nexponent = 3\n", ["duty-entry", "duty-missing", "duty-missing"]),
        ("[[time]]\nspeed = 2400\nshare = 1\n[[limit]]\nof = 'octane'\n", ["duty-limit"]),
        ("[[time]]\nspeed = 2400\nshare = 1\n[site]\ntemperature = '5 degC'\n", ["duty-site", "duty-missing"]),
        (
            "[[time]]\nspeed = 2400\nshare = 1\n[site]\naltitude = '900 m'\ntemperature = '5 degC'\n",
            ["humidity-missing"],
        ),
        ("smallest = '50 %'\n[[time]]\nspeed = 2400\nshare = 1\n", ["smallest"]),
        ("[[time]\n", ["duty-file"]),
    ],
)
def test_each_fault(tmp_path: Path, text: str, found: list[str]) -> None:
    assert codes(tmp_path, text) == found


def test_every_duty_of_the_page_can_be_read(tmp_path: Path) -> None:
    page = (Path(__file__).parents[2] / "docs" / "purpose.md").read_text("utf-8")
    kinds = [read(tmp_path, text).kind for text in re.findall(r"```toml\n(.*?)```", page, re.DOTALL)]
    assert kinds == ["bands", "load line", "load line", "histogram", "gears", "cycle"]
