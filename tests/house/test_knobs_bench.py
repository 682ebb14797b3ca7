"""Every knob of taking in and of watching turns something, on small sweeps of an invented shop."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields
from pathlib import Path
from typing import Any

import pytest

from fairpull.book import open_book
from fairpull.logs import ReadOptions
from fairpull.pulls import PullOptions
from fairpull.tasks.bench.take import TakeOptions, take_files
from fairpull.tasks.bench.watch import Watch, watch
from fairpull.terms.recording import Conditions
from tests.tasks.bench.shop import make_book, sweep

KNOBS: dict[str, object] = {
    "session": "tuesday",
    "read": ReadOptions(given=Conditions(pressure=95e3)),
    "clean": PullOptions(inertia=0.2),
    "weather": Conditions(relative_humidity=0.9),
}


def taken(folder: Path, options: TakeOptions) -> object:
    """What a person would see of a pull taken in with these options."""
    log = sweep(folder / "log.csv")
    rows = log.read_text("utf-8").splitlines()
    log.write_text("\n".join([rows[0], *(row.rpartition(",")[0] for row in rows[1:])]) + "\n", "utf-8")  # no humidity
    with make_book(folder / "book") as kept:
        (line,) = take_files(kept, [log], "plain", options).kept
        return line.session, line.summary, line.choices, line.reading


def test_every_option_of_taking_in_has_its_case() -> None:
    assert set(KNOBS) == {field.name for field in fields(TakeOptions)}


@pytest.mark.parametrize("knob", sorted(KNOBS))
def test_a_knob_of_taking_in_turns_something(knob: str, tmp_path: Path) -> None:
    plain = taken(tmp_path / "plain", TakeOptions())
    turned = taken(tmp_path / "turned", TakeOptions(**{knob: KNOBS[knob]}))  # type: ignore[arg-type]
    assert turned != plain


def test_the_same_options_give_the_same_pull(tmp_path: Path) -> None:
    assert taken(tmp_path / "one", TakeOptions()) == taken(tmp_path / "other", TakeOptions())


class Shop:
    """A book with a pull of two references, a folder with logs to come, and a clock that only sleeping moves."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.now = 0.0
        self.inbox, self.other = folder / "inbox", folder / "other"
        with make_book(folder / "book") as kept:
            for n, (build, gain) in enumerate((("plain", 1.0), ("rich", 0.98))):
                take_files(kept, [sweep(folder / f"{build}.csv", f"09:0{n}:00", gain=gain)], build)
            kept.set("fitted", "tube")
        sweep(self.inbox / "new.csv", "10:00:00", gain=1.04)
        sweep(self.other / "another.csv", "10:00:00", gain=1.05)

    def sleep(self, seconds: float) -> None:
        self.now += seconds

    def first(self, **turned: Any) -> object:
        """What the first arrival is, and when."""
        under = Watch(**{"folder": self.inbox, **turned})
        arrival = next(watch(lambda: open_book(self.folder / "book"), under, sleep=self.sleep, clock=lambda: self.now))
        judged = None if arrival.comparison is None else arrival.comparison.comparison.groups[0].name
        assert arrival.report is not None
        lines = [(line.build, line.session, line.original_name) for line in arrival.report.kept]
        return arrival.path.name, lines, judged, self.now


def seen(shop: Shop) -> dict[Path, tuple[int, int]]:
    """The waiting log is marked as done with, and another comes later."""
    state = (shop.inbox / "new.csv").stat()
    sweep(shop.inbox / "later.csv", "11:00:00", gain=1.04)
    return {shop.inbox / "new.csv": (state.st_size, state.st_mtime_ns)}


WATCH: dict[str, Callable[[Shop], object]] = {
    "folder": lambda shop: shop.other,
    "build": lambda _: "plain",
    "reference": lambda _: "rich",
    "options": lambda _: TakeOptions(session="tuesday"),
    "quiet": lambda _: 20.0,
    "seen": seen,
}


def test_every_part_of_a_watch_has_its_case() -> None:
    assert set(WATCH) == {field.name for field in fields(Watch) if not field.name.startswith("_")}


@pytest.mark.parametrize("knob", sorted(WATCH))
def test_a_knob_of_watching_turns_something(knob: str, tmp_path: Path) -> None:
    plain = Shop(tmp_path / "plain").first()
    shop = Shop(tmp_path / "turned")
    assert shop.first(**{knob: WATCH[knob](shop)}) != plain
