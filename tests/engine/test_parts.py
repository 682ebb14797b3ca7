"""What a data sheet takes, what it refuses, and with which words."""

from __future__ import annotations

import math
import subprocess
import sys
from typing import Any

import pytest

from fairpull import engine
from fairpull.engine.parts import forms
from fairpull.terms.build import PART_KINDS
from fairpull.terms.errors import Fault, ValueRefused
from fairpull.terms.units import to_house
from tests.engine.sheets import CAM_A, HEAD, SPRINGS, part, table

LEAST: dict[str, dict[str, Any]] = {"compressor": {"design": "screw"}, "fuel": {"fuel": "petrol"}}


def faults(text: str) -> list[Fault]:
    with pytest.raises(ValueRefused) as refusal:
        part(text, "x")
    assert all(fault.where.startswith("x.toml, ") and fault.remedy for fault in refusal.value.faults)
    return list(refusal.value.faults)


def coded(text: str) -> dict[str, str]:
    """Faults of a refused text: entry -> code."""
    return {fault.where.removeprefix("x.toml, "): fault.code for fault in faults(text)}


@pytest.mark.parametrize("kind", PART_KINDS)
def test_every_kind_has_a_sheet_that_takes_a_label_and_notes(kind: str) -> None:
    raw = {"kind": kind, "label": "tag 7", "notes": "from the shelf", **LEAST.get(kind, {})}
    found = engine.part_from_table(raw, where="x.toml", name="x")
    assert (found.name, found.kind, found.body) == ("x", kind, raw)
    assert not {"kind", "name", "label", "notes"} & set(found.data)


@pytest.mark.parametrize("kind", [kind for kind in PART_KINDS if kind != "other"])
def test_no_sheet_takes_a_price_or_anything_unknown(kind: str) -> None:
    raw = {"kind": kind, "price": "12", **LEAST.get(kind, {})}
    with pytest.raises(ValueRefused) as refusal:
        engine.part_from_table(raw, where="x.toml", name="x")
    (fault,) = refusal.value.faults
    assert (fault.code, fault.where) == ("unknown-entry", "x.toml, price")
    assert all(entry in fault.remedy for entry in forms()[kind].model_fields)


def test_entries_are_held_in_house_units() -> None:
    data = part(CAM_A).data
    assert data["intake_valve_lift"] == pytest.approx(0.440 * 0.0254, rel=1e-12)
    assert data["lobe_separation"] == pytest.approx(math.radians(112.0), rel=1e-12)
    assert part(HEAD).data["flow"][1] == pytest.approx([0.00508, 88 * 0.3048**3 / 60, 67 * 0.3048**3 / 60])


def test_the_sheet_is_kept_as_it_was_written() -> None:
    assert part(CAM_A).body == table(CAM_A)


def test_a_name_on_the_sheet_goes_before_the_file() -> None:
    assert part('name = "Cam A"\n' + CAM_A, "file").name == "Cam A"


