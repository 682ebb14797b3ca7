"""A build's sheet: what it takes, what it refuses, and what follows from engine and parts together."""

from __future__ import annotations

from typing import Any

import pytest

from fairpull import engine
from fairpull.terms.build import Build
from fairpull.terms.errors import Fault, ValueRefused
from fairpull.terms.units import from_house
from tests.engine.sheets import ANVIL, US, WREN, build, machine, part, shelf, table, values

WHOLE = """
engine = "Anvil"
reference = "anvil-log"
gear = "1.6:1"
gear_efficiency = "98.5 %"
hours = "12 h"
accessories = ["fan", "water pump"]

[parts]
camshaft = "cam A"
head = "iron head"
exhaust = "tube header"

[settings]
spark = "31 deg"
jets = 72
rpm_limit = "5600 rpm"
"""


def whole() -> Build:
    return build(**{key: value for key, value in table(WHOLE).items() if key != "engine"})


def faults(**entries: Any) -> dict[str, Fault]:
    with pytest.raises(ValueRefused) as refusal:
        build("x", **entries)
    return {fault.where.removeprefix("x.toml, "): fault for fault in refusal.value.faults}


def test_a_whole_sheet() -> None:
    found = whole()
    assert (found.name, found.engine_name, found.reference) == ("build", "Anvil", "anvil-log")
    assert (found.gear, found.hours) == (1.6, 12.0)
    assert found.gear_efficiency == pytest.approx(0.985)
    assert found.accessories == ("fan", "water pump")
    assert {kind: fitted.name for kind, fitted in found.parts.items()} == {
        "camshaft": "cam A",
        "head": "iron head",
        "exhaust": "tube header",
    }
    assert found.settings == {"spark": "31 deg", "jets": "72", "rpm_limit": "5600 rpm"}
    assert found.body == table(WHOLE)


def test_a_bare_engine_is_a_build() -> None:
    found = build()
    assert (found.parts, found.gear, found.hours, found.engine.induction) == ({}, 1.0, None, "natural")


def test_an_engine_in_hand_needs_no_shelf() -> None:
    found = engine.build_from_table({"engine": "the old one"}, where="x", name="x", engine=machine(), parts={})
    assert (found.engine_name, found.engine.name) == ("the old one", "Anvil")


def test_facts_of_engine_and_parts_together() -> None:
    found = values(whole().facts, {**US, "m3": "in3", "m/s": "ft/min"})
    assert found["displacement"] == pytest.approx(219.4, abs=0.05)
    assert found["rod ratio"] == pytest.approx(1.5705, abs=5e-5)
    assert found["mean piston speed at the limit"] == pytest.approx(3640.0)
    assert found["dynamic compression ratio"] == pytest.approx(7.916, abs=5e-4)
    # the flow table at the net lift of 0.440 in: 137 + 0.8 x 4 = 140.2 cfm
    assert found["intake flow at net lift, 28 inH2O"] == pytest.approx(140.2)
    assert found["power ceiling from flow"] == pytest.approx(0.257 * 140.2 * 6)
    assert found["speed of peak power from flow"] == pytest.approx(1196 * 140.2 / 36.56, rel=2e-4)
    assert found["intake lift over diameter"] == pytest.approx(0.440 / 1.73)
    # the card's exhaust opening is 69 deg BBDC: 850 x 249 / (42 + 3)
    assert found["speed that the primary length suits"] == pytest.approx(850 * 249 / 45.0)
    assert found["speed that the primary area suits"] == pytest.approx(88200 * 1.4957 / 36.56, rel=2e-4)


def test_flow_ceilings_without_a_camshaft_take_the_best_of_the_table() -> None:
    found = values(build(parts={"head": "iron head"}).facts, US)
    assert found["power ceiling from flow"] == pytest.approx(0.257 * 143 * 6)
    assert "intake flow at net lift, 28 inH2O" not in found


def test_springs_meet_the_camshaft_on_the_build() -> None:
    found = values(build(parts={"camshaft": "cam B", "springs": "stock springs"}).facts, US)
    # net lift 0.470 in at 333.3 lb/in on 110 lb; 1.700 - 0.470 - 1.100 in
    assert found["spring load at full lift"] == pytest.approx(110 + 0.470 * 150 / 0.450)
    assert found["coil-bind margin at full lift"] == pytest.approx(0.130)


