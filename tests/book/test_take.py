"""Taking in: once, whole, exact."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from fairpull.book import Book
from fairpull.book.folder import original_place, trace_place
from fairpull.book.traces import trace_hash
from fairpull.terms.bench import COUNTS, SET_ASIDE, Figure, NewPull
from fairpull.terms.errors import BookRefused, FairpullError, UnknownName
from tests.book.making import Batch, batch, files_below, same_channels


def codes(error: pytest.ExceptionInfo[FairpullError]) -> list[str]:
    return [fault.code for fault in error.value.faults]


def test_a_pull_comes_back_as_it_was(kept: Book, tmp_path: Path, reopened: Callable[[], Book]) -> None:
    coming = batch(tmp_path / "logs", "first", seed=1)
    taken = kept.take(coming.pulls, coming.files)
    assert taken.kept == ("first",)
    assert taken.already == {}
    new = coming.pulls[0]
    again = reopened()
    trace = again.trace("first")
    assert same_channels(trace.channels, new.pull.channels)
    assert replace(trace, channels={}) == replace(new.pull, channels={})
    line = again.pull("first")
    assert (line.number, line.build, line.build_version, line.session) == (1, "as it came", 1, "tuesday")
    assert (line.state, line.reason, line.valid_to, line.piece) == (COUNTS, "", None, 0)
    assert (line.summary, line.figures, line.reading) == (new.summary, new.figures, new.reading)
    assert line.health == new.health
    assert (line.origin, line.given, line.findings, line.choices) == (
        new.pull.origin,
        new.pull.given,
        new.pull.findings,
        new.pull.choices,
    )
    assert line.tested == (2000.0, 6000.0)
    assert line.original_name == "first.csv"
    assert line.trace == trace_hash(new.pull.channels)
    assert again.original(line.original).read_bytes() == coming.files[line.original].read_bytes()


def test_odd_numbers_come_back_bit_for_bit(kept: Book, tmp_path: Path) -> None:
    odd = np.array([0.0, -0.0, np.nan, -np.nan, np.inf, -np.inf, 5e-324, 1.7976931348623157e308, 0.1, 1 / 3])
    odd[3] = np.frombuffer((0xFFF8_0000_0000_1234).to_bytes(8, "little"), np.float64)[0]
    coming = batch(tmp_path / "logs")
    held = {"torque": odd, "rpm": np.arange(10.0), "Öl/1": odd[::-1]}
    new = replace(coming.pulls[0], pull=replace(coming.pulls[0].pull, channels=held))
    kept.take([new], coming.files)
    assert same_channels(kept.trace("run").channels, held)


def test_listing_is_light_and_in_order(kept: Book, tmp_path: Path) -> None:
    kept.take(*parts(batch(tmp_path, "b", 1) + batch(tmp_path, "a", 2, build="cam B") + batch(tmp_path, "c", 3)))
    kept.mark("c", SET_ASIDE, "ran hot")
    lines = kept.pulls()
    assert [(line.number, line.name) for line in lines] == [(1, "b"), (2, "a"), (3, "c")]
    assert all(line.figures == {} and line.health is None and line.findings == () for line in lines)
    assert [line.summary for line in lines] == [kept.pull(line.name).summary for line in lines]
    assert [line.name for line in kept.pulls(builds=["cam B"])] == ["a"]
    assert [line.name for line in kept.pulls(states=[SET_ASIDE])] == ["c"]
    assert kept.pulls(builds=["cam B"], states=[SET_ASIDE]) == ()
    assert kept.pulls(full=True) == tuple(kept.pull(line.name) for line in lines)


def parts(one: Batch) -> tuple[list[NewPull], dict[str, Path]]:
    return one.pulls, one.files


def test_the_same_bytes_twice_are_one_pull(kept: Book, tmp_path: Path) -> None:
    coming = batch(tmp_path / "logs", "day", seed=1, pieces=3)
    assert kept.take(*parts(coming)).kept == ("day", "day#2", "day#3")
    before = files_below(kept.folder)
    again = kept.take(*parts(coming))
    assert again.kept == ()
    assert again.already == {"day.csv": ("day", "day#2", "day#3")}
    assert len(kept.pulls()) == 3
    assert files_below(kept.folder) == before


def test_the_same_bytes_under_two_names_in_one_call_are_one_pull(kept: Book, tmp_path: Path) -> None:
    one = batch(tmp_path / "logs", "day", seed=1)
    new = one.pulls[0]
    copied = replace(new, pull=replace(new.pull, name="copy", origin=replace(new.pull.origin, path="copy.csv")))
    taken = kept.take([new, copied], one.files)
    assert taken.kept == ("day",)
    assert taken.already == {"copy.csv": ("day",)}


def test_the_same_file_named_twice_in_one_call_is_one_pull(kept: Book, tmp_path: Path) -> None:
    one = batch(tmp_path / "logs", "day", seed=1, pieces=2)
    assert kept.take([*one.pulls, *one.pulls], one.files).kept == ("day", "day#2")


def test_new_pieces_of_a_known_file_are_taken(kept: Book, tmp_path: Path) -> None:
    coming = batch(tmp_path / "logs", "day", seed=1, pieces=2)
    kept.take(coming.pulls[:1], coming.files)
    taken = kept.take(*parts(coming))
    assert taken.kept == ("day#2",)
    assert taken.already == {"day.csv": ("day",)}
    assert [line.piece for line in kept.pulls()] == [0, 1]


def test_names_are_made_unique(kept: Book, tmp_path: Path) -> None:
    for index, expected in enumerate(["run", "run#2", "run#3"]):
        assert kept.take(*parts(batch(tmp_path / str(index), "run", seed=index))).kept == (expected,)
    both = batch(tmp_path / "x", "run", seed=8) + batch(tmp_path / "y", "run", seed=9)
    assert kept.take(*parts(both)).kept == ("run#4", "run#5")
    assert kept.take(*parts(batch(tmp_path / "z", "run#2", seed=10))).kept == ("run#6",)
    assert kept.take(*parts(batch(tmp_path / "l", "run_", seed=11))).kept == ("run_",)


def test_numbers_that_are_not_finite_are_left_out_of_the_figures(kept: Book, tmp_path: Path) -> None:
    figures = {"torque": Figure(1.0, 2.0, 3.0), "boost": Figure(float("nan"), 0.0, 1.0)}
    coming = batch(tmp_path, summary={"peak_torque": 3.0, "factor": float("nan")}, figures=figures)
    kept.take(*parts(coming))
    line = kept.pull("run")
    assert line.summary == {"peak_torque": 3.0}
    assert line.figures == {"torque": Figure(1.0, 2.0, 3.0)}


def test_nothing_to_take_is_nothing(kept: Book) -> None:
    assert kept.take([], {}).kept == ()


def test_all_faults_are_told_at_once_and_nothing_is_kept(kept: Book, tmp_path: Path) -> None:
    good = batch(tmp_path, "good", 1)
    new = good.pulls[0]
    wrong = [
        replace(new, state=SET_ASIDE),
        replace(new, state="odd"),
        replace(new, pull=replace(new.pull, name=" ")),
        replace(new, pull=replace(new.pull, channels={"torque": np.arange(3.0)})),
        replace(new, pull=replace(new.pull, channels={"rpm": np.arange(3.0), "torque": np.arange(4.0)})),
        replace(new, pull=replace(new.pull, channels={"rpm": np.array([])})),
        replace(new, pull=replace(new.pull, channels={"rpm": np.array([np.nan, np.nan])})),
        replace(new, pull=replace(new.pull, origin=replace(new.pull.origin, sha256="odd"))),
        replace(new, summary={"torque": 1.0}),
    ]
    before = files_below(kept.folder)
    with pytest.raises(BookRefused) as refused:
        kept.take([new, *wrong], good.files)
    assert codes(refused) == [
        "reason-missing",
        "pull-state",
        "unfit-name",
        *["unfit-trace"] * 4,
        "unfit-hash",
        "figure-twice",
    ]
    assert kept.pulls() == ()
    assert files_below(kept.folder) == before


@pytest.mark.parametrize(
    ("changes", "word"), [({"build": "cam b"}, "cam B"), ({"session": "tusday"}, "tuesday"), ({"build": ""}, "")]
)
def test_unknown_builds_and_sessions_are_refused(
    kept: Book, tmp_path: Path, changes: dict[str, Any], word: str
) -> None:
    coming = batch(tmp_path, "good", 1) + batch(tmp_path, "bad", 2, **changes)
    before = files_below(kept.folder)
    with pytest.raises(UnknownName) as refused:
        kept.take(*parts(coming))
    assert word in refused.value.faults[0].remedy
    assert kept.pulls() == ()
    assert files_below(kept.folder) == before


def test_a_pull_without_its_file_is_refused(kept: Book, tmp_path: Path) -> None:
    coming = batch(tmp_path, "a", 1) + batch(tmp_path, "b", 2) + batch(tmp_path, "c", 3)
    del coming.files[coming.pulls[0].pull.origin.sha256], coming.files[coming.pulls[2].pull.origin.sha256]
    with pytest.raises(BookRefused) as refused:
        kept.take(*parts(coming))
    assert codes(refused) == ["no-original"] * 2
    assert kept.pulls() == ()


def test_a_file_that_changed_meanwhile_is_refused_and_nothing_is_half_kept(kept: Book, tmp_path: Path) -> None:
    coming = batch(tmp_path / "logs", "a", 1) + batch(tmp_path / "logs", "b", 2)
    (tmp_path / "logs" / "b.csv").write_text("grown", "utf-8")
    before = files_below(kept.folder)
    with pytest.raises(BookRefused) as refused:
        kept.take(*parts(coming))
    assert codes(refused) == ["file-changed"]
    assert kept.pulls() == ()
    assert files_below(kept.folder) == before
    assert list((kept.folder / "staging").iterdir()) == []


def test_a_file_that_is_gone_is_refused(kept: Book, tmp_path: Path) -> None:
    coming = batch(tmp_path / "logs", "a", 1)
    (tmp_path / "logs" / "a.csv").unlink()
    with pytest.raises(BookRefused) as refused:
        kept.take(*parts(coming))
    assert str(tmp_path / "logs" / "a.csv") in refused.value.faults[0].where


def test_a_failure_after_the_files_are_in_place_takes_them_away_again(
    kept: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("fairpull.book.take._insert", broken)
    before = files_below(kept.folder)
    with pytest.raises(BookRefused) as refused:
        kept.take(*parts(batch(tmp_path / "logs", "a", 1)))
    assert codes(refused) == ["disk-full"]
    assert files_below(kept.folder) == before
    monkeypatch.undo()
    assert kept.take(*parts(batch(tmp_path / "logs", "a", 1))).kept == ("a",)


def test_a_program_error_keeps_nothing_either(kept: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("fairpull.book.take._insert", broken)
    before = files_below(kept.folder)
    with pytest.raises(KeyboardInterrupt):
        kept.take(*parts(batch(tmp_path / "logs", "a", 1)))
    assert files_below(kept.folder) == before


def test_what_a_dead_writer_left_goes_with_the_next_writer(kept: Book, tmp_path: Path) -> None:
    kept.take(*parts(batch(tmp_path / "logs", "a", 1)))
    mine = files_below(kept.folder)
    orphan = kept.folder / original_place("ab" * 32)
    orphan.parent.mkdir()
    orphan.write_text("left", "utf-8")
    taken = trace_place("000/0000001.parquet")
    dead = kept.folder / "staging" / "123-dead"
    dead.mkdir()
    (dead / "journal.json").write_text(f'["{original_place("ab" * 32)}", "{taken}", "../../outside"]', "utf-8")
    early = kept.folder / "staging" / "124-early"
    early.mkdir()
    (early / "0.file").write_text("half", "utf-8")
    (kept.folder / "staging" / "stray").write_text("", "utf-8")
    kept.set("units", "us")
    assert files_below(kept.folder) == mine
    assert kept.trace("a").name == "a"


def test_a_missing_or_changed_trace_is_refused(kept: Book, tmp_path: Path) -> None:
    kept.take(*parts(batch(tmp_path / "logs", "a", 1) + batch(tmp_path / "logs", "b", 2)))
    files = [kept.folder / trace_place(f"000/000000{number}.parquet") for number in (1, 2)]
    files[0].write_bytes(files[1].read_bytes())
    with pytest.raises(BookRefused) as refused:
        kept.trace("a")
    assert codes(refused) == ["trace-damaged"]
    files[0].write_bytes(b"not a table")
    with pytest.raises(BookRefused) as refused:
        kept.trace("a")
    assert codes(refused) == ["trace-damaged"]
    files[0].unlink()
    with pytest.raises(BookRefused) as refused:
        kept.trace("a")
    assert codes(refused) == ["trace-missing"]
    assert str(files[0]) in refused.value.faults[0].where
    assert kept.trace("b").name == "b"


def test_a_missing_original_is_refused_and_put_back_when_taken_again(kept: Book, tmp_path: Path) -> None:
    coming = batch(tmp_path / "logs", "a", 1)
    kept.take(*parts(coming))
    sha256 = coming.pulls[0].pull.origin.sha256
    (kept.folder / original_place(sha256)).unlink()
    with pytest.raises(BookRefused) as refused:
        kept.original(sha256)
    assert codes(refused) == ["original-missing"]
    assert kept.take(*parts(coming)).already == {"a.csv": ("a",)}
    assert kept.original(sha256).is_file()
    with pytest.raises(UnknownName):
        kept.original("00" * 32)


def test_near_names_are_offered(kept: Book, tmp_path: Path) -> None:
    kept.take(*parts(batch(tmp_path / "logs", "cam-b-first", 1)))
    with pytest.raises(UnknownName) as refused:
        kept.pull("cam-b-frist")
    assert "cam-b-first" in refused.value.faults[0].remedy
    with pytest.raises(UnknownName):
        kept.trace("nothing like it")


def test_a_build_s_version_is_the_one_at_taking_in(kept: Book, tmp_path: Path) -> None:
    kept.take(*parts(batch(tmp_path, "a", 1)))
    build = kept.sheet("build", "as it came")
    kept.keep([replace(build, body={**build.body, "hours": "12 h"})])
    kept.take(*parts(batch(tmp_path, "b", 2)))
    assert [line.build_version for line in kept.pulls()] == [1, 2]
