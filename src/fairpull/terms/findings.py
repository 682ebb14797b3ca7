"""Findings: warnings that travel with a value into every face."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How much a finding weighs."""

    NOTE = "note"  # worth knowing
    WARNING = "warning"  # may change the reading of the result
    FAULT = "fault"  # the value should not be used as it stands


@dataclass(frozen=True, slots=True)
class Finding:
    """A warning that stays attached to the value it is about.

    Attributes:
        code: short stable name, kebab case; each has a heading in docs/findings.md.
        severity: note, warning or fault.
        where: file, pull, channel, rpm or option it is about.
        text: what was seen, one sentence, with numbers and units.
        remedy: what to do about it, one sentence.
    """

    code: str
    severity: Severity
    where: str
    text: str
    remedy: str
