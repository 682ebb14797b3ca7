"""The shop's own sheets of the two days: engines, parts, builds, sessions, checks, the question, the duty, day sheet.

Everything here is made up. The day sheet says which log ran with which build and what the helper wrote down at the
time; it does not say what went wrong.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from io import StringIO
from pathlib import Path

from fairpull.demo.cards import ANVIL, QUESTION, WEIGHTS_DAY_1, WREN, ZERO_SHIFT_LBFT
from fairpull.demo.scenario import DAYS, ELEVATION, RUNS, SHOP, Run

PARTS = {
    "cam-a": """\
kind = "camshaft"
advertised_lift = "0.006 in"
intake_advertised = "260 deg"
exhaust_advertised = "266 deg"
checking_lift = "0.050 in"
intake_duration = "204 deg"
exhaust_duration = "210 deg"
intake_valve_lift = "0.440 in"
exhaust_valve_lift = "0.450 in"
lobe_separation = "112 deg"
intake_centreline = "108 deg"
""",
    "cam-b": """\
kind = "camshaft"
advertised_lift = "0.006 in"
intake_advertised = "274 deg"
exhaust_advertised = "280 deg"
checking_lift = "0.050 in"
intake_duration = "218 deg"
exhaust_duration = "224 deg"
intake_valve_lift = "0.480 in"
exhaust_valve_lift = "0.480 in"
lobe_separation = "110 deg"
intake_centreline = "106 deg"
""",
    "iron-head": """\
kind = "head"
material = "iron"
intake_valve = "1.73 in"
exhaust_valve = "1.38 in"
depression = "28 inH2O"
flow = [
  ["in", "cfm", "cfm"],
  [0.100, 47, 36],
  [0.200, 88, 67],
  [0.300, 119, 89],
  [0.400, 137, 102],
  [0.450, 141, 105],
  [0.500, 143, 107],
]
""",
    "two-barrel": """\
kind = "carburettor"
flow = "331 cfm"
depression = "1.5 inHg"
barrels = 2
""",
    "jets-68": 'kind = "jets"\nmain = "68"\n',
    "jets-70": 'kind = "jets"\nmain = "70"\n',
    "log-manifold": 'kind = "exhaust"\ndesign = "log"\nnotes = "cast, with the engine"\n',
    "tube-header": """\
kind = "exhaust"
design = "tubular"
primary_diameter = "1.38 in"
primary_length = "42 in"
""",
    "springs-hydraulic": """\
kind = "springs"
seat_load = "112 lbf"
seat_height = "1.650 in"
open_load = "248 lbf"
open_height = "1.210 in"
""",
    "wren-cams": """\
kind = "camshaft"
advertised_lift = "not stated"
intake_advertised = "244 deg"
exhaust_advertised = "240 deg"
checking_lift = "0.050 in"
intake_duration = "212 deg"
exhaust_duration = "208 deg"
intake_valve_lift = "0.355 in"
exhaust_valve_lift = "0.355 in"
lobe_separation = "112 deg"
intake_centreline = "110 deg"
""",
    "aluminium-head": """\
kind = "head"
material = "aluminium"
intake_valve = "1.197 in"
intake_valves = 2
exhaust_valve = "1.034 in"
exhaust_valves = 2
depression = "28 inH2O"
flow = [
  ["in", "cfm", "cfm"],
  [0.100, 75, 59],
  [0.150, 110, 87],
  [0.200, 136, 108],
  [0.250, 154, 121],
  [0.300, 164, 129],
  [0.350, 169, 132],
]
""",
    "injectors-29": """\
kind = "injectors"
mass_flow = "29 lb/h"
pressure = "43.5 psi"
count = 4
""",
    "wren-header": """\
