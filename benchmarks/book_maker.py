"""A book of any number of pulls, made fast: the catalogue in bulk, the traces gathered; seeded."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import polars as pl
from numpy.typing import NDArray
from sqlalchemy import insert

from fairpull.book import Book, create
from fairpull.book import tables as t
from fairpull.book.compaction import PULLS_A_FILE, gathered_file
from fairpull.book.folder import original_place, trace_place
from fairpull.book.json_text import dumps
from fairpull.book.traces import COMPRESSION_LEVEL, trace_hash
from fairpull.terms.bench import COUNTS, SET_ASIDE, Figure, NewPull, Sheet
from fairpull.terms.pull import Pull
from fairpull.terms.recording import Origin

PIECES = 10  # pulls that come from one log
DAY = 86400.0
FIRST_DAY = 1.6e9
ENGINES = ("Anvil", "Bellows", "Clapper")
CAMS = ("cam-a", "cam-b", "cam-c", "cam-d")
EXHAUSTS = ("log", "header-1", "header-2")

Channels = dict[str, NDArray[np.float64]]


@dataclass(frozen=True, slots=True)
class Shape:
    """How many pulls, and how many rows each."""

    pulls: int
    rows: int = 1200  # 12 s at 100 Hz


def sheets() -> tuple[Sheet, ...]:
    """Engines, parts and builds: every cam with every exhaust in every engine."""
    made = [Sheet("engine", name, {"bore": "4.00 in", "stroke": "3.48 in", "cylinders": 8}) for name in ENGINES]
    made += [Sheet("part", name, {"kind": "camshaft", "intake_valve_lift": "0.450 in"}) for name in CAMS]
    made += [Sheet("part", name, {"kind": "exhaust", "design": "tubular"}) for name in EXHAUSTS]
    made += [
        Sheet("build", name, {"engine": engine, "reference": f"{engine}-cam-a-log", "parts": parts})
        for name, engine, parts in _builds()
    ]
    return tuple([*made, Sheet("session", "bench", {"brake": "water brake"})])


def _builds() -> Iterator[tuple[str, str, dict[str, str]]]:
    for engine in ENGINES:
        for cam in CAMS:
            for exhaust in EXHAUSTS:
                yield f"{engine}-{cam}-{exhaust}", engine, {"camshaft": cam, "exhaust": exhaust}


def channels(number: int, rows: int) -> Channels:
    """A sweep with 24 channels, as sensors of a fixed resolution give them."""
    draw = np.random.default_rng(number)
    share = np.linspace(0.0, 1.0, rows)
    noise = draw.standard_normal((4, rows))
    rpm = np.round(2000.0 + 4200.0 * share + 3.0 * noise[0], 1)
    peak = 250.0 + 150.0 * draw.random()
    boost = 7e4 * draw.random() if number % 3 == 0 else 0.0
    made: Channels = {
        "time": np.arange(rows) / 100.0,
        "rpm": rpm,
        "torque": np.round(peak * (1.0 - ((rpm - 4200.0) / 5200.0) ** 2) + noise[1], 2),
        "lambda": np.round(0.87 + 0.03 * draw.random() + 0.01 * noise[2] + 0.05 * (share > 0.8), 3),
        "barometer": np.full(rows, round(98000.0 + 500.0 * draw.random(), 1)),
        "inlet_temperature": np.round(297.0 + 0.1 * noise[3], 2),
        "manifold_pressure": np.round(97000.0 + boost + 100.0 * noise[1], 1),
        "oil_temperature": np.round(355.0 + 15.0 * draw.random() + 4.0 * share + 0.1 * noise[2], 2),
        "oil_pressure": np.round(4.2e5 + 1e3 * noise[0], 0),
        "coolant_out": np.round(358.0 + 0.1 * noise[3], 2),
        "fuel_pressure": np.round(3e5 + 500.0 * noise[1], 0),
        "fuel_mass_flow": np.round(0.004 + 0.008 * share + 1e-5 * noise[2], 6),
        "throttle": np.full(rows, 0.996),
        "spark_advance": np.round(0.47 + 0.001 * noise[3], 4),
    }
    if boost:
        made["boost"] = np.round(boost * np.minimum(1.0, 3.0 * share) + 200.0 * noise[0], 0)
    for cylinder in range(1, 9):
        made[f"exhaust_temperature_{cylinder}"] = np.round(900.0 + cylinder + 150.0 * share + noise[cylinder % 4], 1)
    return made


def figures(made: Channels) -> dict[str, tuple[float, float, float]]:
    """Least, mean and most of every channel but the clock."""
    return {
        name: (float(values.min()), float(values.mean()), float(values.max()))
        for name, values in made.items()
        if name != "time"
    }


def summary(made: Channels) -> dict[str, float]:
    """Summary figures as a pull gets them when it is taken in."""
    power = made["torque"] * made["rpm"] * np.pi / 30.0
    torque = made["torque"]
    return {
        "factor": 1.02,
        "duration": float(made["time"][-1]),
        "peak_torque": float(torque.max() * 1.02),
        "peak_torque_rpm": float(made["rpm"][torque.argmax()]),
        "peak_power": float(power.max() * 1.02),
        "peak_power_rpm": float(made["rpm"][power.argmax()]),
        "mean_torque": float(torque.mean() * 1.02),
        "mean_power": float(power.mean() * 1.02),
        "observed_peak_torque": float(torque.max()),
        "observed_peak_power": float(power.max()),
        "rpm_low": float(made["rpm"].min()),
        "rpm_high": float(made["rpm"].max()),
    }


def make(folder: Path, shape: Shape) -> Book:
    """A new book with its pulls.

    Args:
        folder: of the book.
        shape: how many pulls and rows.

    Returns:
        The open book.
    """
    book = create(folder, settings={"units": "us"})
    book.keep(sheets())
    names = [name for name, _, _ in _builds()]
    for start in range(1, shape.pulls + 1, PULLS_A_FILE):
        numbers = range(start, min(start + PULLS_A_FILE, shape.pulls + 1))
        file = gathered_file(numbers)
        rows: dict[str, list[dict[str, Any]]] = {"pulls": [], "figures": [], "marks": [], "originals": []}
        frames = []
        for number in numbers:
            made = channels(number, shape.rows)
            frames.append(pl.DataFrame({"pull": np.full(shape.rows, number), **made}))
            _row(rows, book, number, made, names[number % len(names)], file)
        path = book.folder / trace_place(file)
        path.parent.mkdir(parents=True, exist_ok=True)
        pl.concat(frames, how="diagonal").write_parquet(path, compression="zstd", compression_level=COMPRESSION_LEVEL)
        with book.store.writing() as connection:
            for table in (t.ORIGINALS, t.PULLS, t.FIGURES, t.MARKS):
                if rows[table.name]:
                    connection.execute(insert(table), rows[table.name])
    return book


def _row(rows: dict[str, list[dict[str, Any]]], book: Book, number: int, made: Channels, build: str, file: str) -> None:
    piece = (number - 1) % PIECES
    content = f"a made-up log for {PIECES} pulls, number {(number - 1) // PIECES}\n".encode()
    sha256 = hashlib.sha256(content).hexdigest()
    at = FIRST_DAY + DAY * (number // 20) + 600.0 * (number % 20)
    if piece == 0:
        path = book.folder / original_place(sha256)
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(content)
        original = {"sha256": sha256, "file_name": f"log-{number // PIECES}.csv", "size": len(content), "added_at": at}
        rows["originals"].append(original)
    state, reason = (SET_ASIDE, "the belt slipped") if number % 12 == 0 else (COUNTS, "")
    name, short = f"{build}-{number}", summary(made)
    rows["pulls"].append(
        {
            "number": number, "name": name, "original": sha256, "piece": piece, "build": build, "build_version": 1,
            "session": "bench", "state": state, "reason": reason, "valid_to": None, "started_at": at, "kind": "sweep",
            "sweep_rate": 350.0, "tested_low": short["rpm_low"], "tested_high": short["rpm_high"],
            "trace": trace_hash(made), "trace_file": file, "summary": dumps(short, where=name),
            "papers": dumps(_papers(name, sha256, list(made)), where=name), "taken_at": at, "version": "0",
        }
    )  # fmt: skip
    three = {**figures(made), **{key: (value, value, value) for key, value in short.items()}}
    rows["figures"] += [
        {"pull": number, "name": key, "least": least, "mean": mean, "most": most}
        for key, (least, mean, most) in three.items()
    ]
    mark = {"number": number, "pull": name, "state": state, "reason": reason, "valid_to": None, "by": "", "at": at}
    rows["marks"].append(mark)


def _papers(name: str, sha256: str, names: list[str]) -> dict[str, Any]:
    """As long as those of a real pull: findings, choices, health."""
    finding = {"code": "pull-found", "severity": "note", "where": name, "text": "rows 120-1320 " * 4, "remedy": "none"}
    signs = [{"kind": "heat-soak", "severity": "warning", "low": 2000.0, "high": 6200.0, "size": 0.02, "unit": "1",
              "evidence": "the air warmed", "confirm": "cool it", "counts_to": None}]  # fmt: skip
    return {
        "origin": {
            "path": f"logs/{name}.csv",
            "sha256": sha256,
            "format": "delimited",
            "reason": "commas",
            "detail": "",
        },
        "given": {"pressure": 98000.0},
        "findings": [finding] * 4,
        "choices": {"despike": "on", "lag": "none", "smoothing": "local regression, 150 rpm"},
        "reading": {},
        "health": {
            "pull": name,
            "signs": signs if name.endswith("7") else [],
            "unseen": [{"kind": "reversion", "missing": ["air_mass_flow"], "text": "it needs the air flow"}] * 6,
            "looked": ["knock", "misfire", "heat-soak"],
            "references": [],
        },
        "channels": names,
        "first_row": 0,
        "last_row": 1199,
    }


def one_more(number: int, folder: Path, rows: int) -> tuple[NewPull, dict[str, Path]]:
    """A pull that the book does not hold yet, and its file.

    Args:
        number: any that was not used before.
        folder: for the file.
        rows: of its trace.

    Returns:
        What ``Book.take`` wants.
    """
    path = folder / f"more-{number}.csv"
    path.write_text(json.dumps({"another made-up log": number}), "utf-8")
    sha256 = hashlib.sha256(path.read_bytes()).hexdigest()
    made = channels(number, rows)
    pull = Pull(f"more-{number}", Origin(str(path), sha256, "delimited", "commas"), "sweep", made, started_at=2e9)
    known = {name: Figure(*three) for name, three in figures(made).items()}
    build = f"{ENGINES[0]}-{CAMS[1]}-{EXHAUSTS[0]}"
    return NewPull(pull, build, "bench", summary=summary(made), figures=known), {sha256: path}