def test_pounds_on_a_spring_are_pounds_of_force() -> None:
    data = part(SPRINGS + 'rate = "333 lb/in"\n').data
    assert data["seat_load"] == pytest.approx(110 * 4.4482216152605, rel=1e-12)
    assert data["rate"] == pytest.approx(333 * 4.4482216152605 / 0.0254, rel=1e-12)
    metric = part('kind = "springs"\nseat_load = "50 kg"\nseat_height = "43 mm"\nrate = "58 N/mm"\n').data
    assert (metric["seat_load"], metric["rate"]) == (pytest.approx(490.3325), pytest.approx(58e3))


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ('name = "x"', {"kind": "entry-missing"}),
        ('kind = "camshft"', {"kind": "unknown-word"}),
        ("kind = 3", {"kind": "unknown-word"}),
        ('kind = "head"\nchamber_volum = "45 cc"', {"chamber_volum": "unknown-entry"}),
        ('kind = "head"\nchamber_volume = "45"', {"chamber_volume": "unit-missing"}),
        ('kind = "head"\nchamber_volume = 45', {"chamber_volume": "unit-missing"}),
        ('kind = "head"\nchamber_volume = "45 mm"', {"chamber_volume": "unit-of-another-quantity"}),
        ('kind = "head"\nintake_valve = "44 m"', {"intake_valve": "out-of-range"}),
        ('kind = "head"\nintake_valves = "two"', {"intake_valves": "not-a-count"}),
        ('kind = "camshaft"\nintake_advertised = "260 deg"', {"advertised_lift": "entry-missing"}),
        ('kind = "camshaft"\nintake_duration = "204 deg"', {"checking_lift": "entry-missing"}),
        (
            'kind = "camshaft"\nadvertised_lift = "unknown"\nintake_advertised = "260 deg"',
            {"advertised_lift": "not-a-number"},
        ),
        (CAM_A + 'intake_lobe_lift = "0.280 in"\nintake_rocker_ratio = 1.5', {"intake_valve_lift": "entries-disagree"}),
        (CAM_A + 'exhaust_centreline = "110 deg"', {"exhaust_centreline": "entries-disagree"}),
        (CAM_A.replace("204", "264"), {"intake_duration": "entries-disagree"}),
        ('kind = "carburettor"\nflow = "468 cfm"', {"depression": "entry-missing"}),
        ('kind = "injectors"\nmass_flow = "29 lb/h"', {"pressure": "entry-missing"}),
        ('kind = "injectors"\nflow = "29 lb/h"', {"flow": "unknown-entry"}),
        (
            'kind = "injectors"\nmass_flow = "29 lb/h"\nvolume_flow = "29 cc/min"\npressure = "3 bar"',
            {"volume_flow": "entries-disagree"},
        ),
        ('kind = "compressor"', {"design": "entry-missing"}),
        ('kind = "compressor"\ndesign = "turbine"', {"design": "unknown-word"}),
        ('kind = "compressor"\ndesign = "screw"\nimpeller = "80 mm"', {"impeller": "entries-disagree"}),
        ('kind = "compressor"\ndesign = "centrifugal"\ndisplacement = "1 L"', {"displacement": "entries-disagree"}),
        ('kind = "pulley"\ndriving = "6 in"', {"driven": "entry-missing"}),
        ('kind = "pulley"\ndriving = "6 in"\ndriven = "3 in"\nratio = 2.2', {"ratio": "entries-disagree"}),
        ('kind = "cooler"\neffectiveness = "70"', {"effectiveness": "out-of-range"}),
        ('kind = "fuel"\nfuel = "petrl"', {"fuel": "unknown-fuel"}),
        (
            'kind = "fuel"\nstoichiometric = 14.6\ndensity = "750 kg/m3"',
            {"heating_value": "entry-missing"},
        ),
        (SPRINGS.replace("1.250", "1.750"), {"open_height": "entries-disagree"}),
        (SPRINGS + 'rate = "500 lb/in"', {"rate": "entries-disagree"}),
        (SPRINGS.replace('open_height = "1.250 in"', ""), {"open_height": "entry-missing"}),
        ('kind = "springs"\nrate = "320 lb"', {"rate": "unit-unknown"}),
        ('kind = "springs"\nrate = "a lot/in"', {"rate": "not-a-number"}),
        ('kind = "springs"\nseat_load = "110 psi"\nseat_height = "43 mm"', {"seat_load": "unit-of-another-quantity"}),
        ('kind = "exhaust"\ndesign = "loud"', {"design": "unknown-word"}),
        (
            'kind = "exhaust"\nprimary_diameter = "20 mm"\nprimary_wall = "10 mm"',
            {"primary_wall": "entries-disagree"},
        ),
        ('kind = "intake"\nrunner_diameter = "40 mm"\nrunner_area = "9 cm2"', {"runner_area": "entries-disagree"}),
        ('kind = "accessories"\n[drive_power]\nfan = "3"', {"drive_power.fan": "unit-missing"}),
        ('kind = "other"\nshape = [1, 2]', {"shape": "wrong-kind"}),
    ],
)
def test_slips_are_named(text: str, wanted: dict[str, str]) -> None:
    assert coded(text) == wanted


