from __future__ import annotations

import math
import subprocess
import sys
from pathlib import Path

import pytest

from fairpull import engine
from fairpull.engine.engine_file import LARGEST_FILE, engine_from_text
from fairpull.terms.engine import Engine
from fairpull.terms.errors import Fault, ReadRefused, ValueRefused

WHOLE = """
name = "Wren"
bore = "77.9 mm"
stroke = "3.465 in"
rod = "5.512 in"
cylinders = 4
strokes = 4
compression_ratio = "9.0:1"
fuel = "E10"
induction = "belt"
ignition = "spark"
inertia = "0.20 kg m2"

[parts]
camshaft = "C"
pulley = 72
"""
SIZE = 'bore = "86 mm"\nstroke = "86 mm"\ncylinders = 4\n'


def read(text: str) -> Engine:
    return engine_from_text(text, where="engine.toml", name="engine")


def faults(text: str) -> dict[str, Fault]:
    """Faults of a refused text, by the entry they are about."""
    with pytest.raises(ValueRefused) as refusal:
        read(text)
    found = refusal.value.faults
    assert all(fault.where.startswith("engine.toml") for fault in found)
    return {fault.where.removeprefix("engine.toml").removeprefix(", "): fault for fault in found}


def test_a_whole_file(tmp_path: Path) -> None:
    path = tmp_path / "engine.toml"
    path.write_text(WHOLE, "utf-8")
    found = engine.load(path)
    assert (found.name, found.cylinders, found.strokes, found.compression_ratio) == ("Wren", 4, 4, 9.0)
    assert found.bore == pytest.approx(0.0779)
    assert found.stroke == pytest.approx(3.465 * 0.0254)
    assert found.rod == pytest.approx(5.512 * 0.0254)
    assert found.inertia == 0.20
    assert (found.induction, found.ignition) == ("belt", "spark")
    assert found.fuel == engine.FUELS["e10"].fuel
    assert found.parts == {"camshaft": "C", "pulley": "72"}
    assert found.displacement is None
    assert engine.displacement_of(found) * 1e6 == pytest.approx(1678.0, abs=0.5)


def test_a_name_defaults_to_the_file(tmp_path: Path) -> None:
    path = tmp_path / "anvil.toml"
    path.write_text(SIZE, "utf-8")
    assert engine.load(str(path)).name == "anvil"


@pytest.mark.parametrize("text", ["2.0 L", "2000 cc", "122.047 CID"])
def test_displacement_alone_is_enough(text: str) -> None:
    found = read(f'displacement = "{text}"')
    assert engine.displacement_of(found) == pytest.approx(0.002, rel=1e-5)
    assert math.isnan(found.bore)
    assert math.isnan(found.stroke)
    assert found.cylinders == 0


def test_displacement_with_stroke_keeps_the_stroke() -> None:
    found = read('displacement = "2.0 L"\nstroke = "86 mm"\ncylinders = 4')
    assert found.stroke == pytest.approx(0.086)
    assert (found.cylinders, found.displacement) == (4, 0.002)


def test_stated_displacement_may_be_rounded_but_not_wrong() -> None:
    assert read(SIZE + 'displacement = "2.0 L"').displacement is None
    assert faults(SIZE + 'displacement = "2.2 L"')["displacement"].code == "displacement-disagrees"


def test_compression_ratio_from_volumes() -> None:
    # swept 499.557 cm3; 44 + pi/4 8.7^2 0.1 + pi/4 8.6^2 0.02 + 3 - 1 = 53.106 cm3 by hand
    found = read(
        SIZE + '[volumes]\nchamber = "44 cc"\ngasket_thickness = "1.0 mm"\ngasket_bore = "87 mm"\n'
        'deck_clearance = "0.2 mm"\ndish = "3 cc"\ndome = "1 cc"\n'
    )
    assert found.compression_ratio == pytest.approx(499.557 / 53.106 + 1.0, abs=2e-4)


def test_compression_ratio_from_plain_volumes_and_displacement() -> None:
    found = read(
        'displacement = "2.0 L"\ncylinders = 4\n[volumes]\nchamber = "45 cc"\ngasket = "6 cc"\ndeck = "-1 cc"\n'
    )
    assert found.compression_ratio == pytest.approx(11.0)


