"""What may be run: the limits card of a spark or mixture loop, as named in words or on the builds' sheets."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from fairpull.terms.change_words import setting_key
from fairpull.terms.errors import FairpullError, Fault, ValueRefused
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.units import parse

if TYPE_CHECKING:
    from fairpull.terms.build import Build

SETTINGS = {"spark": "spark_limits", "lambda": "lambda_limits", "jet": "jet_limits"}
EXAMPLES = {"spark": "20-34 deg", "lambda": "0.82-0.92", "jet": "66-72"}
POSSIBLE = {"spark": (-60.0, 90.0), "lambda": (0.4, 2.0), "jet": (0.0, 10_000.0)}
"""Settings that any engine could have at all [deg, -, -]."""
BEYOND = {
    "spark": "no further than 4 degrees above and 8 below what was run",
    "lambda": "no further than 0.03 leaner and 0.06 richer than what was run, from 0.75 to 0.95",
    "jet": "no further than two numbers from what was run",
}
DEGREE = math.pi / 180.0


@dataclass(frozen=True, slots=True)
class Allowed:
    """What may be run.

    span: (least, most) setting, in its house unit; None where nobody named any. said: the same in words, with who named
    it.
    """

    span: tuple[float, float] | None
    said: str


def parse_span(text: str, of: str, where: str) -> tuple[float, float]:
    """Two rising settings.

    Args:
        text: e.g. "20-34 deg", "20 to 34 deg", "0.82-0.92".
        of: "spark", "lambda" or "jet".
        where: who says so, for a refusal.

    Returns:
        Least and most [rad, or -].

    Raises:
        ValueRefused: words that are no two rising settings.
    """
    words = text.lower().replace("degrees", "").replace("deg", "").replace("\N{EN DASH}", "-").replace(" to ", "-")
    try:
        low, high = (float(word.replace(",", ".")) for word in words.rsplit("-", 1))
    except ValueError:
        low, high = math.inf, -math.inf
    if not POSSIBLE[of][0] <= low < high <= POSSIBLE[of][1]:
        raise ValueRefused(Fault("tune-limits", where, repr(text), f'write two rising settings, e.g. "{EXAMPLES[of]}"'))
    return (parse(f"{low} deg", "rad"), parse(f"{high} deg", "rad")) if of == "spark" else (low, high)


def allowed(text: str, of: str, builds: Sequence[Build]) -> Allowed:
    """The narrowest of all limits that were named.

    Args:
        text: as given with the command; "" for none.
        of: "spark", "lambda" or "jet".
        builds: whose sheets may name limits too, as a setting: ``spark_limits = "20-34 deg"``.

    Returns:
        What may be run.

    Raises:
        ValueRefused: limits that are none, all at once, or that leave nothing between them.
    """
    named: list[tuple[str, tuple[float, float]]] = []
    faults: list[Fault] = []
    for who, said in _named(text, of, builds):
        try:
            named.append((who, parse_span(said, of, who)))
        except FairpullError as refusal:
            faults += refusal.faults
    if faults:
        raise ValueRefused(faults)
    if not named:
        return Allowed(None, f"none named: {BEYOND[of]}")
    span = max(low for _, (low, _) in named), min(high for _, (_, high) in named)
    who = ", ".join(dict.fromkeys(one for one, _ in named))
    if span[0] >= span[1]:
        seen = f"no setting keeps all of them: {'; '.join(f'{one} {_words(both, of)}' for one, both in named)}"
        raise ValueRefused(Fault("tune-limits", who, seen, "name limits that leave something between them"))
    return Allowed(span, f"named: {_words(span, of)} ({who})")


def _named(text: str, of: str, builds: Sequence[Build]) -> list[tuple[str, str]]:
    wanted = setting_key(SETTINGS[of])
    found = [("--limits", text)] if text else []
    for build in builds:
        found += [(f"build {build.name}", said) for name, said in build.settings.items() if setting_key(name) == wanted]
    return found


def _words(span: tuple[float, float], of: str) -> str:
    low, high = (one / DEGREE for one in span) if of == "spark" else span
    return f"{low:g} to {high:g}{' degrees' if of == 'spark' else ''}"


def no_limits(kind: str, of: str) -> Finding:
    """What has to be known where nobody named limits.

    Args:
        kind: of the loop.
        of: "spark", "lambda" or "jet".

    Returns:
        The finding.
    """
    text = f"Nobody named what may be run, so a setting beyond what this engine stands may be proposed: {BEYOND[of]}."
    example = EXAMPLES[of]
    remedy = f'Name it with --limits "{example}", or write {SETTINGS[of]} = "{example}" in the builds\' settings.'
    return Finding("tune-no-limits", Severity.WARNING, f"{kind} loops", text, remedy)
