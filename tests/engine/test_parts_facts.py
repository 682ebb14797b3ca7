"""Facts that follow from one sheet alone, each with its formula and its source."""

from __future__ import annotations

import re

import pytest

from fairpull.engine.ports import CARBURETTOR_DEPRESSION
from fairpull.terms.build import Part
from fairpull.terms.sources import SOURCES
from fairpull.terms.units import from_house, to_house
from tests.engine.sheets import CAM_A, CAM_B, HEAD, HEADER, SPRINGS, US, build, part, shelf, values


def how(sheet: Part, name: str) -> str:
    return next(fact.how for fact in sheet.facts if fact.name == name)


def test_facts_of_a_cam_card() -> None:
    found = values(part(CAM_A).facts, US)
    wanted = {
        "exhaust centreline": 116.0,
        "installed advance": 4.0,
        "intake opening BTDC, advertised": 22.0,
        "intake closing ABDC, advertised": 58.0,
        "exhaust opening BBDC, advertised": 69.0,
        "exhaust closing ATDC, advertised": 17.0,
        "overlap, advertised": 39.0,
        "intake opening BTDC, at 0.050 in": -6.0,
        "intake closing ABDC, at 0.050 in": 30.0,
        "exhaust opening BBDC, at 0.050 in": 41.0,
        "exhaust closing ATDC, at 0.050 in": -11.0,
        "overlap, at 0.050 in": -17.0,
        "intake net lift": 0.440,
        "exhaust net lift": 0.450,
    }
    assert found == pytest.approx(wanted, abs=1e-9)
    assert "0.006 in" in how(part(CAM_A), "overlap, advertised")


def test_an_advertised_lift_that_is_not_stated_is_said_so() -> None:
    cam = part(CAM_A.replace('"0.006 in"', '"Not stated"'))
    assert cam.data["advertised_lift"] == "not stated"
    assert "not stated" in how(cam, "intake closing ABDC, advertised")


def test_net_lift_takes_lash_off_and_the_rocker_multiplies() -> None:
    assert values(part(CAM_B).facts, US)["intake net lift"] == pytest.approx(0.470)
    text = 'kind = "camshaft"\nintake_lobe_lift = "0.300 in"\nintake_rocker_ratio = 1.5\nintake_lash = "0.016 in"'
    found = values(part(text).facts, US)
    assert found == pytest.approx({"intake valve lift": 0.450, "intake net lift": 0.434})


def test_a_measured_exhaust_centreline_goes_before_a_computed_one() -> None:
    found = values(part(CAM_A + 'exhaust_centreline = "115 deg"').facts, US)
    assert "exhaust centreline" not in found
    assert found["exhaust closing ATDC, advertised"] == pytest.approx(18.0)
    text = 'kind = "camshaft"\nintake_centreline = "108 deg"\nexhaust_centreline = "116 deg"'
    assert values(part(text).facts, US)["lobe separation"] == pytest.approx(112.0)


def test_a_lift_table_gives_a_duration() -> None:
    rows = '[["deg", "in"], [-130, 0], [0, 0.300], [130, 0]]'
    found = values(part(CAM_A + f"intake_lift_table = {rows}").facts, US)
    assert found["intake duration at 0.050 in, lift table"] == pytest.approx(216.667, abs=1e-3)


def test_facts_of_a_head() -> None:
    head = part(HEAD + 'intake_port_area = "1.3 in2"\n')
    found = values(head.facts, US)
    assert found["intake flow at 28 inH2O"] == pytest.approx(143.0)
    assert found["exhaust flow at 28 inH2O"] == pytest.approx(107.0)
    # rows past the first: 67/88, 89/119, 102/137, 105/141, 107/143
    assert found["exhaust over intake flow"] == pytest.approx(0.7493, abs=5e-5)
    assert found["power ceiling of one cylinder"] == pytest.approx(0.257 * 143.0)
    assert found["intake flow per port area"] == pytest.approx(110.0 * 4.719474e-4 / 6.4516e-4, rel=1e-6)
    # 143 / (2.3506 in2 x 147.13 cfm/in2)
    assert found["intake flow coefficient at best"] == pytest.approx(0.4135, abs=1e-4)
    assert "square-root" not in how(head, "intake flow at 28 inH2O")


def test_a_head_flowed_at_another_depression_is_converted_with_the_caution() -> None:
    head = part(HEAD.replace('"28 inH2O"', '"10 inH2O"'))
    assert values(head.facts, US)["intake flow at 28 inH2O"] == pytest.approx(143.0 * 1.67332, rel=1e-5)
    assert "square-root law" in how(head, "intake flow at 28 inH2O")
    assert "2 to 5 %" in how(head, "intake flow at 28 inH2O")
    assert "10 inH2O" in how(head, "intake flow at 28 inH2O")


