"""Kept results as terminal text: the list, and one of them from its stored document."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from fairpull.show import terminal
from fairpull.show.facts import remarks, words
from fairpull.show.facts.table import Table
from fairpull.show.facts.table import words as text
from fairpull.terms.bench import StoredResult
from fairpull.terms.findings import Finding, Severity

if TYPE_CHECKING:
    from rich.console import RenderableType

Document = Mapping[str, Any]


def results_text(
    found: Sequence[tuple[StoredResult, Document]], *, width: int = terminal.WIDTH, colour: bool = False
) -> str:
    """Kept results, each with its verdict in short.

    Args:
        found: results with their documents, oldest first.
        width, colour: of the terminal.

    Returns:
        Lines, ending in a newline.
    """
    parts: list[RenderableType] = []
    for result, document in found:
        builds = ", ".join(map(str, result.request.get("builds", ())))
        head = f"{result.kind} of {builds}, {words.moment(result.made_at)}"
        parts.append(terminal.Paragraph(head, hang=2, lead=((f"{result.name}: ", "bold"),)))
        parts += [terminal.Paragraph(said, indent=2, hang=2) for said in verdicts(document)]
    if not found:
        parts.append(terminal.sentence("No result is kept yet: fairpull compare BUILD... --keep NAME"))
    return terminal.draw(parts, width=width, colour=colour)


def verdicts(document: Document) -> list[str]:
    """Verdict sentences of a kept comparison, in the order of its builds."""
    return [str(one["verdict"]["sentence"]) for one in document.get("differences", ())]


def result_text(result: StoredResult, document: Document, *, width: int = terminal.WIDTH, colour: bool = False) -> str:
    """One kept result, as it was when it was kept.

    Args:
        result: as stored.
        document: its JSON, read.
        width, colour: of the terminal.

    Returns:
        Lines, ending in a newline; the verdict first.
    """
    parts: list[RenderableType] = [terminal.sentence(said, style="bold") for said in verdicts(document)]
    band = _band(document.get("band"))
    asked = result.request.get("asked", {})
    about = (
        ("kept as", result.name),
        ("kind", result.kind),
        ("builds", ", ".join(map(str, result.request.get("builds", ())))),
        ("band", band),
        ("asked", ", ".join(f"{key} {value}" for key, value in asked.items()) or "nothing beyond the defaults"),
        ("when", words.moment(result.made_at)),
        ("by version", f"{result.version} on {result.machine}"),
    )
    parts.extend(terminal.pairs(Table("result", "The result", (text("what"), text("value")), about)))
    parts.extend(_listing("Averages over the band", _averages(document)))
    parts.extend(_listing("Pulls, with the content hash of each trace", tuple(result.traces.items())))
    parts.extend(_listing("Sheets", tuple((name, f"version {at}") for name, at in result.sheets.items())))
    choices = tuple((str(name), str(value)) for name, value in document.get("choices", {}).items())
    parts.extend(_listing("Choices", choices))
    parts.extend(terminal.blocks(remarks.entries([_finding(one) for one in document.get("findings", ())])))
    return terminal.draw(parts, width=width, colour=colour)


def _listing(title: str, rows: tuple[tuple[str, str], ...]) -> list[RenderableType]:
    return [*terminal.listing(Table("rows", title, (text("what"), text("value")), rows))] if rows else []


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
