"""Records as plain data and back: what stands in a pull's papers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from fairpull.terms.findings import Finding, Severity
from fairpull.terms.health import HealthReport, Sign, Unseen
from fairpull.terms.recording import Conditions, Origin


def from_origin(origin: Origin) -> dict[str, Any]:
    """Plain data of an origin."""
    return asdict(origin)


def to_origin(data: Mapping[str, Any]) -> Origin:
    """The origin of plain data."""
    return Origin(**data)


def from_conditions(given: Conditions) -> dict[str, Any]:
    """Plain data of conditions; what nobody said is left out."""
    return {name: value for name, value in asdict(given).items() if value is not None}


def to_conditions(data: Mapping[str, Any]) -> Conditions:
    """The conditions of plain data."""
    return Conditions(**data)


def from_findings(findings: tuple[Finding, ...]) -> list[dict[str, Any]]:
    """Plain data of findings."""
    return [{**asdict(finding), "severity": str(finding.severity)} for finding in findings]


def to_findings(data: list[dict[str, Any]]) -> tuple[Finding, ...]:
    """The findings of plain data."""
    return tuple(Finding(**{**one, "severity": Severity(one["severity"])}) for one in data)


def from_health(health: HealthReport | None) -> dict[str, Any] | None:
    """Plain data of a health report; None for none."""
    if health is None:
        return None
    data = asdict(health)
    for sign in data["signs"]:
        sign["severity"] = str(sign["severity"])
    return data


def to_health(data: Mapping[str, Any] | None) -> HealthReport | None:
    """The health report of plain data."""
    if data is None:
        return None
    return HealthReport(
        pull=data["pull"],
        signs=tuple(Sign(**{**sign, "severity": Severity(sign["severity"])}) for sign in data["signs"]),
        unseen=tuple(Unseen(one["kind"], tuple(one["missing"]), one["text"]) for one in data["unseen"]),
        looked=tuple(data["looked"]),
        references=tuple(data["references"]),
    )
