"""What a check of the book found so far, and how much it looked at."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field

from fairpull.terms.findings import Finding, Severity

Told = Callable[[str, int, int], None]
"""Is told of a thing before it is looked at: what, its number, how many there are."""


def nobody(what: str, number: int, total: int) -> None:
    """Nobody listens."""


@dataclass(slots=True)
class Looking:
    """What was found so far, and how much was looked at."""

    findings: list[Finding] = field(default_factory=list)
    looked_at: Counter[str] = field(default_factory=Counter)

    def found(self, code: str, where: str, seen: str, remedy: str, severity: Severity = Severity.FAULT) -> None:
        """Write a finding down."""
        self.findings.append(Finding(code, severity, where, seen, remedy))