kind = "exhaust"
design = "tubular"
primary_diameter = "1.38 in"
primary_length = "32 in"
""",
    "blower-c": 'kind = "compressor"\ndesign = "centrifugal"\ndrive = "belt"\ndrive_power = "11 hp"\n',
    "blower-d": 'kind = "compressor"\ndesign = "screw"\ndrive = "belt"\ndrive_power = "8 hp"\n',
}

_ANVIL_PARTS = {
    "camshaft": "cam-a",
    "head": "iron-head",
    "carburettor": "two-barrel",
    "jets": "jets-68",
    "exhaust": "log-manifold",
    "springs": "springs-hydraulic",
}
_WREN_PARTS = {
    "camshaft": "wren-cams",
    "head": "aluminium-head",
    "injectors": "injectors-29",
    "exhaust": "wren-header",
}
_GEAR = 'gear = "1.6:1"\ngear_efficiency = "98.5 %"\n'

BUILDS: Mapping[str, tuple[str, str, Mapping[str, str], Mapping[str, str], str]] = {
    # name: engine, reference, parts, settings, more lines
    "anvil-log": ("Anvil", "", _ANVIL_PARTS, {"spark": "as set"}, ""),
    "anvil-log-spark": ("Anvil", "anvil-log", _ANVIL_PARTS, {"spark": "3 deg more"}, ""),
    "anvil-log-jets": (
        "Anvil",
        "anvil-log",
        {**_ANVIL_PARTS, "jets": "jets-70"},
        {"spark": "as set"},
        "",
    ),
    "anvil-header": (
        "Anvil",
        "anvil-log",
        {**_ANVIL_PARTS, "exhaust": "tube-header"},
        {"spark": "as set"},
        "",
    ),
    "anvil-cam-b": (
        "Anvil",
        "anvil-header",
        {**_ANVIL_PARTS, "exhaust": "tube-header", "camshaft": "cam-b"},
        {"spark": "as set"},
        "",
    ),
    "wren-plain": ("Wren", "", _WREN_PARTS, {}, _GEAR),
    "wren-centrifugal": ("Wren", "wren-plain", {**_WREN_PARTS, "compressor": "blower-c"}, {}, _GEAR),
    "wren-screw": ("Wren", "wren-centrifugal", {**_WREN_PARTS, "compressor": "blower-d"}, {}, _GEAR),
}
OWN_BUILD = {5: "anvil-log-spark", 6: "anvil-log-jets"}
ASIDE = {1: "shakedown to 4,000 rpm, a check only"}
REMARKS = {10: "fuel filter replaced", 12: "log manifold back on", 14: "plug lead of cylinder 5 replaced"}

CAM_QUESTION = """\
question = "Does camshaft B pay on Anvil with the header, against camshaft A?"
band = "1800-4600 rpm"
smallest = "1 %"
expectation = "a gain above 3000 rpm, a loss below"
builds = ["anvil-header", "anvil-cam-b"]
"""
HUT_CARRIER = """\
name = "hut-carrier"
purpose = "tracked hauling up a 9 km track; the output shaft turns 1,600 to 3,800 rpm"

[[band]]
speed = "1600-2200 rpm"
weight = 0.25

[[band]]
speed = "2200-3000 rpm"
weight = 0.45

