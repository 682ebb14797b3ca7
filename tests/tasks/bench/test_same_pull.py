"""The same pull saved twice is one pull; an honest repeat never is the same."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
import pytest

from fairpull.book import Book
from fairpull.tasks.bench.same_pull import same_pull
from fairpull.tasks.bench.take import take_files
from fairpull.terms.arrays import FloatArray
from fairpull.terms.bench import COUNTS, SET_ASIDE, VOID
from fairpull.terms.pull import Pull
from fairpull.terms.recording import Origin
from tests.tasks.bench.shop import speeds, sweep

ORIGIN = Origin("log.csv", "0" * 64, "delimited", "made")
SCATTER = 0.001  # of torque, between repeats and between rows


def one_pull(draw: np.random.Generator, *, held: bool = False, started_at: float | None = None) -> Pull:
    """A repeat of the same engine, 0.1 % apart in level and from row to row."""
    samples = np.arange(400.0) + draw.uniform()
    rpm: FloatArray = np.arange(2000.0, 5001.0, 250.0) if held else 1700.0 + samples * 8.5
    level = 1.0 + draw.normal(0.0, SCATTER)
    torque = 300.0 * (1.0 - 9e-8 * (rpm - 3000.0) ** 2) * level * (1.0 + draw.normal(0.0, SCATTER, rpm.size))
    channels: dict[str, FloatArray] = {"rpm": rpm, "torque": torque}
    if not held:
        channels["time"] = np.arange(rpm.size) / 29.4
    return Pull("p", ORIGIN, "steps" if held else "sweep", channels, started_at=started_at, sweep_rate=250.0)


def rounded(pull: Pull, rpm: float, torque: float) -> Pull:
    """The same pull as another program would write it: fewer digits, and its first rows cut."""
    kept = {name: values[3:] for name, values in pull.channels.items()}
    kept["rpm"] = np.round(kept["rpm"] / rpm) * rpm
    kept["torque"] = np.round(kept["torque"] / torque) * torque
    return Pull("q", ORIGIN, pull.kind, kept, started_at=pull.started_at, sweep_rate=pull.sweep_rate)


@pytest.mark.parametrize("held", [False, True])
@pytest.mark.parametrize(("rpm", "torque"), [(0.0, 0.0), (1.0, 0.1356), (1.0, 1.0)])
def test_repeats_at_a_thousandth_of_scatter_are_never_the_same(held: bool, rpm: float, torque: float) -> None:
    draw = np.random.default_rng(7)
    for _ in range(100):
        pair = [one_pull(draw, held=held) for _ in range(2)]
        if rpm:
            pair = [rounded(pull, rpm, torque) for pull in pair]
        assert not same_pull(*pair)


@pytest.mark.parametrize(("rpm", "torque"), [(0.01, 0.001), (1.0, 0.1356), (1.0, 1.0)])
def test_without_a_clock_the_same_rows_are_found_within_rounding(rpm: float, torque: float) -> None:
    pull = one_pull(np.random.default_rng(1))
    assert same_pull(pull, rounded(pull, rpm, torque))
    assert same_pull(rounded(pull, rpm, torque), pull)


def test_with_clocks_the_time_decides() -> None:
    first = one_pull(np.random.default_rng(1), started_at=1e9)
    values = dict(first.channels)
    later = Pull("q", ORIGIN, "sweep", values, started_at=1e9 + 300.0, sweep_rate=250.0)
    other_unit = Pull("q", ORIGIN, "sweep", {**values, "torque": values["torque"] * 1.004}, started_at=1e9 + 0.4)
    other_brake = Pull("q", ORIGIN, "sweep", {**values, "torque": values["torque"] * 1.3}, started_at=1e9)
    assert not same_pull(first, later)
    assert same_pull(first, other_unit)
    assert not same_pull(first, other_brake)


def test_steps_with_clocks_are_the_same_only_from_the_same_second() -> None:
    draw = np.random.default_rng(3)
    first, again = (one_pull(draw, held=True, started_at=1e9 + wait) for wait in (0.0, 0.5))
    assert same_pull(first, again)
    assert not same_pull(first, one_pull(draw, held=True, started_at=1e9 + 60.0))


def rewritten(log: Path, name: str, change: Callable[[list[str]], list[str]]) -> Path:
    path = log.with_name(name)
    path.write_text("\n".join(change(log.read_text("utf-8").splitlines())) + "\n", "utf-8")
    return path


def without(lines: Sequence[str], *names: str) -> list[str]:
    head = lines[1].split(",")
    keep = [place for place, name in enumerate(head) if not name.startswith(names)]
    return [lines[0], *(",".join(row.split(",")[place] for place in keep) for row in lines[1:])]


CHANGES: dict[str, Callable[[list[str]], list[str]]] = {
    "newline.csv": lambda lines: [*lines, ""],
    "semicolons.csv": lambda lines: [lines[0], *(line.replace(",", ";") for line in lines[1:])],
    "no humidity.csv": lambda lines: without(lines, "humidity"),
    "short digits.csv": lambda lines: [
        *lines[:2],
        *(",".join(cell[:-2] if "." in cell[-6:] and cell.count(":") == 0 else cell for cell in row.split(","))
          for row in lines[2:]),
    ],
}  # fmt: skip


@pytest.mark.parametrize("build", ["plain", "tube"])
@pytest.mark.parametrize("name", CHANGES)
def test_a_pull_saved_again_is_kept_and_set_aside_by_itself(kept: Book, tmp_path: Path, name: str, build: str) -> None:
    first = sweep(tmp_path / "first.csv")
    take_files(kept, [first], "plain")
    report = take_files(kept, [rewritten(first, name, CHANGES[name])], build)
    (line,) = report.kept
    assert (line.state, line.reason) == (SET_ASIDE, "the same pull as first, saved again")
    assert "same-pull-again" in {finding.code for finding in line.findings}
    assert line.health is not None
    assert line.health.references == ()
    assert kept.pull("first").state == COUNTS


def test_without_its_clock_a_sweep_is_found_by_its_values(kept: Book, tmp_path: Path) -> None:
    first = sweep(tmp_path / "first.csv", shift=0.003)
    take_files(kept, [first], "plain")
    cut = rewritten(first, "cut.csv", lambda lines: without(lines, "time"))
    (line,) = take_files(kept, [cut], "plain").kept
    assert line.started_at is None
    assert (line.state, line.reason) == (SET_ASIDE, "the same pull as first, saved again")


def test_two_of_them_in_one_go_count_once(kept: Book, tmp_path: Path) -> None:
    first = sweep(tmp_path / "first.csv")
    again = rewritten(first, "newline.csv", CHANGES["newline.csv"])
    lines = take_files(kept, [again, first], "plain").kept
    assert [line.state for line in lines] == [COUNTS, SET_ASIDE]
    assert lines[1].reason == "the same pull as newline, saved again"


def test_the_earlier_one_that_counts_is_named(kept: Book, tmp_path: Path) -> None:
    first = sweep(tmp_path / "first.csv")
    take_files(kept, [first], "plain")
    take_files(kept, [rewritten(first, "second.csv", lambda lines: [*lines, ""])], "plain")
    kept.mark("first", VOID, "for a test")
    kept.mark("second", COUNTS, "")
    (third,) = take_files(kept, [rewritten(first, "third.csv", lambda lines: [*lines, "", ""])], "plain").kept
    assert third.reason == "the same pull as second, saved again"


def test_real_repeats_count_all(kept: Book, tmp_path: Path) -> None:
    draw = np.random.default_rng(5)
    logs = [sweep(tmp_path / f"p{n}.csv", f"10:{5 * n:02d}:00", gain=1.0 + draw.normal(0.0, SCATTER)) for n in range(6)]
    lines = [take_files(kept, [log], "plain").kept[0] for log in logs]
    assert {line.state for line in lines} == {COUNTS}


def test_repeats_without_a_date_count_all(kept: Book, tmp_path: Path) -> None:
    """Time of day only: no start is known, so values decide."""
    draw = np.random.default_rng(6)
    for n in range(4):
        noise = draw.normal(0.0, 0.3, speeds().size)
        log = sweep(tmp_path / f"p{n}.csv", f"10:0{n}:00", day="", shift=0.0, more={"torque [N m]": 300.0 + noise})
        (line,) = take_files(kept, [log], "plain").kept
        assert line.started_at is None
        assert line.state == COUNTS


def test_the_beginning_of_a_kept_log_is_a_piece_of_it(kept: Book, tmp_path: Path) -> None:
    first = sweep(tmp_path / "first.csv")
    take_files(kept, [first], "plain")
    text = first.read_bytes()
    piece = tmp_path / "piece.csv"
    piece.write_bytes(text[: text.rindex(b"\n", 0, 2 * len(text) // 3) + 1])
    (line,) = take_files(kept, [piece], "plain").kept
    assert (line.state, line.reason) == (SET_ASIDE, "an unfinished piece of first, which was taken in before")


@pytest.mark.parametrize("state", [COUNTS, VOID])
def test_the_whole_of_a_kept_piece_counts_and_the_piece_does_not(kept: Book, tmp_path: Path, state: str) -> None:
    whole = sweep(tmp_path / "run.csv")
    text = whole.read_bytes()
    piece = tmp_path / "piece.csv"
    piece.write_bytes(text[: text.rindex(b"\n", 0, 2 * len(text) // 3) + 1])
    take_files(kept, [piece], "plain")
    kept.mark("piece", state, "for a test")
    report = take_files(kept, [whole], "plain")
    (line,) = report.kept
    assert line.state == COUNTS
    assert report.pieces == {"piece": "run"}
    assert [finding.code for finding in report.findings] == ["unfinished-piece"]
    assert kept.pull("piece").state == (SET_ASIDE if state == COUNTS else VOID)
    assert line.health is not None
    assert line.health.references == ()


def test_both_in_one_go_are_told_apart_too(kept: Book, tmp_path: Path) -> None:
    whole = sweep(tmp_path / "run.csv")
    text = whole.read_bytes()
    piece = tmp_path / "piece.csv"
    piece.write_bytes(text[: text.rindex(b"\n", 0, 2 * len(text) // 3) + 1])
    lines = take_files(kept, [piece, whole], "plain").kept
    assert {line.name: line.state for line in lines} == {"piece": SET_ASIDE, "run": COUNTS}
    assert kept.pull("piece").reason.startswith("an unfinished piece of run")
