"""A kept pull that is read again: new trace, figures and papers in one transaction, the old mark stays."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fairpull.book import Book, staging
from fairpull.terms.bench import COUNTS, SET_ASIDE, Figure, NewPull
from fairpull.terms.errors import BookRefused, UnknownName
from tests.book.making import Batch, batch, stray_files


def taken(kept: Book, folder: Path, **more: int) -> Batch:
    coming = batch(folder, **more)  # type: ignore[arg-type]
    kept.take(coming.pulls, coming.files)
    return coming


def read_anew(new: NewPull) -> NewPull:
    """The same rows with another torque and a channel more."""
    torque = np.asarray(new.pull.channels["torque"]) * 1.02
    channels = {**new.pull.channels, "torque": torque, "lambda": np.full(torque.size, 0.88)}
    return replace(
        new,
        pull=replace(new.pull, channels=channels, choices={"despike": "off"}),
        state=SET_ASIDE,
        reason="too hot",
        summary={"peak_torque": float(torque.max())},
        figures={name: Figure(float(one.min()), float(one.mean()), float(one.max())) for name, one in channels.items()},
        reading={"clean": {"inertia": 0.2}},
    )


def test_everything_that_was_read_is_new_and_the_rest_stays(kept: Book, tmp_path: Path) -> None:
    (new,) = taken(kept, tmp_path).pulls
    before = kept.pull("run")
    again = read_anew(new)
    after = kept.retake("run", again, "unit named", by="KL")
    for name in ("number", "name", "original", "original_name", "piece", "build", "build_version", "taken_at"):
        assert getattr(after, name) == getattr(before, name)
    assert (after.state, after.reason, after.choices) == (SET_ASIDE, "too hot", {"despike": "off"})
    assert after.summary == again.summary
    assert after.figures == dict(again.figures)
    assert after.reading == {"clean": {"inertia": 0.2}}
    assert after.trace != before.trace
    trace = kept.trace("run")
    assert list(trace.channels) == list(again.pull.channels)
    assert trace.channels["torque"].tobytes() == again.pull.channels["torque"].tobytes()
    assert [(mark.state, mark.by) for mark in kept.marks("run")] == [(COUNTS, ""), (SET_ASIDE, "KL")]
    (remark,) = kept.remarks(("pull", "run"))
    assert remark.text == f"read again: unit named (trace before: {before.trace[:12]})"
    assert kept.check().findings == ()
    assert stray_files(kept) == []


def test_read_the_same_again_changes_no_trace_and_no_mark(kept: Book, tmp_path: Path) -> None:
    (new,) = taken(kept, tmp_path).pulls
    before = kept.pull("run")
    for _ in range(2):
        assert replace(kept.retake("run", new, "to be sure"), version=before.version) == before
    assert len(kept.marks("run")) == 1
    assert len(kept.remarks(("pull", "run"))) == 2


def test_again_and_again_and_after_compaction(kept: Book, tmp_path: Path) -> None:
    coming = taken(kept, tmp_path, pieces=3)
    kept.compact()
    for step in range(3):
        new = read_anew(coming.pulls[1])
        torque = np.asarray(new.pull.channels["torque"]) + step
        figure = Figure(float(torque.min()), float(torque.mean()), float(torque.max()))
        channels = {**new.pull.channels, "torque": torque}
        new = replace(new, pull=replace(new.pull, channels=channels), figures={**new.figures, "torque": figure})
        kept.retake("run#2", new, "why")
        assert kept.trace("run#2").channels["torque"].tobytes() == torque.tobytes()
        assert kept.check().findings == ()
        assert stray_files(kept) == []
    for name, old in (("run", coming.pulls[0]), ("run#3", coming.pulls[2])):
        assert kept.trace(name).channels["torque"].tobytes() == old.pull.channels["torque"].tobytes()
    kept.compact()
    assert kept.check().findings == ()


def test_another_file_piece_or_build_is_refused_and_so_is_no_reason(kept: Book, tmp_path: Path) -> None:
    (new,) = taken(kept, tmp_path).pulls
    before = kept.pull("run")
    foreign = replace(new, pull=replace(new.pull, origin=replace(new.pull.origin, sha256="1" * 64)))
    elsewhere = replace(new, pull=replace(new.pull, first_row=500, last_row=600))
    for wrong, code in ((foreign, "not-the-original"), (elsewhere, "not-the-piece")):
        with pytest.raises(BookRefused, match=code):
            kept.retake("run", wrong, "why")
    with pytest.raises(BookRefused) as refusal:
        kept.retake("run", replace(foreign, build="cam B"), "why")
    assert [fault.code for fault in refusal.value.faults] == ["not-the-original", "not-the-build"]
    with pytest.raises(BookRefused, match="reason-missing"):
        kept.retake("run", new, " ")
    with pytest.raises(UnknownName):
        kept.retake("nobody", new, "why")
    with pytest.raises(UnknownName):
        kept.retake("run", replace(new, session="never"), "why")
    assert kept.pull("run") == before
    assert kept.remarks(("pull", "run")) == ()


def test_a_writer_that_dies_after_the_file_came_leaves_the_old_pull(
    kept: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (new,) = taken(kept, tmp_path).pulls
    before, trace = kept.pull("run"), kept.trace("run").channels["torque"].tobytes()
    plain = staging.Staging.place

    @contextmanager
    def dying() -> Iterator[None]:
        def place(self: staging.Staging) -> None:
            plain(self)
            raise KeyboardInterrupt

        with monkeypatch.context() as patched:
            patched.setattr(staging.Staging, "place", place)
            yield

    with dying(), pytest.raises(KeyboardInterrupt):
        kept.retake("run", read_anew(new), "why")
    assert kept.pull("run") == before
    assert kept.trace("run").channels["torque"].tobytes() == trace
    with kept.store.writing():
        pass
    assert stray_files(kept) == []
    assert kept.check().findings == ()