def test_compression_from_the_parts_goes_before_the_engine_sheet() -> None:
    head = part('kind = "head"\nchamber_volume = "60 cc"\ngasket_thickness = "1.0 mm"\ngasket_bore = "90 mm"', "h")
    piston = part('kind = "piston"\ndeck_clearance = "0.5 mm"\ndish = "5 cc"', "p")
    parts = {**shelf(), "h": head, "p": piston}
    raw = {"engine": "Anvil", "parts": {"head": "h", "piston": "p", "camshaft": "cam A"}}
    found = engine.build_from_table(raw, where="x", name="x", engine=machine(), parts=parts)
    # swept 599.16 cm3; 60 + 6.362 + 3.024 + 5 = 74.386 cm3 by hand
    facts = values(found.facts, US)
    assert facts["compression ratio from volumes"] == pytest.approx(599.16 / 74.386 + 1.0, abs=2e-3)
    assert facts["dynamic compression ratio"] == pytest.approx(1 + (7.916 - 1) / 8.4 * 599.16 / 74.386, abs=3e-3)
    told = next(fact.how for fact in found.facts if fact.name == "compression ratio from volumes")
    assert "9.40" in told


def test_a_driven_compressor_and_its_injectors() -> None:
    parts = {"compressor": "wheel", "pulley": "small pulley", "injectors": "red nozzles"}
    found = values(build(text=WREN, parts=parts, settings={"rpm_limit": "6400"}).facts, US)
    assert found["compressor turns for each engine turn"] == pytest.approx(8.0)
    assert found["compressor speed at the limit"] == pytest.approx(51_200.0)
    assert found["impeller tip speed at the limit"] == pytest.approx(235.9, abs=0.05)
    assert found["power limit of the injectors"] == pytest.approx(4 * 29 * 0.85 / 0.57, rel=1e-6)
    plain = values(build(text=WREN, parts={"injectors": "red nozzles"}).facts, US)
    assert plain["power limit of the injectors"] == pytest.approx(197.2, abs=0.05)
    screw = values(build(text=WREN, parts={"compressor": "screw", "pulley": "small pulley"}).facts, US)
    assert screw["compressor over engine displacement"] == pytest.approx(0.80 * 2 / (1.6777 / 2), rel=1e-3)


def test_injectors_stated_by_volume_need_the_density_of_the_fuel() -> None:
    nozzle = part('kind = "injectors"\nvolume_flow = "300 cc/min"\npressure = "3 bar"\ncount = 4', "n")
    raw = {"engine": "Wren", "parts": {"injectors": "n"}}
    found = engine.build_from_table(raw, where="x", name="x", engine=machine(WREN), parts={"n": nozzle})
    per_hour = from_house(300e-6 / 60 * 745.0, "lb/h", "kg/s")
    wanted = 4 * per_hour * 0.85 / 0.50
    assert values(found.facts, US)["power limit of the injectors"] == pytest.approx(wanted, rel=1e-6)


def test_a_four_valve_head_counts_all_its_valves() -> None:
    one = part('kind = "head"\nintake_valve = "1.197 in"\nintake_valves = 2\ndepression = "28 inH2O"\n' + FLOW, "h")
    raw = {"engine": "Wren", "parts": {"head": "h", "camshaft": "cam A"}}
    parts = {**shelf(), "h": one}
    found = engine.build_from_table(raw, where="x", name="x", engine=machine(WREN), parts=parts)
    facts = values(found.facts, US)
    # 169 cfm held beyond the table; 0.257 x 169 x 4 = 174 hp
    assert round(facts["power ceiling from flow"]) == 174
    assert any("beyond the table" in fact.how for fact in found.facts)
    assert 5000.0 < facts["speed at inlet Mach index 0.5"] < 8000.0


FLOW = 'flow = [["in", "cfm", "cfm"], [0.1, 75, 59], [0.2, 136, 108], [0.3, 164, 129], [0.35, 169, 132]]'