[[band]]
speed = "3000-3800 rpm"
weight = 0.30
"""
AT_THE_HUT = """
[site]
altitude = "7200 ft"
temperature = "41 degF"
humidity = "50 %"
"""
CHECKS = {
    "anvil-leakdown": 'what = "leakdown"\nengine = "Anvil"\nvalues = ["4 %", "3 %", "4 %", "4 %", "4 %", "3 %"]\n',
    "anvil-springs": (
        'what = "springs"\nengine = "Anvil"\nbuild = "anvil-cam-b"\n'
        'values = ["105 lbf", "106 lbf", "105 lbf", "106 lbf", "105 lbf", "106 lbf"]\nwanted = "112 lbf"\n'
    ),
}


def write_sheets(folder: Path, logs: Mapping[int, Path]) -> tuple[Path, Path]:
    """Write the shop's sheets and its day sheet.

    Args:
        folder: of the demo.
        logs: pull number -> its log file.

    Returns:
        Folder of the sheets; the day sheet.
    """
    sheets = folder / "sheets"
    for kind, texts in _texts().items():
        shelf = sheets / kind
        shelf.mkdir(parents=True, exist_ok=True)
        for name, text in texts.items():
            (shelf / f"{name}.toml").write_text(text, encoding="utf-8", newline="\n")
    day = folder / "day-sheet.csv"
    day.write_text(_day_sheet(folder, logs), encoding="utf-8", newline="\n")
    return sheets, day


def _texts() -> dict[str, dict[str, str]]:
    return {
        "engines": {"Anvil": ANVIL, "Wren": WREN.format(induction="natural")},
        "parts": dict(PARTS),
        "builds": {name: _build(*row) for name, row in BUILDS.items()},
        "sessions": {f"day-{day}": _session(day) for day in DAYS},
        "checks": {**CHECKS, "dead-weights-after-16": _weights_check()},
        "questions": {
            "tube-header": QUESTION + 'builds = ["anvil-log", "anvil-header"]\n',
            "cam-b": CAM_QUESTION,
        },
        "duties": {
            "hut-carrier": HUT_CARRIER,
            "hut-carrier-at-the-hut": HUT_CARRIER.replace("hut-carrier", "hut-carrier-at-the-hut") + AT_THE_HUT,
        },
    }


def _build(engine: str, reference: str, parts: Mapping[str, str], settings: Mapping[str, str], more: str) -> str:
    lines = [f'engine = "{engine}"'] + ([f'reference = "{reference}"'] if reference else [])
    lines += more.splitlines()
    lines += ["", "[parts]"] + [f'{kind} = "{part}"' for kind, part in parts.items()]
    if settings:
        lines += ["", "[settings]"] + [f'{name} = "{value}"' for name, value in settings.items()]
    return "\n".join(lines) + "\n"


def _session(day: int) -> str:
    hung = ", ".join(str(hung) for hung, _ in WEIGHTS_DAY_1)
    read = ", ".join(f"{read:.1f}" for _, read in WEIGHTS_DAY_1)
    date = "-".join(f"{number:02d}" for number in DAYS[day])
    lines = [
        f'date = "{date}"',
        'brake = "water brake, 500 lb-ft cell"',
        f'place = "{SHOP}"',
        f'altitude = "{ELEVATION}"',
        'operator = "helper and builder"',
    ]
    if day == 1:
        lines += ["", "[dead_weights]", 'unit = "lb-ft"', f"hung = [{hung}]", f"read = [{read}]"]
    return "\n".join(lines) + "\n"


def _weights_check() -> str:
    """The weights hung again when the engine was off at midday of the second day."""
    values = ", ".join(f'"{read + ZERO_SHIFT_LBFT - 0.1:.1f} lb-ft"' for _, read in WEIGHTS_DAY_1)
    wanted = ", ".join(f'"{hung} lb-ft"' for hung, _ in WEIGHTS_DAY_1)
    return (
        'what = "dead weights"\nsession = "day-2"\nfull_scale = "500 lb-ft"\n'
        f"values = [{values}]\nwanted = [{wanted}]\n"
    )


def _day_sheet(folder: Path, logs: Mapping[int, Path]) -> str:
    out = StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["file", "build", "session", "set aside because", "remark"])
    writer.writerows(_rows(folder, logs, RUNS))
    return out.getvalue()


def _rows(folder: Path, logs: Mapping[int, Path], runs: Sequence[Run]) -> list[tuple[str, ...]]:
    return [
        (
            logs[run.number].relative_to(folder).as_posix(),
            OWN_BUILD.get(run.number, run.build),
            f"day-{run.day}",
            ASIDE.get(run.number, ""),
            REMARKS.get(run.number, ""),
        )
        for run in runs
    ]
