"""Small pulls and the files they come from, made for tests of the store."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np

from fairpull import book
from fairpull.book import Book, staging
from fairpull.terms.arrays import FloatArray
from fairpull.terms.bench import Figure, NewPull, Sheet
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.health import HealthReport, Sign, Unseen
from fairpull.terms.pull import Pull
from fairpull.terms.recording import Conditions, Origin

BUILD_SHEETS = (
    Sheet("engine", "Anvil", {"bore": "4.00 in", "cylinders": 8}),
    Sheet("part", "stock cam", {"kind": "camshaft", "lift": "0.420 in"}),
    Sheet(
        "build", "as it came", {"engine": "Anvil", "parts": {"camshaft": "stock cam"}, "settings": {"spark": "32 deg"}}
    ),
    Sheet("build", "cam B", {"engine": "Anvil", "reference": "as it came", "parts": {"camshaft": "cam B"}}),
    Sheet("session", "tuesday", {"brake": "water brake", "operator": "K. L."}),
)


@dataclass
class Batch:
    """Pulls on their way in, with their files."""

    pulls: list[NewPull] = field(default_factory=list)
    files: dict[str, Path] = field(default_factory=dict)

    def __add__(self, other: Batch) -> Batch:
        return Batch(self.pulls + other.pulls, {**self.files, **other.files})


def channels(seed: int, rows: int = 40) -> dict[str, FloatArray]:
    """A small sweep: speed rises, torque bends, everything a little noisy."""
    draw = np.random.default_rng(seed)
    rpm = np.linspace(2000.0, 6000.0, rows)
    torque = 400.0 - ((rpm - 4200.0) / 300.0) ** 2 + draw.normal(0.0, 1.0, rows)
    return {"rpm": rpm, "torque": torque, "oil_pressure": draw.normal(4e5, 1e3, rows)}


def health(name: str) -> HealthReport:
    """A report with a sign, and a detector that could not look."""
    sign = Sign("knock", Severity.WARNING, 3000.0, 3500.0, 0.02, "1", "rises to 3.1", "listen", counts_to=3000.0)
    return HealthReport(name, (sign,), (Unseen("reversion", ("boost",), "no boost"),), ("knock",), ("earlier",))


def pull_of(origin: Origin, name: str, seed: int, **changes: Any) -> NewPull:
    """A judged pull with papers of every kind."""
    held = channels(seed)
    pull = Pull(
        name=name,
        origin=origin,
        kind="sweep",
        channels=held,
        first_row=3,
        last_row=42,
        started_at=1.7e9 + seed,
        sweep_rate=300.0,
        given=Conditions(pressure=98500.25, relative_humidity=0.4),
        findings=(Finding("spike", Severity.NOTE, name, "one spike of 40 N m", "look at it"),),
        choices={"despike": "on"},
    )
    peak = int(np.argmax(held["torque"]))
    new = NewPull(
        pull=pull,
        build="as it came",
        session="tuesday",
        summary={"peak_torque": float(held["torque"][peak]), "peak_torque_rpm": float(held["rpm"][peak])},
        figures={
            key: Figure(float(values.min()), float(values.mean()), float(values.max())) for key, values in held.items()
        },
        health=health(name),
        reading={"by": None, "smooth": 0.5, "skip": [1, 2]},
    )
    return replace(new, **changes)


def batch(folder: Path, name: str = "run", seed: int = 0, pieces: int = 1, **changes: Any) -> Batch:
    """A file with a number of pulls in it."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{name}.csv"
    path.write_text(f"a log that begins with {seed}, {name}\n" * 5, "utf-8")
    sha256 = hashlib.sha256(path.read_bytes()).hexdigest()
    origin = Origin(str(path), sha256, "delimited", "commas", "utf-8, comma")
    names = [name if piece == 0 else f"{name}#{piece + 1}" for piece in range(pieces)]
    pulls = [pull_of(origin, one, seed * 100 + piece, **changes) for piece, one in enumerate(names)]
    return Batch(pulls, {sha256: path})


def same_channels(one: Mapping[str, FloatArray], other: Mapping[str, FloatArray]) -> bool:
    """Bit for bit the same, in the same order."""
    return list(one) == list(other) and all(
        np.asarray(one[name], np.float64).tobytes() == np.asarray(other[name], np.float64).tobytes() for name in one
    )


def files_below(folder: Path) -> set[str]:
    """Names of all files below a folder."""
    return {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}


def faults_of_store(folder: Path, database: str = "") -> list[str]:
    """What is wrong between a book's rows and its files, seen from outside; nothing may be."""
    with book.open_book(folder, database=database) as kept:
        with kept.store.writing():
            pass  # the next writer clears what a dead one left
        faults = stray_files(kept)
        for line in kept.pulls():
            kept.trace(line.name)
            kept.original(line.original)
            if not kept.marks(line.name):
                faults.append(f"{line.name} without its first judgement")
    return faults


def stray_files(kept: Book) -> list[str]:
    """Files of a book that no row refers to, and what is left on its way."""
    files = files_below(kept.folder)
    faults = [f"left in staging: {one}" for one in files if one.startswith("staging/")]
    with kept.store.reading() as connection:
        held = sorted(one for one in files if one.startswith(("traces/", "originals/")))
        return faults + [f"no row for {one}" for one in staging.unreferenced(connection, held)]
