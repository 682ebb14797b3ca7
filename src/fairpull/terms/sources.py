"""Sources: every published work that a formula, limit or number rests on, by key.

``status`` says how far the source was verified: ``read`` (the text itself), ``second-hand`` (a reproduction),
``memory`` (not re-read), ``practice`` (common practice of the trade, no source).
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Source:
    """A published work or, where so marked, common practice."""

    key: str
    title: str
    status: str


def _table(*rows: tuple[str, str, str]) -> dict[str, Source]:
    return {key: Source(key, title, status) for key, title, status in rows}


SOURCES: dict[str, Source] = _table(
    ("practice", "Common practice of the trade, no source", "practice"),
    ("sp811", "NIST Special Publication 811, Guide for the Use of the SI, Appendix B", "second-hand"),
    (
        "lan-demets-1983",
        "Lan and DeMets (1983), Discrete sequential boundaries for clinical trials, Biometrika 70(3)",
        "memory",
    ),
    ("iso5725", "ISO 5725, Accuracy (trueness and precision) of measurement methods and results", "memory"),
    (
        "rasmussen-williams",
        "Rasmussen and Williams (2006), Gaussian Processes for Machine Learning",
        "memory",
    ),
    ("40cfr1065", "40 CFR part 1065, Engine-testing procedures", "read"),
)
