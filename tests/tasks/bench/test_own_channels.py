"""A person's own channel names: checked as a whole, written in one step, read by the next log."""

from __future__ import annotations

import os
import time
from dataclasses import replace
from pathlib import Path

import pytest

from fairpull.book import Book
from fairpull.tasks.bench import own_channels
from fairpull.tasks.bench.own_channels import LEAVE_ASIDE, OwnName, own_names, write_own_names
from fairpull.tasks.bench.take import take_files
from fairpull.terms.errors import BookRefused, ValueRefused
from tests.tasks.bench import shop

ROWS = (
    OwnName("Ch07 Brk", "torque"),
    OwnName('Ch "12".x', "inlet_temperature", "degF"),
    OwnName("Probe 3", "exhaust_temperature_3", "-degC"),
    OwnName("Spare", LEAVE_ASIDE),
    OwnName("Ersatz µ\\", "power", "PS"),
)


def test_what_is_written_is_read_again_in_the_same_order(tmp_path: Path) -> None:
    assert own_names(tmp_path) == own_channels.OwnNames()
    write_own_names(tmp_path, [replace(one, column=f"  {one.column} ") for one in ROWS], "")
    again = own_names(tmp_path)
    assert again.rows == ROWS
    assert [path.name for path in tmp_path.iterdir()] == ["channels.toml"]
    write_own_names(tmp_path, ROWS[:2], again.mark)
    assert own_names(tmp_path).rows == ROWS[:2]
    write_own_names(tmp_path, (), own_names(tmp_path).mark)
    assert own_names(tmp_path).rows == ()


def test_all_faults_are_told_with_row_and_field_and_nothing_is_written(tmp_path: Path) -> None:
    rows = [
        OwnName("Ch1", "torqe"),
        OwnName("", "torque"),
        OwnName("Ch1", "power", "degC"),
        OwnName("Ch2", ""),
        OwnName("Ch\x003", "torque", "N m\u202e"),
        OwnName("x" * 201, "turbine_rpm_2"),
    ]
    with pytest.raises(ValueRefused) as refusal:
        write_own_names(tmp_path, rows, "")
    assert [(fault.code, fault.where) for fault in refusal.value.faults] == [
        ("channel-unknown", "row 1, channel"),
        ("own-name-missing", "row 2, name"),
        ("own-name-twice", "row 3, name"),
        ("unit-of-another-quantity", "row 3, unit"),
        ("own-channel-missing", "row 4, channel"),
        ("own-name-signs", "row 5, name"),
        ("own-name-signs", "row 5, unit"),
        ("own-name-too-long", "row 6, name"),
        ("channel-unknown", "row 6, channel"),
    ]
    assert "nearest: torque" in refusal.value.faults[0].remedy
    assert list(tmp_path.iterdir()) == []


def test_too_many_names_are_refused(tmp_path: Path) -> None:
    rows = [OwnName(f"Ch{number}", "torque") for number in range(own_channels.MOST_NAMES + 1)]
    with pytest.raises(ValueRefused) as refusal:
        write_own_names(tmp_path, rows, "")
    assert shop.codes(refusal.value) == ["own-names-too-many"]
    write_own_names(tmp_path, rows[:-1], "")


def test_two_people_do_not_write_over_each_other(tmp_path: Path) -> None:
    write_own_names(tmp_path, ROWS[:1], "")
    seen = own_names(tmp_path).mark
    write_own_names(tmp_path, ROWS[:2], seen)
    for old in (seen, ""):
        with pytest.raises(BookRefused) as refusal:
            write_own_names(tmp_path, ROWS[2:], old)
        assert shop.codes(refusal.value) == ["own-names-changed"]
    assert own_names(tmp_path).rows == ROWS[:2]


def test_a_file_written_by_hand_that_cannot_be_read_says_why(tmp_path: Path) -> None:
    (tmp_path / "channels.toml").write_text('[channels]\n"A" = "nothing_known"\n"B" = 7\n', "utf-8")
    found = own_names(tmp_path)
    assert found.rows == ()
    assert [fault.code for fault in found.broken] == ["channel-unknown", "channels-file-entry"]
    with pytest.raises(BookRefused, match="nothing_known"):
        write_own_names(tmp_path, ROWS, found.mark)


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_cannot_be_written_is_a_refusal(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    with pytest.raises(BookRefused, match="may be written"):
        write_own_names(tmp_path, ROWS, "")
    tmp_path.chmod(0o700)


def test_a_disk_that_refuses_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_own_names(tmp_path, ROWS[:1], "")

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(BookRefused, match="No space left"):
        write_own_names(tmp_path, ROWS, own_names(tmp_path).mark)
    assert own_names(tmp_path).rows == ROWS[:1]
    assert [path.name for path in tmp_path.iterdir()] == ["channels.toml"]


def test_the_next_log_is_read_with_them(kept: Book, tmp_path: Path) -> None:
    odd = shop.sweep(tmp_path / "odd" / "log.csv", "10:00:00")
    odd.write_text(odd.read_text("utf-8").replace("torque [N m]", "Ch07 Brk"), "utf-8")
    write_own_names(kept.folder, [OwnName("Ch07 Brk", "torque", "N m")], "")
    taken = take_files(kept, [odd], "plain")
    assert len(taken.kept) == 1


def test_powers_of_powers_are_no_unit_and_do_not_compute_for_hours(tmp_path: Path) -> None:
    begun = time.monotonic()
    with pytest.raises(ValueRefused):
        write_own_names(tmp_path, [OwnName("A", "torque", "m**9**9**9"), OwnName("B", "torque", "m^(9^9^9)")], "")
    assert time.monotonic() - begun < 30.0