def test_a_slip_names_the_nearest() -> None:
    assert "did you mean camshaft?" in faults('kind = "camshft"')[0].remedy
    assert "did you mean chamber_volume?" in faults('kind = "head"\nchamber_volum = "45 cc"')[0].remedy
    assert "did you mean mass_flow?" in faults('kind = "injectors"\nflow = "29 lb/h"')[0].remedy


def test_all_faults_of_a_sheet_at_once() -> None:
    text = 'kind = "head"\ndepresion = "28 inH2O"\nintake_valve = 1.73\nintake_valves = 0\n'
    text += 'flow = [["in", "cfm"], [0.1, 47], [0.2, -5], [0.3]]\n'
    assert coded(text) == {
        "depression": "entry-missing",
        "depresion": "unknown-entry",
        "intake_valve": "unit-missing",
        "intake_valves": "not-a-count",
        "flow, row 3, intake flow": "out-of-range",
        "flow, row 4": "table-form",
    }


@pytest.mark.parametrize(
    ("rows", "wanted"),
    [
        ('"none"', {"flow": "table-form"}),
        ('[["in", "cfm"]]', {"flow": "table-form"}),
        ('[["in", "cfm"], [0.1, 47], [0.1, 50]]', {"flow, row 3": "table-not-rising"}),
        ('[["0.2 in", "47 cfm"], ["0.1 in", "50 cfm"]]', {"flow, row 2": "table-not-rising"}),
        ('[["0.1 in", "47 cfm"], ["0.2 in", 50]]', {"flow, row 2, intake flow": "unit-missing"}),
        ('[["in", "psi"], [0.1, 47], [0.2, 50]]', {"flow, row 2, intake flow": "unit-of-another-quantity"}),
        ('[["in"], [0.1], [0.2]]', {"flow, row 2": "table-form", "flow, row 3": "table-form"}),
        ('[["0.1 in", "47 cfm"], ["0.2 in", "50 cfm", "40 cfm"]]', {"flow": "table-form"}),
    ],
)
def test_slips_in_a_table_name_the_row(rows: str, wanted: dict[str, str]) -> None:
    found = coded(f'kind = "head"\ndepression = "28 inH2O"\nflow = {rows}')
    assert {place: found[place] for place in wanted} == wanted


def test_a_table_reads_the_same_with_units_in_the_cells_or_above_them() -> None:
    above = 'flow = [["mm", "cfm"], [2.54, 47], [5.08, 88]]'
    inside = 'flow = [["0.1 in", "47 cfm"], ["0.2 in", "88 cfm"]]'
    one, two = (part(f'kind = "head"\ndepression = "28 inH2O"\n{rows}').data["flow"] for rows in (above, inside))
    assert [list(row) for row in one] == [pytest.approx(list(row), rel=1e-12) for row in two]


def test_compressor_points_mix_units_and_bare_ratios() -> None:
    text = 'points = [["lb/min", "1", "%"], [10, 1.4, 62], [20, 1.8, 74]]'
    data = part(f'kind = "compressor"\ndesign = "centrifugal"\n{text}').data
    assert data["points"][1] == pytest.approx((to_house(20.0, "lb/min", "kg/s"), 1.8, 0.74))


def test_jets_and_free_entries_are_words() -> None:
    assert part('kind = "jets"\nmain = 72\nair = "1.2 mm"').data == {"main": "72", "air": "1.2 mm"}
    assert part('kind = "other"\nflywheel = "light"\nteeth = 118').data == {"flywheel": "light", "teeth": "118"}


def test_the_form_library_is_loaded_only_when_a_sheet_is_read() -> None:
    program = (
        "import sys, fairpull.engine as e; e.overlap(1.0, 2.0); e.build_changes; e.table_text({'a': 1});"
        "print('pydantic' in sys.modules, 'pint' in sys.modules)"
    )
    shown = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True).stdout
    assert shown.split() == ["False", "False"]
