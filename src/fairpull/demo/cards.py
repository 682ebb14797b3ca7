"""The hand-written papers of the two days: engine cards, the question, weather that no logger wrote, dead weights."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from fairpull.demo.scenario import INERTIA_KG_M2, Run

ANVIL = f"""\
# Engine card, as the builder keeps it. Invented.
name = "Anvil"
bore = "3.455 in"
stroke = "3.900 in"
rod = "6.125 in"
cylinders = 6
strokes = 4
compression_ratio = 9.4
induction = "natural"
ignition = "spark"
inertia = "{INERTIA_KG_M2:.2f} kg m2"

[fuel]
name = "regular, 91 RON class"
stoichiometric = 14.6
heating_value = "18700 Btu/lb"
density = "745 kg/m3"

[parts]
head = "iron, pushrod, 1.73 / 1.38 in valves"
carburettor = "2-barrel, 331 cfm at 1.5 inHg"
firing_order = "1-5-3-6-2-4"
"""

WREN = f"""\
# Engine card, as the builder keeps it. Invented.
name = "Wren"
bore = "77.9 mm"
stroke = "88.0 mm"
rod = "140.0 mm"
cylinders = 4
strokes = 4
compression_ratio = 9.0
induction = "{{induction}}"
ignition = "spark"
inertia = "{INERTIA_KG_M2:.2f} kg m2"

[fuel]
name = "premium, 95 RON class"
stoichiometric = 14.6
heating_value = "18700 Btu/lb"
density = "745 kg/m3"

[parts]
head = "aluminium, twin cam, 4 valves"
injectors = "4 x 29 lb/h at 43.5 psi"
reduction = "1.6:1"
"""

QUESTION = """\
# Written before the first pull of the day.
question = "Does the tube header pay on Anvil, against the cast log manifold?"
band = "1800-4600 rpm"
smallest = "1 %"
expectation = "a gain of 2 to 5 %, most of it above 3500 rpm"
planned_pulls = 3
"""


def write_engines(folder: Path) -> dict[str, Path]:
    """Write the engine cards.

    Args:
        folder: where.

    Returns:
        "anvil", "wren" and "wren-blown" (the same engine with a belt-driven blower on it) -> file.
    """
    cards = {
        "anvil": ANVIL,
        "wren": WREN.format(induction="natural"),
        "wren-blown": WREN.format(induction="belt"),
    }
    paths = {}
    for name, text in cards.items():
        paths[name] = folder / f"engine-{name}.toml"
        paths[name].write_text(text, encoding="utf-8", newline="\n")
    return paths


def write_question(folder: Path) -> Path:
    """Write the question that was put before the day.

    Args:
        folder: where.

    Returns:
        The file.
    """
    path = folder / "question.toml"
    path.write_text(QUESTION, encoding="utf-8", newline="\n")
    return path


def write_conditions(folder: Path, runs: Sequence[tuple[Path, Run]]) -> Path:
    """Write the barometer readings for logs whose logger has none.

    Args:
        folder: the folder that those logs lie in.
        runs: each such log with its line of the day sheet.

    Returns:
        The file.
    """
    lines = ["# Station barometer on the wall, read by the helper; the metric logger has none.", ""]
    for path, run in runs:
        lines += [f'[files."{path.name}"]', f'barometer = "{run.barometer:.2f} inHg"', ""]
    target = folder / "conditions.toml"
    target.write_text("\n".join(lines), encoding="utf-8", newline="\n")
    return target


# Dead weights, up and down again: hung torque and reading, lb-ft.
WEIGHTS_DAY_1 = (
    (0, 0.1), (50, 50.1), (100, 99.9), (150, 150.2), (200, 200.1), (250, 250.4), (300, 300.2), (350, 350.5),
    (400, 400.4), (450, 450.6), (500, 500.5), (400, 400.7), (300, 300.6), (200, 200.4), (100, 100.2), (0, 0.2),
)  # fmt: skip
ZERO_SHIFT_LBFT = 3.9


def write_weights(folder: Path) -> dict[str, Path]:
    """Write the dead-weight tables: before the first pull, and after pull 16 when the zero was looked at again.

    Args:
        folder: where.

    Returns:
        "day1" and "day2-after-16" -> file.
    """
    tables = {
        "day1": WEIGHTS_DAY_1,
        "day2-after-16": tuple((hung, read + ZERO_SHIFT_LBFT - 0.1) for hung, read in WEIGHTS_DAY_1),
    }
    paths = {}
    for name, rows in tables.items():
        paths[name] = folder / f"dead-weights-{name}.csv"
        body = "hung [lb-ft],read [lb-ft]\n" + "".join(f"{hung},{read:.1f}\n" for hung, read in rows)
        paths[name].write_text(body, encoding="utf-8", newline="\n")
    return paths
