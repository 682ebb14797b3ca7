"""Every knob of the reading turns something: each option, set otherwise, changes what comes out of a small log."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, fields
from pathlib import Path

import pytest

from fairpull.logs import ReadOptions, read
from fairpull.terms.errors import FairpullError
from fairpull.terms.recording import Conditions

TABLE = "rpm,torque [N m]\n2000,200\n3000,230\n4000,215\n5000,190\n"
ODD = "rpm,twist [N m],oil press\n2000,200,300\n3000,230,310\n4000,215,320\n5000,190,330\n"
BMEP = "rpm,bmep [bar]\n2000,9\n3000,10\n4000,9.5\n5000,8.8\n"
HIGH = "rpm,torque [N m],baro [kPa]\n2000,200,101.3\n3000,230,101.3\n4000,215,101.3\n5000,190,101.3\n"
LONG = "curve,rpm,torque [N m]\n" + "".join(f"{c},{n},{200 + n / 100:g}\n" for c in "ab" for n in (2000, 3000, 4000))
CLOCK = "time,rpm,torque [N m]\n" + "".join(f"10:15:{n:02d},{2000 + 100 * n},{200 + n}\n" for n in range(30))


def text(content: str) -> Callable[[Path], Path]:
    def write(folder: Path) -> Path:
        path = folder / "log.csv"
        path.write_text(content, "utf-8")
        return path

    return write


def workbook(folder: Path) -> Path:
    from openpyxl import Workbook

    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for title, torque in (("first", 200.0), ("second", 300.0)):
        sheet.title = title
        for row in (["rpm", "torque [N m]"], [2000, torque], [3000, torque], [4000, torque]):
            sheet.append(row)
        if title == "first":
            sheet = book.create_sheet()
    path = folder / "log.xlsx"
    book.save(path)
    return path


def beside(name: str, content: str) -> Callable[[Path], object]:
    """A file that the option names; it stands apart from the log, so only the option can find it."""

    def write(folder: Path) -> Path:
        apart = folder / "apart"
        apart.mkdir(exist_ok=True)
        (apart / name).write_text(content, "utf-8")
        return apart / name

    return write


@dataclass(frozen=True)
class Turn:
    """A log, the option set otherwise, and what must be set with it."""

    log: Callable[[Path], Path]
    value: object
    alongside: dict[str, object] = field(default_factory=dict)


KNOBS: dict[str, Turn] = {
    "format": Turn(text(TABLE), "workbook"),
    "sheet": Turn(workbook, "second"),
    "by": Turn(text(LONG), "curve"),
    "columns": Turn(text(ODD), {"twist": "torque"}),
    "units": Turn(text(TABLE.replace(" [N m]", "")), {"torque": "lbf ft"}),
    "channels_file": Turn(text(ODD), beside("channels.toml", '[channels]\ntwist = "torque"\n')),
    "conditions_file": Turn(text(TABLE), beside("conditions.toml", 'barometer = "99 kPa"\ntemperature = "20 degC"\n')),
    "given": Turn(text(TABLE), Conditions(pressure=99e3, temperature=293.0, relative_humidity=0.4)),
    "displacement": Turn(text(BMEP), 2e-3),
    "strokes": Turn(text(BMEP), 2, {"displacement": 2e-3}),
    "altitude": Turn(text(HIGH), 1600.0),
    "date": Turn(text(CLOCK), "2031-05-06"),
}


def outcome(path: Path, values: dict[str, object]) -> object:
    """What came in, choices left aside (they only repeat the option); or the codes of the refusal."""
    try:
        found = read(path, ReadOptions(**values))  # type: ignore[arg-type]
    except FairpullError as refusal:
        return sorted(fault.code for fault in refusal.faults)
    return [
        (
            recording.name,
            {name: column.tolist() for name, column in recording.channels.items()},
            recording.kind,
            recording.started_at,
            recording.given,
            sorted(finding.code for finding in recording.findings),
        )
        for recording in found
    ]


def test_every_option_has_its_case() -> None:
    assert set(KNOBS) == {field.name for field in fields(ReadOptions)}


@pytest.mark.parametrize("knob", sorted(KNOBS))
def test_a_knob_turns_something(knob: str, tmp_path: Path) -> None:
    turn = KNOBS[knob]
    path = turn.log(tmp_path)
    value = turn.value(tmp_path) if callable(turn.value) else turn.value
    assert outcome(path, turn.alongside) != outcome(path, turn.alongside | {knob: value})


def test_the_same_options_give_the_same_outcome(tmp_path: Path) -> None:
    path = text(TABLE)(tmp_path)
    assert outcome(path, {}) == outcome(path, {})