@pytest.mark.parametrize(
    ("text", "entry", "code"),
    [
        (
            SIZE + 'compression_ratio = 9\n[volumes]\nchamber = "44 cc"',
            "compression_ratio",
            "compression-ratio-disagrees",
        ),
        (SIZE + '[volumes]\nchamber = "4 cc"', "volumes", "compression-ratio-implausible"),
        (SIZE + '[volumes]\nchamber = "44 cc"\ndome = "50 cc"', "volumes", "compression-ratio-implausible"),
        (SIZE + '[volumes]\ndish = "4 cc"', "volumes.chamber", "entry-missing"),
        ('displacement = "2 L"\n[volumes]\nchamber = "44 cc"', "cylinders", "entry-missing"),
        (
            'displacement = "2 L"\ncylinders = 4\n[volumes]\nchamber = "44 cc"\ndeck_clearance = "1 mm"',
            "bore",
            "entry-missing",
        ),
        (SIZE + '[volumes]\nchamber = "44 cc"\ngaskt = "6 cc"', "volumes.gaskt", "unknown-entry"),
        (SIZE + 'rod = "40 mm"', "rod", "rod-too-short"),
        (SIZE + 'rod = "143"', "rod", "unit-missing"),
        (SIZE + 'rod = "143 mmm"', "rod", "unit-unknown"),
        (SIZE + 'rod = "143 psi"', "rod", "unit-of-another-quantity"),
        (SIZE + 'rod = "143 m"', "rod", "out-of-range"),
        (SIZE + "rod = 143", "rod", "unit-missing"),
        (SIZE + "rod = true", "rod", "unit-missing"),
        (SIZE + 'inertia = "-0.2 kg m2"', "inertia", "out-of-range"),
        (SIZE + "compression_ratio = 94", "compression_ratio", "out-of-range"),
        (SIZE + 'compression_ratio = "high"', "compression_ratio", "not-a-number"),
        (SIZE + "strokes = 3", "strokes", "unknown-word"),
        (SIZE + 'induction = "turbocharged"', "induction", "unknown-word"),
        (SIZE + 'fuel = "petrl"', "fuel", "unknown-fuel"),
        (SIZE + '[fuel]\nname = "x"\nheating_value = "43"', "fuel.heating_value", "unit-missing"),
        (SIZE + "[fuel]\nstoichiometric = 14.6", "fuel.name", "entry-missing"),
        (SIZE + '[fuel]\nname = "petrol"\nstoich = 14.6', "fuel.stoich", "unknown-entry"),
        (SIZE.replace("4", '"four"'), "cylinders", "not-a-count"),
        (SIZE.replace("= 4", "= 0"), "cylinders", "not-a-count"),
        (SIZE.replace("= 4", "= 4.5"), "cylinders", "not-a-count"),
        (SIZE + "name = 7", "name", "wrong-kind"),
        ("", "", "size-missing"),
        ('bore = "86 mm"\ncylinders = 4', "stroke", "entry-missing"),
    ],
)
def test_slips_are_named(text: str, entry: str, code: str) -> None:
    found = faults(text)
    assert found[entry].code == code
    assert len(found) == 1
    assert found[entry].remedy


@pytest.mark.parametrize(
    ("written", "meant"), [("strok", "stroke"), ("Bore", "bore"), ("compression", "compression_ratio")]
)
def test_an_unknown_entry_names_the_nearest(written: str, meant: str) -> None:
    fault = faults(SIZE + f'{written} = "1 mm"')[written]
    assert fault.code == "unknown-entry"
    assert f"did you mean {meant}?" in fault.remedy
    assert "inertia" in fault.remedy


def test_all_faults_of_the_file_at_once() -> None:
    found = faults('bore = 88\nstrok = "82 mm"\ncylinders = "4"\nstrokes = 3\nfuel = "petrl"\nrod = "140 psi"\n')
    assert set(found) == {"bore", "strok", "stroke", "cylinders", "strokes", "fuel", "rod"}


def test_contradictions_of_the_file_come_together() -> None:
    found = faults(SIZE + 'displacement = "3 L"\nrod = "40 mm"\n[volumes]\nchamber = "4 cc"')
    assert set(found) == {"displacement", "rod", "volumes"}


def test_a_fuel_of_ones_own() -> None:
    found = read(SIZE + '[fuel]\nname = "Petrol"\nstoichiometric = 14.6\n').fuel
    assert found is not None
    assert (found.stoichiometric, found.heating_value) == (14.6, engine.FUELS["petrol"].fuel.heating_value)
    text = '[fuel]\nname = "shop blend"\nstoichiometric = 13.0\nheating_value = "40 MJ/kg"\ndensity = "0.76 kg/L"\n'
    own = read(SIZE + text).fuel
    assert own is not None
    assert (own.stoichiometric, own.heating_value) == (13.0, 40e6)
    assert own.density == pytest.approx(760.0)


@pytest.mark.parametrize(("written", "meant"), [("gasoline", "petrol"), ("Natural Gas", "methane"), ("LPG", "propane")])
def test_other_names_of_fuels(written: str, meant: str) -> None:
    assert read(SIZE + f'fuel = "{written}"').fuel == engine.FUELS[meant].fuel


def test_words_are_taken_as_people_write_them() -> None:
    found = read(SIZE + 'induction = "Turbo_Held"\nignition = " Compression "')
    assert (found.induction, found.ignition) == ("turbo-held", "compression")


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"bore = 88 mm\n", "not-toml"),
        (b'bore = "88 \xff mm"\n', "not-utf-8"),
        (b"#" * (LARGEST_FILE + 1), "file-too-large"),
    ],
)
def test_files_that_are_no_engine_files(tmp_path: Path, content: bytes, code: str) -> None:
    path = tmp_path / "engine.toml"
    path.write_bytes(content)
    with pytest.raises(ReadRefused) as refusal:
        engine.load(path)
    assert [fault.code for fault in refusal.value.faults] == [code]
    assert "engine.toml" in refusal.value.faults[0].where


def test_a_missing_file_and_a_folder(tmp_path: Path) -> None:
    for path in (tmp_path / "none.toml", tmp_path):
        with pytest.raises(ReadRefused) as refusal:
            engine.load(path)
        assert refusal.value.faults[0].code == "file-unreadable"


def test_a_file_with_a_byte_order_mark_is_read(tmp_path: Path) -> None:
    path = tmp_path / "engine.toml"
    path.write_text("\ufeff" + SIZE, "utf-8")
    assert engine.load(path).cylinders == 4


def test_the_form_library_is_loaded_only_when_a_file_is_read() -> None:
    program = "import sys, fairpull.engine, fairpull.air; print('pydantic' in sys.modules, 'pint' in sys.modules)"
    shown = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True).stdout
    assert shown.split() == ["False", "False"]
