"""The table of the health signs, as part of docs/health.md and as JSON."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from math import sqrt
from pathlib import Path

from simulations.health.fault_table import BY_KIND
from simulations.health.injected import Fault
from simulations.health.tally import THIRDS, Alarms, Found

BEGIN = "<!-- measured: written by python -m simulations.health -->"
END = "<!-- end of what was measured -->"
PROMISED = 0.90  # found with the right kind, of each kind
BESIDE = 0.2  # another kind named this often is told
ALLOWED = 0.02  # healthy pulls flagged, all detectors together


@dataclass(frozen=True, slots=True)
class Run:
    """What was run: command, seed, faults of each kind."""

    command: str
    seed: int
    pulls: int


def share(part: float, whole: int) -> float:
    """A share; 0 of nothing."""
    return part / whole if whole else 0.0


def error(part: int, whole: int) -> float:
    """Binomial standard error of a share."""
    p = share(part, whole)
    return sqrt(p * (1.0 - p) / whole) if whole else 0.0


def _percent(value: float) -> str:
    return f"{100.0 * value:.1f}"


def _with_error(part: int, whole: int) -> str:
    return f"{_percent(share(part, whole))} ± {_percent(error(part, whole))}"


def _others(tally: Found) -> str:
    """The other kinds most often said of these pulls, right kind found or not."""
    named = [(kind, count) for kind, count in tally.said.most_common() if kind != tally.kind]
    return ", ".join(f"{kind} {100 * share(count, tally.faults):.0f}" for kind, count in named[:3] if count)


def _found_rows(found: Sequence[Found]) -> list[str]:
    columns = ["planted", "found % (right kind)", *(f"{name} %" for name in THIRDS), "other kind only %"]
    columns += ["nothing %", "overlap", "also said %"]
    rows = ["| " + " | ".join(columns) + " |", "|" + " --- |" * len(columns)]
    for tally in found:
        nothing = tally.faults - tally.right - tally.other_only
        cells = [f"`{tally.kind}`", _with_error(tally.right, tally.faults)]
        cells += [_percent(share(tally.thirds[name][1], tally.thirds[name][0])) for name in THIRDS]
        cells += [_percent(share(tally.other_only, tally.faults)), _percent(share(nothing, tally.faults))]
        cells += [f"{share(tally.overlap, tally.right):.2f}", _others(tally)]
        rows.append("| " + " | ".join(cells) + " |")
    return rows


def _planted_rows(found: Sequence[Found]) -> list[str]:
    rows = ["| planted | what is done to a healthy pull | sizes | channels | earlier pulls |", "|" + " --- |" * 5]
    for tally in found:
        fault: Fault = BY_KIND[tally.kind]
        few, many = fault.references
        sets = ", ".join(name for name in ("full", "shop", "bare") if name in fault.sets)
        cells = [f"{fault.kind}:", fault.about, fault.counted, sets, f"{few}-{many}"]
        rows.append("| " + " | ".join(cells) + " |")
    return rows


def _alarm_rows(title: str, table: dict[str, list[int]]) -> list[str]:
    rows = [f"| {title} | pulls | flagged % |", "| --- | --- | --- |"]
    return rows + [f"| {name} | {n} | {_with_error(hit, n)} |" for name, (n, hit) in sorted(table.items())]


def _weak(tally: Found) -> list[str]:
    """What falls short in one kind."""
    lines = []
    if share(tally.right, tally.faults) < PROMISED:
        lines.append(f"{_percent(share(tally.right, tally.faults))} % found, promised 90 %.")
    for words, rows in (("of its sizes' thirds", tally.thirds), ("by channel set", tally.sets)):
        weak = [f"{name} {_percent(share(hit, n))} %" for name, (n, hit) in rows.items() if n and hit < 0.8 * n]
        if weak:
            lines.append(f"{words}, {', '.join(weak)} found.")
    if tally.right and tally.overlap < 0.5 * tally.right:
        lines.append(f"the range named overlaps the true one by {share(tally.overlap, tally.right):.2f}.")
    for kind, count in tally.said.most_common():
        if kind != tally.kind and count >= BESIDE * tally.faults:
            lines.append(f"{kind} is said too, or instead, of {_percent(count / tally.faults)} %.")
    return [f"{tally.kind}: {line}" for line in lines]


def weak_spots(found: Sequence[Found], alarms: Alarms) -> list[str]:
    """What falls short of the promise, in plain words."""
    lines = [line for tally in found for line in _weak(tally)]
    if share(alarms.flagged, alarms.pulls) > ALLOWED:
        lines.append(f"healthy pulls: {_percent(share(alarms.flagged, alarms.pulls))} % flagged, promised 2 %.")
    for name, (n, hit) in sorted({**alarms.sets, **alarms.machines}.items()):
        if hit - ALLOWED * n > 2.0 * sqrt(ALLOWED * n):
            lines.append(f"healthy pulls, {name}: {_percent(share(hit, n))} % flagged.")
    return lines


def table(made: Run, found: Sequence[Found], alarms: Alarms) -> str:
    """What was measured, as markdown."""
    lines = [f"Made by `{made.command}`: {made.pulls} faults of each kind, {alarms.pulls} healthy pulls.", ""]
    lines += ["### Weak spots", ""]
    lines += [f"- {line}" for line in weak_spots(found, alarms)] or ["None by these limits."]
    lines += ["", "### Faults found", "", *_found_rows(found), "", "### Healthy pulls flagged", ""]
    lines += [f"All detectors together: {_with_error(alarms.flagged, alarms.pulls)} % of {alarms.pulls}.", ""]
    lines += [*_alarm_rows("channel set", alarms.sets), "", *_alarm_rows("engine", alarms.machines), ""]
    said = ", ".join(f"{kind} {count}" for kind, count in alarms.said.most_common())
    lines += [f"By kind, pulls: {said or 'none'}.", "", "### What was planted", "", *_planted_rows(found)]
    return "\n".join(lines)


def as_json(made: Run, found: Sequence[Found], alarms: Alarms) -> str:
    """The same as data, with the whole confusion table."""
    kinds = []
    for tally in found:
        row = asdict(tally)
        row.pop("missed")
        row["said"] = dict(sorted(tally.said.items()))
        row["overlap"] = round(share(tally.overlap, tally.right), 4)
        kinds.append(row)
    healthy = {
        "pulls": alarms.pulls,
        "flagged": alarms.flagged,
        "sets": dict(sorted(alarms.sets.items())),
        "machines": dict(sorted(alarms.machines.items())),
        "said": dict(sorted(alarms.said.items())),
    }
    whole = {
        "run": asdict(made),
        "promised": {"found": PROMISED, "flagged": ALLOWED},
        "kinds": kinds,
        "healthy": healthy,
    }
    return json.dumps(whole, indent=1) + "\n"


def write(docs: Path, made: Run, found: Sequence[Found], alarms: Alarms) -> None:
    """Put the table between the markers of the page, and the JSON beside it."""
    text = docs.read_text(encoding="utf-8")
    before, _, rest = text.partition(BEGIN)
    _, _, after = rest.partition(END)
    docs.write_text(f"{before}{BEGIN}\n\n{table(made, found, alarms)}\n\n{END}{after}", encoding="utf-8")
    docs.with_suffix(".json").write_text(as_json(made, found, alarms), encoding="utf-8")
