"""Small made-up books: a few builds, parts and pulls with known contents; seeded, exact, quick."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from fairpull.book import Book
from fairpull.terms.arrays import FloatArray
from fairpull.terms.bench import COUNTS, STATES, Figure, NewPull, Sheet
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.health import HealthReport, Sign
from fairpull.terms.pull import Pull
from fairpull.terms.recording import Conditions, Origin

DAY = 1779494400.0  # 2026-05-23, start of the day

SHEETS = (
    Sheet("engine", "Anvil", {"bore": "4.00 in", "stroke": "3.48 in", "cylinders": 8}),
    Sheet("engine", "Bellows", {"bore": "86 mm", "note": "for the Überlandwagen"}),
    Sheet("part", "cam-a", {"kind": "camshaft", "lift": "0.440 in"}),
    Sheet("part", "cam-b", {"kind": "camshaft", "lift": "0.480 in", "note": "ground twice"}),
    Sheet("part", "header-1", {"kind": "exhaust", "tube": "1.75 in"}),
    Sheet("build", "anvil-log", {"engine": "Anvil", "parts": {"camshaft": "cam-a"}}),
    Sheet("build", "anvil-cam", {"engine": "Anvil", "reference": "anvil-log", "parts": {"camshaft": "cam-b"}}),
    Sheet(
        "build",
        "anvil header",
        {"engine": "Anvil", "reference": "anvil-log", "parts": {"camshaft": "cam-a", "exhaust": "header-1"}},
    ),
    Sheet("build", "bellows", {"engine": "Bellows"}),
    Sheet("session", "morning", {"brake": "water brake 1", "operator": "MB", "notes": "smelled of burnt lead"}),
    Sheet("session", "evening", {"brake": "water brake 1"}),
)
BUILDS = ("anvil-log", "anvil-cam", "anvil header", "bellows")


def channels(seed: int, rows: int = 40) -> dict[str, FloatArray]:
    """A sweep with some channels that not every pull has, and gaps in one of them."""
    generator = np.random.default_rng(seed)
    rpm = np.linspace(2000.0, 4000.0 + 500.0 * (seed % 5), rows) + generator.normal(0.0, 5.0, rows)
    made: dict[str, FloatArray] = {
        "time": np.arange(rows) / 10.0,
        "rpm": rpm,
        "torque": 300.0 + 20.0 * generator.normal(size=rows),
        "oil_temperature": 360.0 + 20.0 * generator.random() + generator.normal(0.0, 1.0, rows),
    }
    if seed % 2:
        made["boost"] = 1e4 * np.round(generator.random(rows) * (seed % 7), 2)
    if seed % 3:
        made["lambda_1"] = 0.8 + 0.25 * generator.random(rows)
        made["lambda_2"] = 0.8 + 0.05 * generator.random(rows)
    if seed % 4 == 1:
        made["lambda_1"] = np.where(generator.random(rows) < 0.3, np.nan, 0.9125)
    return made


def figures(pulled: dict[str, FloatArray]) -> dict[str, Figure]:
    """Least, mean and most of every channel."""
    return {
        name: Figure(float(np.nanmin(values)), float(np.nanmean(values)), float(np.nanmax(values)))
        for name, values in pulled.items()
    }


def new_pull(seed: int, folder: Path) -> tuple[NewPull, Path]:
    """One pull of a seed, and its file."""
    file = folder / f"log {seed}.csv"
    file.write_bytes(f"made-up bytes of log {seed}\r\n".encode())
    sha256 = hashlib.sha256(file.read_bytes()).hexdigest()
    made = channels(seed)
    state = STATES[seed % 3] if seed % 4 == 0 else COUNTS
    name = f"{BUILDS[seed % 4]} {seed}"
    signs = (_sign("heat-soak"),) if seed % 5 == 2 else (_sign("knock"),) if seed % 5 == 3 else ()
    power = made["torque"] * made["rpm"] * np.pi / 30.0
    pull = Pull(
        name=name,
        origin=Origin(str(file), sha256, "delimited", "commas", "utf-8"),
        kind="steps" if seed % 6 == 0 else "sweep",
        channels=made,
        first_row=3,
        last_row=42,
        started_at=None if seed % 7 == 3 else DAY + 86400.0 * (seed % 3) + 60.0 * seed,
        sweep_rate=0.0 if seed % 6 == 0 else 300.0 + seed,
        given=Conditions(pressure=98000.0 + seed),
        findings=(Finding("aborted-early", Severity.NOTE, name, "ended early", "look"),),
        choices={"clock": "first column"},
    )
    new = NewPull(
        pull=pull,
        build=BUILDS[seed % 4],
        session=("morning", "evening", "")[seed % 3],
        state=state,
        reason="" if state == COUNTS else f"plug {seed} fouled: burnt LEAD",
        summary={"peak_power": float(power.max()), "factor": 1.0 + seed / 500.0, "duration": float(made["time"][-1])},
        figures=figures(made),
        health=HealthReport(name, signs, (), ("heat-soak", "knock")),
        reading={"units": {"Torque": "lb-ft"}},
    )
    return new, file


def _sign(kind: str) -> Sign:
    return Sign(kind, Severity.WARNING, 3000.0, 3500.0, 0.02, "1", "it says so", "look again")


def fill(book: Book, folder: Path, seeds: Sequence[int]) -> list[NewPull]:
    """Keep the sheets, take the pulls of these seeds, write some papers."""
    folder.mkdir(parents=True, exist_ok=True)
    book.keep(SHEETS)
    made = [new_pull(seed, folder) for seed in seeds]
    book.take([new for new, _ in made], {new.pull.origin.sha256: file for new, file in made})
    return [new for new, _ in made]
