"""Broken text logs: cut off, spoiled, mislabelled, or not logs at all."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

from fairpull.terms.recording import Conditions
from tests.logs.broken_log import (
    READ,
    REFUSED,
    Case,
    column,
    edited,
    good,
    lines,
    swapped,
    table,
    without,
    write,
)

MB = 1 << 20


def _block(pattern: bytes, megabytes: int, name: str = "pull.csv", head: bytes = b"") -> Callable[[Path], Path]:
    """A builder of a very large file that never holds it in memory."""

    def build(folder: Path) -> Path:
        path = folder / name
        chunk = pattern * (MB // len(pattern))
        with path.open("wb") as stream:
            stream.write(head)
            for _ in range(megabytes):
                stream.write(chunk)
        return path

    return build


def _sparse_zeros(folder: Path) -> Path:
    path = folder / "pull.csv"
    with path.open("wb") as stream:
        stream.truncate(200 * MB)
    return path


def _two_pulls(rows: list[str]) -> list[str]:
    """The same sweep twice, 30 s of coasting between, on one running clock."""
    first = [row.split(",") for row in rows[1:]]
    back = [
        [f"{12.0 + i * 0.5:.3f}", f"{5000 - 50 * i:.1f}", f"{-10 + 0.1 * (i % 7):.2f}", *first[0][3:]]
        for i in range(60)
    ]
    second = [[f"{float(cells[0]) + 42.0:.3f}", *cells[1:]] for cells in first]
    return [rows[0], *(",".join(cells) for cells in (*first, *back, *second))]


def _wide(known: bool) -> str:
    names = [f"ch{i}" for i in range(9_997)]
    head = (["Time [s]", "Speed [rpm]", "Torque [Nm]"] if known else ["a", "b", "c"]) + names
    rows = [",".join(head)]
    fill = ["0.5"] * len(names)
    rows += [",".join([f"{i * 0.5}", f"{2000 + 150 * i}", f"{200 + i % 5}", *fill]) for i in range(20)]
    return "\n".join(rows) + "\n"


def _midnight() -> str:
    columns = good()
    seconds = [86395.0 + 0.05 * i for i in range(240)]
    columns = {"Time": [_time_of_day(s) for s in seconds]} | {k: v for k, v in columns.items() if k != "Time [s]"}
    return "\n".join(lines(columns)) + "\n"


def _time_of_day(seconds: float) -> str:
    seconds %= 86400.0
    return f"{int(seconds // 3600):02d}:{int(seconds // 60) % 60:02d}:{seconds % 60:06.3f}"


def _mixed_marks() -> str:
    rows = lines(good(), ";")
    spoiled = [row.replace(".", ",") if index % 2 else row for index, row in enumerate(rows[1:])]
    return "\n".join([rows[0], *spoiled]) + "\n"


def _two_headers_disagree() -> str:
    rows = lines(good())
    return "\n".join([rows[0], "s,rpm,lb-ft,mbar,degC,%", *rows[1:]]) + "\n"


def _repeated_header(rows: list[str]) -> list[str]:
    return [*rows[:120], "", rows[0], *rows[120:]]


def _thousands() -> str:
    """Speed and power with a comma as thousands mark, as a spreadsheet shows them."""
    columns = good()
    pairs = list(zip(columns["Speed [rpm]"], columns["Torque [Nm]"], strict=True))
    columns["Speed [rpm]"] = [f"{float(n):,.1f}" for n, _ in pairs]
    columns["Power [W]"] = [f"{float(n) * float(t) * math.pi / 30.0:,.1f}" for n, t in pairs]
    return "\n".join(lines(columns, ";")) + "\n"


_FALLING = {name: cells if name == "Time [s]" else cells[::-1] for name, cells in good().items()}
_NOT_LOGS = (
    Case(
        "a picture renamed",
        write(b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR" + bytes(range(256)) * 20),
        REFUSED,
        "not-a-log",
    ),
    Case(
        "a paper document renamed",
        write(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj\n<<>>\nendobj\n" * 30),
        REFUSED,
        "not-a-log",
    ),
    Case(
        "a compressed log",
        write(b"\x1f\x8b\x08\x00\x00\x00\x00\x00" + bytes(range(255, 0, -1)) * 9),
        REFUSED,
        "not-a-log",
    ),
    Case(
        "a saved log-in page",
        write("<!DOCTYPE html>\n<html><body><p>Please log in, please</p></body></html>\n"),
        REFUSED,
        "not-a-log",
    ),
    Case(
        "an XML file", write('<?xml version="1.0"?>\n<log><row rpm="2000" torque="200"/></log>\n'), REFUSED, "not-a-log"
    ),
    Case(
        "a note in prose",
        write("Dear Sir, the engine ran well.\nWe changed the oil, then had lunch.\n"),
        REFUSED,
        "no-header",
    ),
    Case("random bytes", write(bytes((i * 7919 + i * i * 31) % 256 for i in range(20_000))), REFUSED, "not-a-log"),
    Case("commas only", write(",,,,\n" * 50), REFUSED, "no-header"),
)
_SIZE = (
    Case("empty", write(""), REFUSED, "file-empty"),
    Case("blank lines only", write("\n\n   \n\t\n"), REFUSED, "file-empty"),
    Case("header only", write(lines(good())[0] + "\n"), REFUSED, "no-rows"),
    Case("header and units only", write("Time,Speed,Torque\ns,rpm,Nm\n"), REFUSED, "no-rows"),
    Case("two rows only", edited(lambda rows: rows[:3]), REFUSED, "too-few-rows"),
    Case("200 MB of NUL bytes", _sparse_zeros, REFUSED, "not-a-log"),
    Case("200 MB of zeros as text", _block(b"0\n", 200), REFUSED, "no-header"),
    Case("200 MB without a line end", _block(b"0", 200), REFUSED, "line-too-long"),
    Case("10,000 columns, none of them known", write(_wide(False)), REFUSED, "no-speed"),
    Case("10,000 columns, speed and torque among them", write(_wide(True)), READ, "columns-unknown"),
)
_CUT = (
    Case("cut off mid-row", edited(lambda rows: [*rows[:-1], rows[-1][:14]], end=""), READ, "rows-ragged", samples=239),
    Case(
        "a row too long",
        edited(lambda rows: [*rows[:50], rows[50] + ",7,8", *rows[51:]]),
        READ,
        "rows-ragged",
        samples=239,
    ),
    Case("trailing commas", edited(lambda rows: [row + ",," for row in rows]), READ, "", samples=240),
    Case(
        "summary rows at the end",
        edited(lambda rows: [*rows, "", "Peak,,239.8", "Average,3500.0,221.1"]),
        READ,
        "rows-dropped",
        samples=240,
    ),
    Case(
        "a comment in the middle",
        edited(lambda rows: [*rows[:90], "# fuel pump on", *rows[90:]]),
        READ,
        "rows-dropped",
        samples=240,
    ),
    Case("header repeated after a pause", edited(_repeated_header), READ, "header-repeated", samples=240),
    Case(
        "an unbalanced quote",
        edited(lambda rows: [*rows[:80], '"' + rows[80], *rows[81:]]),
        READ,
        "quote-unbalanced",
        samples=240,
    ),
    Case(
        "NUL bytes in the text",
        edited(lambda rows: [*rows[:60], rows[60][:9] + "\0\0\0" + rows[60][9:], *rows[61:]]),
        READ,
        "nul-bytes",
        samples=240,
    ),
    Case(
        "text among the numbers",
        column("Torque [Nm]", lambda i, c: "open circuit" if i % 40 == 7 else c),
        READ,
        "cells-not-numeric",
    ),
    Case("no header at all", edited(lambda rows: rows[1:]), REFUSED, "no-header"),
    Case(
        "duplicate headers",
        edited(lambda rows: [rows[0] + ",Torque [Nm]", *(row + ",1.5" for row in rows[1:])]),
        READ,
        "duplicate-column",
        samples=240,
    ),
)
_ENCODING = (
    Case(
        "Latin-1 degree sign",
        write(("\n".join(lines(swapped("Inlet air [degC]", "Inlet air [°C]"))) + "\n").encode("latin-1")),
        READ,
        "",
        samples=240,
    ),
    Case(
        "UTF-16 without its mark",
        write(("\n".join(lines(good())) + "\n").encode("utf-16-le")),
        READ,
        "",
    ),
    Case(
        "UTF-16 cut in a character",
        write(("\n".join(lines(good())) + "\n").encode("utf-16")[:-1]),
        READ,
        "rows-ragged",
        samples=239,
    ),
    Case("carriage returns only", write("\r".join(lines(good())) + "\r"), READ, ""),
    Case("mixed decimal marks", write(_mixed_marks()), REFUSED, "decimal-mixed"),
    Case("thousands marks", write(_thousands()), READ, ""),
)
_CLOCK = (
    Case(
        "time going back",
        column("Time [s]", lambda i, c: c if i < 150 else f"{float(c) - 4:.3f}"),
        READ,
        "time-goes-back",
        samples=240,
    ),
    Case("time stamps repeated", column("Time [s]", lambda i, c: f"{i // 2 * 0.1:.3f}"), READ, "time-repeats"),
    Case("a clock that stands still", column("Time [s]", lambda i, c: "3.000"), READ, "time-stuck"),
    Case(
        "a pause of a minute",
        column("Time [s]", lambda i, c: c if i < 120 else f"{float(c) + 60:.3f}"),
        READ,
        "time-gap",
    ),
    Case("a clock across midnight", write(_midnight()), READ, "clock-over-midnight"),
    Case("no clock", table(without("Time [s]")), READ, "no-clock"),
)
_SPEED = (
    Case("no speed", table(without("Speed [rpm]")), REFUSED, "no-speed"),
    Case("speed always zero", column("Speed [rpm]", lambda i, c: "0"), REFUSED, "speed-still"),
    Case("rpm backwards", table(_FALLING), READ, "speed-falls"),
    Case("negative rpm", column("Speed [rpm]", lambda i, c: "-" + c), READ, "speed-negative"),
    Case(
        "rad/s labelled rpm", column("Speed [rpm]", lambda i, c: f"{float(c) * 0.10472:.2f}"), READ, "value-implausible"
    ),
    Case("two pulls in one", edited(_two_pulls), READ, "several-sweeps"),
)
_TORQUE = (
    Case("no torque", table(without("Torque [Nm]")), REFUSED, "no-torque"),
    Case("torque all NaN", column("Torque [Nm]", lambda i, c: "NaN"), REFUSED, "no-torque"),
    Case("everything NaN", table({name: ["NaN"] * 240 for name in good()}), REFUSED, "no-speed"),
    Case("torque negative", column("Torque [Nm]", lambda i, c: "-" + c), READ, "torque-negative"),
    Case("torque stuck", column("Torque [Nm]", lambda i, c: "212.40"), READ, "channel-stuck"),
    Case("torque always zero", column("Torque [Nm]", lambda i, c: "0.00"), READ, "channel-stuck"),
    Case("sensor dropouts", column("Torque [Nm]", lambda i, c: "0.00" if i % 30 == 11 else c), READ, "dropouts"),
    Case(
        "infinities",
        column("Torque [Nm]", lambda i, c: "inf" if i in (70, 71) else c),
        READ,
        "value-infinite",
        samples=240,
    ),
    Case("1e300 in a cell", column("Torque [Nm]", lambda i, c: "1e300" if i == 100 else c), READ, "value-implausible"),
    Case(
        "no units anywhere",
        write(
            "\n".join(["Time,Speed,Torque,Barometer", *(",".join(row.split(",")[:4]) for row in lines(good())[1:])])
            + "\n"
        ),
        REFUSED,
        "unit-unknown",
    ),
    Case("torque in rpm", table(swapped("Torque [Nm]", "Torque [rpm]")), REFUSED, "unit-wrong-quantity"),
    Case("an unknown unit", table(swapped("Torque [Nm]", "Torque [foobars]")), REFUSED, "unit-unknown"),
    Case("brackets against the units row", write(_two_headers_disagree()), READ, "unit-contradicts"),
    Case(
        "lb-ft labelled N m, beside power in kW",
        table(
            swapped("Torque [Nm]", "Torque [Nm]", lambda t: t / 1.35582)
            | {
                "Power [kW]": [
                    f"{float(n) * float(t) * 1.0471976e-4:.3f}"
                    for n, t in zip(good()["Speed [rpm]"], good()["Torque [Nm]"], strict=True)
                ]
            }
        ),
        READ,
        "torque-power-disagree",
    ),
    Case(
        "power only",
        table(without("Torque [Nm]") | {"Power [kW]": [f"{50 + i * 0.3:.2f}" for i in range(240)]}),
        READ,
        "torque-from-power",
    ),
    Case(
        "BMEP without the displacement",
        table(swapped("Torque [Nm]", "BMEP [bar]", lambda t: t / 16.0)),
        REFUSED,
        "no-displacement",
    ),
)
_WEATHER = (
    Case(
        "gauge pressure given as absolute",
        table(swapped("Barometer [mbar]", "Barometer [kPa]", lambda p: (p - 993.2) * 0.1)),
        REFUSED,
        "gauge-as-absolute",
    ),
    Case(
        "manifold gauge pressure labelled absolute",
        table(good() | {"MAP [kPa abs]": [f"{-38 + i * 0.15:.2f}" for i in range(240)]}),
        REFUSED,
        "gauge-as-absolute",
    ),
    Case("humidity 45 for 0.45", table(swapped("Humidity [%]", "Humidity [-]")), REFUSED, "humidity-as-percent"),
    Case("humidity 45 without a unit", table(swapped("Humidity [%]", "Humidity")), READ, "unit-assumed"),
    Case(
        "humidity 0.45 labelled per cent",
        table(swapped("Humidity [%]", "Humidity [%]", lambda h: h / 100)),
        READ,
        "humidity-as-fraction",
    ),
    Case(
        "kPa labelled psi",
        table(swapped("Barometer [mbar]", "Barometer [psi]", lambda p: p / 10)),
        REFUSED,
        "value-implausible",
    ),
    Case(
        "bar labelled kPa",
        table(swapped("Barometer [mbar]", "Barometer [kPa]", lambda p: p / 1000)),
        REFUSED,
        "value-implausible",
    ),
    Case("degrees C labelled K", table(swapped("Inlet air [degC]", "Inlet air [K]")), REFUSED, "value-implausible"),
    Case(
        "degrees F labelled C",
        table(swapped("Inlet air [degC]", "Inlet air [degC]", lambda c: c * 1.8 + 72)),
        READ,
        "value-implausible",
    ),
    Case(
        "throttle 100 as a fraction",
        table(good() | {"Throttle [-]": [f"{99 + i % 3}" for i in range(240)]}),
        REFUSED,
        "fraction-as-percent",
    ),
    Case(
        "sea-level barometer at 1600 m",
        table(swapped("Barometer [mbar]", "Barometer [mbar]", lambda p: p + 20)),
        READ,
        "barometer-sea-level",
        {"altitude": 1600.0},
        ("--altitude", "1600m"),
    ),
    Case(
        "weather twice",
        table(good()),
        READ,
        "weather-twice",
        {"given": Conditions(pressure=101000.0, temperature=310.0)},
    ),
)

CASES = (*_NOT_LOGS, *_SIZE, *_CUT, *_ENCODING, *_CLOCK, *_SPEED, *_TORQUE, *_WEATHER)
