"""Pulls of the book and their health as JSON: SI, every number with its unit."""

from __future__ import annotations

from collections.abc import Sequence

from fairpull.show import json_parts as parts
from fairpull.show.json_parts import Json
from fairpull.terms.bench import KeptPull
from fairpull.terms.glossary import BY_NAME
from fairpull.terms.health import HealthReport

SCHEMA = "fairpull/kept-pulls"
HEALTH_SCHEMA = "fairpull/health"
SCHEMA_VERSION = 1
UNITS = {"factor": "1", "duration": "s", "sweep_rate": "rpm/s"}


def summary_unit(name: str) -> str:
    """House unit of a summary figure."""
    if name in UNITS:
        return UNITS[name]
    if name.endswith("_rpm") or name.startswith("rpm_"):
        return "rpm"
    return "W" if name.endswith("power") else "N m"


def _figure_unit(name: str) -> str:
    channel = BY_NAME.get(name) or BY_NAME.get(name.rpartition("_")[0])
    return channel.unit if channel is not None else ""


def report_to_json(report: HealthReport) -> Json:
    """A health report."""
    return {
        "pull": report.pull,
        "signs": [
            {
                "kind": sign.kind,
                "severity": sign.severity.value,
                "range": parts.stretch(sign.low, sign.high, "rpm"),
                "size": parts.number(sign.size, sign.unit),
                "evidence": sign.evidence,
                "confirm": sign.confirm,
                "counts_to": parts.number(sign.counts_to, "rpm"),
            }
            for sign in report.signs
        ],
        "not_looked_at": [{"kind": one.kind, "missing": list(one.missing), "text": one.text} for one in report.unseen],
        "looked_at": list(report.looked),
        "references": list(report.references),
    }


def health_to_json(reports: Sequence[HealthReport]) -> Json:
    """Health reports as a document."""
    return {
        "schema": HEALTH_SCHEMA,
        "schema_version": SCHEMA_VERSION,
        "pulls": [report_to_json(report) for report in reports],
    }


def _line(line: KeptPull) -> Json:
    return {
        "number": line.number,
        "name": line.name,
        "build": line.build,
        "build_version": line.build_version,
        "session": line.session,
        "state": line.state,
        "reason": line.reason,
        "valid_to": parts.number(line.valid_to, "rpm"),
        "started_at": parts.bare(line.started_at),
        "kind": line.kind,
        "tested": parts.stretch(*line.tested, "rpm"),
        "summary": {name: parts.number(value, summary_unit(name)) for name, value in line.summary.items()},
        "figures": {
            name: {
                "least": parts.bare(one.least),
                "mean": parts.bare(one.mean),
                "most": parts.bare(one.most),
                "unit": _figure_unit(name),
            }
            for name, one in line.figures.items()
        },
        "health": None if line.health is None else report_to_json(line.health),
        "file": {"name": line.original_name, "sha256": line.original, "piece": line.piece},
        "findings": parts.findings(line.findings),
        "choices": parts.texts(line.choices),
    }


def pulls_to_json(lines: Sequence[KeptPull], system: str = "us") -> Json:
    """Pulls of the book as a document.

    Args:
        lines: of the catalogue.
        system: shown units of the other faces.

    Returns:
        JSON values.
    """
    return {
        "schema": SCHEMA,
        "schema_version": SCHEMA_VERSION,
        "shown": parts.shown(system),
        "pulls": [_line(line) for line in lines],
    }
