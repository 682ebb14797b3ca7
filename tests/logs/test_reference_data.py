"""Real data: every file that can be read as a pull is read without editing by hand; the others are refused."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from fairpull import logs
from fairpull.logs.options import ReadOptions
from fairpull.terms.errors import ReadRefused
from fairpull.terms.recording import Recording

OURS = Path(__file__).parents[1] / "samples" / "real" / "epa_petrol_2.0l_wot.csv"


def codes(found: Recording) -> set[str]:
    return {finding.code for finding in found.findings}


def check_epa(path: Path) -> None:
    (found,) = logs.read(path, ReadOptions())
    assert found.kind == "table"
    assert found.channels["rpm"].shape == (19,)
    assert found.channels["rpm"][0] == 1039.2
    assert found.channels["torque"][13] == 200.111
    assert codes(found) >= {"no-clock", "no-weather", "points-not-measured"}
    said = next(finding for finding in found.findings if finding.code == "points-not-measured")
    assert "3" in said.text
    assert "extension" in said.text


def test_the_public_wide_open_throttle_curve_is_a_table_with_findings() -> None:
    check_epa(OURS)


def test_the_copy_in_the_project_is_the_reference_file(reference_data: Path) -> None:
    original = reference_data / "epa-wot-curves" / "petrol_2.0l_wot.csv"
    assert original.read_bytes() == OURS.read_bytes()
    check_epa(original)


def test_one_long_table_is_39_curves(reference_data: Path) -> None:
    path = reference_data / "jrc-full-load-curves" / "full_load_curves.csv"
    found = logs.read(path, ReadOptions(by="vehicle_no"))
    assert len(found) == 39
    assert len({recording.name for recording in found}) == 39
    assert sum(recording.channels["rpm"].size for recording in found) == 1154
    first = found[0]
    assert first.kind == "table"
    assert np.max(first.channels["power"]) == pytest.approx(110e3, rel=1e-12)
    assert np.max(first.channels["torque"]) == 320.0


def test_the_long_table_not_split_is_refused_or_said(reference_data: Path) -> None:
    """39 engines in one curve would be nonsense: the column to split by is named."""
    path = reference_data / "jrc-full-load-curves" / "full_load_curves.csv"
    try:
        (found,) = logs.read(path, ReadOptions())
    except ReadRefused as refusal:
        assert "vehicle_no" in str(refusal)  # noqa: PT017
    else:
        assert any("vehicle_no" in finding.text + finding.remedy for finding in found.findings)


def test_two_fuels_from_bmep_and_displacement(reference_data: Path) -> None:
    path = reference_data / "turbo-petrol-vs-natural-gas" / "full_load_bmep.csv"
    found = logs.read(path, ReadOptions(by="fuel", displacement=1.991e-3))
    assert len(found) == 2
    assert [recording.channels["rpm"].size for recording in found] == [100, 100]
    for recording in found:
        peak = recording.channels["torque"].max()
        # torque = BMEP x displacement / (4 pi) for four strokes
        highest = recording.channels["bmep"].max()
        assert peak == pytest.approx(highest * 1.991e-3 / (4.0 * np.pi), rel=1e-12)
        assert round(float(peak)) == 269
        assert any("bmep" in key.lower() + value.lower() for key, value in recording.choices.items())


def test_bmep_without_displacement_asks_for_it(reference_data: Path) -> None:
    path = reference_data / "turbo-petrol-vs-natural-gas" / "full_load_bmep.csv"
    with pytest.raises(ReadRefused) as error:
        logs.read(path, ReadOptions(by="fuel"))
    assert "displacement" in error.value.faults[0].remedy


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("turbo-petrol-vs-natural-gas/bsfc_maps.csv", "part load"),
        ("ethanol-single-cylinder/ethanol.csv", "speed"),
        ("jrc-full-load-curves/vehicles.csv", "torque"),
    ],
)
def test_what_is_no_pull_is_refused_with_the_reason(reference_data: Path, name: str, said: str) -> None:
    with pytest.raises(ReadRefused) as error:
        logs.read(reference_data / name, ReadOptions(displacement=1.991e-3))
    assert said in str(error.value)
    assert Path(name).stem in str(error.value)