@pytest.mark.parametrize(
    ("entries", "fuel", "induction"),
    [
        ({}, "petrol", "natural"),
        ({"fuel": "e85"}, "e85", "natural"),
        ({"fuel": {"name": "petrol", "density": "760 kg/m3"}}, "petrol", "natural"),
        ({"parts": {"fuel": "pump 95"}}, "pump 95", "natural"),
        ({"fuel": "e85", "parts": {"fuel": "pump 95"}}, "e85", "natural"),
        ({"parts": {"compressor": "wheel"}}, "petrol", "belt"),
        ({"parts": {"compressor": "turbo wheel"}}, "petrol", "turbo"),
        ({"induction": "turbo-held", "parts": {"compressor": "turbo wheel"}}, "petrol", "turbo-held"),
        ({"induction": "belt"}, "petrol", "belt"),
    ],
)
def test_fuel_and_induction_are_those_of_the_build(entries: dict[str, Any], fuel: str, induction: str) -> None:
    found = build(**entries).engine
    assert found.fuel is not None
    assert (found.fuel.name, found.induction) == (fuel, induction)


def test_a_boosted_engine_without_its_blower_says_natural() -> None:
    blown = WREN + 'induction = "belt"\n'
    assert build(text=blown).engine.induction == "belt"
    assert build(text=blown, induction="natural").engine.induction == "natural"
    held = WREN + 'induction = "turbo-held"\n'
    assert build(text=held, parts={"compressor": "turbo wheel"}).engine.induction == "turbo-held"


@pytest.mark.parametrize(
    ("entries", "place", "code", "told"),
    [
        ({"engine": "Anvl"}, "engine", "engine-not-there", "did you mean Anvil?"),
        ({"engine": "zzz"}, "engine", "engine-not-there", "engines there are: Anvil"),
        ({"engine": 3.5}, "engine", "engine-not-there", "engines there are: Anvil"),
        ({"parts": {"camshaft": "cam C"}}, "parts.camshaft", "part-not-there", "did you mean cam"),
        ({"parts": {"camshaft": "CAM A"}}, "parts.camshaft", "part-not-there", "did you mean cam A?"),
        ({"parts": {"turbine": "hot side"}}, "parts.turbine", "part-not-there", "no part of kind turbine yet"),
        ({"parts": {"head": "cam A"}}, "parts.head", "part-of-another-kind", 'camshaft = "cam A"'),
        ({"parts": {"camshft": "cam A"}}, "parts.camshft", "unknown-word", "did you mean camshaft?"),
        ({"gear": "one"}, "gear", "not-a-number", "1.6"),
        ({"gear_efficiency": "98.5"}, "gear_efficiency", "out-of-range", "100 %"),
        ({"hours": 12}, "hours", "unit-missing", "12 h"),
        ({"fuel": "petrl"}, "fuel", "unknown-fuel", "did you mean petrol?"),
        ({"fuel": {"name": "x", "stoich": 14}}, "fuel.stoich", "unknown-entry", "stoichiometric"),
        ({"induction": "blown"}, "induction", "unknown-word", "belt"),
        ({"induction": "natural", "parts": {"compressor": "wheel"}}, "induction", "entries-disagree", "belt"),
        ({"setting": {"spark": "31 deg"}}, "setting", "unknown-entry", "did you mean settings?"),
        ({"settings": {"rpm_limit": "fast"}}, "settings.rpm_limit", "not-a-number", ""),
    ],
)
def test_slips_are_named(entries: dict[str, Any], place: str, code: str, told: str) -> None:
    found = faults(**entries)
    assert {where: fault.code for where, fault in found.items()} == {place: code}
    assert told in found[place].remedy


def test_all_faults_of_a_sheet_at_once() -> None:
    found = faults(engine="Anvl", gear="x", parts={"camshaft": "cam C", "head": "cam A"}, seting=1)
    assert set(found) == {"engine", "gear", "parts.camshaft", "parts.head", "seting"}


def test_a_sheet_without_an_engine() -> None:
    with pytest.raises(ValueRefused) as refusal:
        engine.build_from_table({"parts": {}}, where="x.toml", name="x", engine=machine(), parts={})
    assert [(fault.where, fault.code) for fault in refusal.value.faults] == [("x.toml, engine", "entry-missing")]


def test_the_bare_engine_keeps_its_own_sheet() -> None:
    assert build(fuel="e85", text=ANVIL).engine.compression_ratio == machine().compression_ratio
