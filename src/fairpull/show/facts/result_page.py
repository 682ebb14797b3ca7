"""Kept results as finished strings: the common ground of terminal and page."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fairpull.show.facts import words
from fairpull.show.facts.table import Table
from fairpull.show.facts.table import words as text
from fairpull.terms.bench import StoredResult
from fairpull.terms.findings import Finding, Severity

Document = Mapping[str, Any]


def head(result: StoredResult) -> str:
    """Kind, builds and moment in a line."""
    builds = ", ".join(map(str, result.request.get("builds", ())))
    return f"{result.kind} of {builds}, {words.moment(result.made_at)}"


def verdicts(document: Document) -> list[str]:
    """Verdict sentences of a kept comparison, in the order of its builds."""
    return [str(one["verdict"]["sentence"]) for one in document.get("differences", ())]


def about_table(result: StoredResult, document: Document) -> Table:
    """What the result is, of what, when and by what it was made."""
    asked = result.request.get("asked", {})
    rows = (
        ("kept as", result.name),
        ("kind", result.kind),
        ("builds", ", ".join(map(str, result.request.get("builds", ())))),
        ("band", _band(document.get("band"))),
        ("asked", ", ".join(f"{key} {value}" for key, value in asked.items()) or "nothing beyond the defaults"),
        ("when", words.moment(result.made_at)),
        ("by version", f"{result.version} on {result.machine}"),
    )
    return Table("result", "The result", (text("what"), text("value")), rows)


def decides_tables(result: StoredResult, document: Document) -> tuple[Table, ...]:
    """Averages, then everything that decides the result; empty ones are left out."""
    choices = tuple((str(name), str(value)) for name, value in document.get("choices", {}).items())
    every = (
        ("averages", "Averages over the band", _averages(document)),
        ("traces", "Pulls, with the content hash of each trace", tuple(result.traces.items())),
        ("sheets", "Sheets", tuple((name, f"version {at}") for name, at in result.sheets.items())),
        ("choices", "Choices", choices),
    )
    columns = (text("what"), text("value"))
    return tuple(Table(key, title, columns, rows) for key, title, rows in every if rows)


def findings(document: Document) -> tuple[Finding, ...]:
    """Findings of the document, as they were."""
    return tuple(_finding(one) for one in document.get("findings", ()))


def _band(found: object) -> str:
    if not isinstance(found, Mapping):
        return "the common tested range"
    return words.axis_range(float(found["low"]), float(found["high"]), str(found.get("unit", "rpm")))


def _averages(document: Document) -> tuple[tuple[str, str], ...]:
    rows = []
    for one in document.get("differences", ()):
        mean = one.get("mean_ratio")
        if mean and mean.get("value") is not None:
            told = "{:+.1f} % ({:+.1f} to {:+.1f})".format(*(100.0 * mean[key] for key in ("value", "low", "high")))
            rows.append((f"{one['other']} against {one['reference']}", told))
    return tuple(rows)


def _finding(told: Document) -> Finding:
    return Finding(**{**told, "severity": Severity(told["severity"])})
