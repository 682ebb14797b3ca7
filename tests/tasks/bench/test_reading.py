"""How an original was read is kept as plain data, and reading it again that way gives the same numbers bit for bit."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from fairpull import pulls
from fairpull.book import Book
from fairpull.logs import ReadOptions
from fairpull.pulls import PullOptions
from fairpull.tasks.bench.reading import as_data, from_data, read_again
from fairpull.tasks.bench.take import TakeOptions, take_files
from fairpull.terms.calibration import Calibration
from fairpull.terms.recording import Conditions, Origin, Recording
from tests.tasks.bench.shop import RATE, speeds, sweep, torque
from tests.tasks.demo_names import pull_of


def line() -> Calibration:
    hung = np.array([0.0, 100.0, 200.0, 300.0])
    return pulls.calibrate(hung, 1.01 * hung + 2.0 + np.array([0.0, 0.1, -0.1, 0.0]), full_scale=400.0)


def same(kept: Book, name: str) -> None:
    """The pull read again is the pull as kept, every value and every gap."""
    again, trace = read_again(kept, kept.pull(name)), kept.trace(name)
    assert again.name == trace.name == name
    assert set(again.channels) == set(trace.channels)
    for channel, values in trace.channels.items():
        assert values.dtype == again.channels[channel].dtype == np.float64
        assert values.tobytes() == again.channels[channel].tobytes(), channel


def plain(folder: Path) -> tuple[Path, TakeOptions]:
    return sweep(folder / "log.csv"), TakeOptions()


def weather_by_hand(folder: Path) -> tuple[Path, TakeOptions]:
    (folder / "conditions.toml").write_text('pressure = "98.1 kPa"\nhumidity = "44 %"\n', "utf-8")
    log = sweep(folder / "log.csv")
    text = log.read_text("utf-8").splitlines()
    head = text[1].split(",")
    keep = [place for place, name in enumerate(head) if not name.startswith(("baro", "humidity"))]
    rows = [",".join(row.split(",")[place] for place in keep) for row in text[1:]]
    log.write_text("\n".join([text[0], *rows]) + "\n", "utf-8")
    return log, TakeOptions()


def own_columns(folder: Path) -> tuple[Path, TakeOptions]:
    log = sweep(folder / "log.csv", more={"probe": np.linspace(80.0, 95.0, speeds().size)})
    (folder / "channels.toml").write_text('[probe]\nchannel = "oil_temperature"\nunit = "degC"\n', "utf-8")
    return log, TakeOptions()


def columns_by_option(folder: Path) -> tuple[Path, TakeOptions]:
    log = sweep(folder / "log.csv", more={"probe": 90.0, "spare": 4.0})
    read = ReadOptions(
        columns={"probe": "oil_temperature", "spare": ""}, units={"probe": "degC"}, given=Conditions(pressure=98000.0)
    )
    return log, TakeOptions(read=read)


def cleaned_by_option(folder: Path) -> tuple[Path, TakeOptions]:
    log = sweep(folder / "log.csv", more={"lambda 1": 0.88})
    clean = PullOptions(inertia=0.2, lags={"lambda_1": 0.3}, calibration=line(), despike_k=0.0, settle_rpm=300.0)
    return log, TakeOptions(clean=clean)


def no_date(folder: Path) -> tuple[Path, TakeOptions]:
    return sweep(folder / "log.csv", day=""), TakeOptions(read=ReadOptions(date="2031-05-07"))


def several(folder: Path) -> tuple[Path, TakeOptions]:
    return sweep(folder / "log.csv", times=3), TakeOptions()


def long_table(folder: Path) -> tuple[Path, TakeOptions]:
    rows = [f"{who},{rpm},{300.0 - rpm / 100.0 + gain}" for who, gain in (("a", 0.0), ("b", 2.5)) for rpm in
            range(2000, 5001, 250)]  # fmt: skip
    log = folder / "table.csv"
    log.write_text("who,rpm,torque [N m]\n" + "\n".join(rows) + "\n", "utf-8")
    return log, TakeOptions(read=ReadOptions(by="who"))


CASES: dict[str, tuple[Callable[[Path], tuple[Path, TakeOptions]], int]] = {
    "plain": (plain, 1),
    "conditions.toml": (weather_by_hand, 1),
    "channels.toml": (own_columns, 1),
    "options of reading": (columns_by_option, 1),
    "options of cleaning": (cleaned_by_option, 1),
    "a date by hand": (no_date, 1),
    "several pulls in one file": (several, 3),
    "a long table": (long_table, 2),
}


@pytest.mark.parametrize("case", CASES)
def test_read_again_is_the_same_bit_for_bit(kept: Book, tmp_path: Path, case: str) -> None:
    make, count = CASES[case]
    (tmp_path / "logs").mkdir()
    log, options = make(tmp_path / "logs")
    report = take_files(kept, [log], "plain", options)
    assert len(report.kept) == count
    for path in (tmp_path / "logs").iterdir():
        path.unlink()  # what lay beside the log must not be needed any more
    for place, pull in enumerate(report.kept):
        assert pull.piece == place
        same(kept, pull.name)


def test_what_lay_beside_the_log_was_taken(kept: Book, tmp_path: Path) -> None:
    for name in ("weather", "columns", "several"):
        (tmp_path / name).mkdir()
    (weather,) = take_files(kept, [weather_by_hand(tmp_path / "weather")[0]], "plain").kept
    assert weather.reading["given"] == {"pressure": 98100.0, "relative_humidity": 0.44}
    (columns,) = take_files(kept, [own_columns(tmp_path / "columns")[0]], "plain").kept
    assert columns.reading["read"]["columns"] == {"probe": "oil_temperature"}
    assert columns.figures["oil_temperature"].least == pytest.approx(273.15 + 81.3, abs=0.5)
    pieces = take_files(kept, [several(tmp_path / "several")[0]], "tube").kept
    assert len({pull.name for pull in pieces}) == 3
    assert len({pull.original for pull in pieces}) == 1


def test_every_demo_pull_is_read_again_bit_for_bit(demo_book: Book) -> None:
    """Six layouts of log, and the weather by hand of the one logger without a barometer."""
    names = [line.name for line in demo_book.pulls()]
    for number in (1, 3, 4, 5, 6, 15):
        same(demo_book, pull_of(names, number))


def test_options_come_back_from_plain_data() -> None:
    read = ReadOptions(
        format="delimited",
        sheet="Run",
        by="who",
        columns={"a": "rpm"},
        units={"a": "1/min"},
        given=Conditions(pressure=98000.0, dew_point=280.0),
        displacement=3.6e-3,
        strokes=2,
        altitude=122.0,
        date="2031-05-06",
    )
    clean = PullOptions(inertia=0.2, lags={"lambda_1": 0.3}, calibration=line(), valid_to=5000.0, min_span=400.0)
    data = json.loads(json.dumps(as_data(read, clean, recording(given=read.given))))
    back_read, back_clean = from_data(data)
    assert back_read == read
    assert {name: getattr(back_clean, name) for name in ("inertia", "lags", "valid_to", "min_span")} == {
        "inertia": 0.2,
        "lags": {"lambda_1": 0.3},
        "valid_to": 5000.0,
        "min_span": 400.0,
    }
    assert back_clean.calibration is not None
    assert (back_clean.calibration.slope, back_clean.calibration.intercept) == (line().slope, line().intercept)
    assert back_clean.calibration.full_scale == 400.0


def test_defaults_are_not_kept() -> None:
    assert as_data(ReadOptions(), PullOptions(), recording()) == {}
    assert from_data({}) == (ReadOptions(), PullOptions())


def recording(**fields: Any) -> Recording:
    channels = {"rpm": speeds(), "torque": torque(speeds()), "time": speeds() / RATE}
    return Recording("log", Origin("log.csv", "0" * 64, "delimited", "made"), channels, **fields)