def test_a_head_without_exhaust_flow_has_no_share() -> None:
    text = 'kind = "head"\ndepression = "28 inH2O"\nflow = [["in", "cfm"], [0.1, 47], [0.2, 88]]'
    assert set(values(part(text).facts, US)) == {"intake flow at 28 inH2O", "power ceiling of one cylinder"}


def test_facts_of_springs() -> None:
    springs = part(SPRINGS)
    rate = next(fact for fact in springs.facts if fact.name == "spring rate")
    assert float(rate.value) == pytest.approx(150 * 4.4482216152605 / (0.450 * 0.0254))
    assert values(springs.facts, US)["coil-bind margin at open height"] == pytest.approx(0.150)
    other = part(SPRINGS.replace('open_load = "260 lb"', 'rate = "340 lb/in"'))
    assert values(other.facts, US)["open load"] == pytest.approx(263.0)


def test_facts_of_pipes() -> None:
    found = values(part(HEADER).facts, US)
    assert found["primary area"] == pytest.approx(1.4957, abs=5e-5)
    assert found["collector over primary length"] == pytest.approx(18.0 / 42.0)
    runner = values(part('kind = "intake"\nrunner_diameter = "40 mm"\nrunner_length = "0.4 m"').facts, {})
    assert runner["runner area"] == pytest.approx(12.566e-4, rel=1e-4)
    assert runner["runner tuned speed, wave 3"] == pytest.approx(30 * 365 / 1.2)
    throttle = values(part('kind = "throttle"\ndiameter = "40 mm"\ncount = 4').facts, {})
    assert throttle["throttle area"] == pytest.approx(4 * 12.566e-4, rel=1e-4)


def test_facts_of_what_mixes() -> None:
    carburettor = part('kind = "carburettor"\nflow = "468 cfm"\ndepression = "3.0 inHg"')
    assert values(carburettor.facts, US)["carburettor flow at 1.5 inHg"] == pytest.approx(331.0, abs=0.1)
    assert pytest.approx(to_house(1.5, "inHg", "Pa")) == CARBURETTOR_DEPRESSION
    text = 'kind = "injectors"\nmass_flow = "29 lb/h"\npressure = "43.5 psi"\nrunning_pressure = "58 psi"'
    found = values(part(text).facts, {"kg/s": "lb/h"})
    assert found["injector mass flow at running pressure"] == pytest.approx(33.486, abs=1e-3)


def test_a_fuel_by_name_shows_what_the_table_adds() -> None:
    found = values(part('kind = "fuel"\nfuel = "petrol"\ndensity = "751 kg/m3"').facts, {"J/kg": "MJ/kg"})
    assert found["stoichiometric"] == 14.7
    assert found["heating value"] == pytest.approx(43.44)
    assert "density" not in found
    assert found["energy for each mass of air"] == pytest.approx(43.44 / 14.7)


def test_facts_of_boost_and_accessories() -> None:
    pulley = part('kind = "pulley"\ndriving = "152.4 mm"\ndriven = "3 in"')
    assert values(pulley.facts, {})["pulley ratio"] == pytest.approx(2.0)
    wheel = part('kind = "compressor"\ndesign = "centrifugal"\nimpeller = "3.5 in"\nspeed_limit = "60000 rpm"')
    assert from_house(values(wheel.facts, {})["tip speed at the speed limit"], "ft/s", "m/s") == pytest.approx(
        916.3, abs=0.05
    )
    drives = part('kind = "accessories"\n[drive_power]\nfan = "3 hp"\npump = "1.5 hp"')
    assert values(drives.facts, US)["drive power of all accessories"] == pytest.approx(4.5)


def test_every_fact_names_its_formula_and_a_known_source() -> None:
    whole = build(
        parts={
            "camshaft": "cam B",
            "head": "iron head",
            "exhaust": "tube header",
            "springs": "stock springs",
            "compressor": "wheel",
            "pulley": "small pulley",
            "injectors": "red nozzles",
        },
        settings={"rpm_limit": "5600 rpm"},
    )
    facts = [*whole.facts, *(fact for sheet in shelf().values() for fact in sheet.facts)]
    assert len(facts) > 50
    for fact in facts:
        formula, _, source = fact.how.rpartition("; source: ")
        assert formula, fact
        assert source in SOURCES, fact
        assert re.fullmatch(r"[a-z0-9][\w ,./-]*", fact.name), fact.name
