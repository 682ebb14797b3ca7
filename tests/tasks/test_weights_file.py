"""Dead-weight tables as a shop writes them."""

from __future__ import annotations

from pathlib import Path

import pytest

from fairpull.tasks.weights_file import read_weights
from fairpull.terms.errors import FairpullError, ReadRefused


def write(folder: Path, text: str) -> Path:
    path = folder / "weights.csv"
    path.write_text(text, "utf-8")
    return path


def hung(unit: str = "N m", slope: float = 1.002, zero: float = 0.5) -> str:
    rows = [f"{load},{slope * load + zero:.6f}" for load in range(0, 401, 40)]
    return "\n".join([f"# brake 1\nhung [{unit}],read [{unit}],by", *(f"{row},x" for row in rows)]) + "\n"


def test_line_of_hung_and_read_torque(tmp_path: Path) -> None:
    line = read_weights(write(tmp_path, hung()))
    assert line.slope == pytest.approx(1.002, abs=1e-7)
    assert line.intercept == pytest.approx(0.5, abs=1e-4)
    assert line.full_scale == 400.0
    assert line.passed


def test_units_in_the_header_are_honoured(tmp_path: Path) -> None:
    line = read_weights(write(tmp_path, hung("lb-ft")))
    assert line.slope == pytest.approx(1.002, abs=1e-7)
    assert line.intercept == pytest.approx(0.5 * 1.3558179483314004, abs=1e-4)


def test_full_scale_by_word(tmp_path: Path) -> None:
    assert read_weights(write(tmp_path, hung()), full_scale="500 lb-ft").full_scale == pytest.approx(677.909, abs=5e-4)


def test_mass_and_arm_take_the_gravity_of_the_place(tmp_path: Path) -> None:
    rows = "".join(f"{mass},1,{mass * 9.80665:.6f}\n" for mass in range(0, 41, 4))
    path = write(tmp_path, "mass [kg],arm [m],read [N m]\n" + rows)
    assert read_weights(path).slope == pytest.approx(1.0, abs=1e-7)
    # Normal gravity at the equator is 9.7803 m/s2.
    assert read_weights(path, latitude=0.0).slope == pytest.approx(9.80665 / 9.7803, abs=1e-5)


def test_the_demos_tables(demo_day: Path) -> None:
    first, after = (read_weights(demo_day / f"dead-weights-{name}.csv") for name in ("day1", "day2-after-16"))
    assert first.intercept / 1.3558179483314004 == pytest.approx(0.06, abs=0.005)
    assert (after.intercept - first.intercept) / 1.3558179483314004 == pytest.approx(3.8, abs=0.1)
    assert len(first.reference) == 16


@pytest.mark.parametrize(
    ("text", "codes"),
    [
        ("", ["weights-file"]),
        ("\n# only a remark\n", ["weights-file"]),
        ("a,b\n1,2\n2,3\n", ["weights-column", "weights-column"]),
        ("hung [N m]\n1\n2\n", ["weights-column"]),
        ("mass [kg],read [N m]\n1,2\n", ["weights-column"]),
        ("hung,read [bar]\n1,2\n", ["weights-unit", "weights-unit"]),
        ("hung [N m],read [N m]\n1,x\ny,2\n", ["weights-number", "weights-number"]),
    ],
)
def test_what_is_no_table_is_refused_once_for_each_fault(tmp_path: Path, text: str, codes: list[str]) -> None:
    with pytest.raises(ReadRefused) as refusal:
        read_weights(write(tmp_path, text))
    assert [fault.code for fault in refusal.value.faults] == codes


@pytest.mark.parametrize("text", ["hung [N m],read [N m]\n", "hung [N m],read [N m]\n5,5\n5,5\n5,5\n"])
def test_too_few_loads_draw_no_line(tmp_path: Path, text: str) -> None:
    with pytest.raises(FairpullError):
        read_weights(write(tmp_path, text))


def test_no_file_and_no_text_are_refused(tmp_path: Path) -> None:
    with pytest.raises(ReadRefused, match="weights-file"):
        read_weights(tmp_path / "nix.csv")
    path = tmp_path / "weights.csv"
    path.write_bytes(b"\xff\xfe\x00\x81")
    with pytest.raises(ReadRefused, match="UTF-8"):
        read_weights(path)
