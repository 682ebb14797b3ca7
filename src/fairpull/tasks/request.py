"""Everything a person may ask of a comparison of log files."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from fairpull.logs import ReadOptions
from fairpull.pulls import PullOptions


@dataclass(frozen=True, slots=True)
class CompareRequest:
    """How log files are to be compared. Every default ends up in the result's choices.

    Attributes:
        standard: correction standard; "" takes sae-j1349 where every pull's weather is known, else none.
        step: rpm grid; None takes the finest of 50, 100, 200, 250, 500 that gives at most 48 steps.
        band: (low, high) rpm of interest, overrules the question file.
        smallest: smallest difference worth having [fraction], overrules the question file.
        question_file: what was declared before the day; None looks for question.toml beside the first group.
        engine_files: group name -> engine.toml; "" stands for all groups.
        declared_files: maker's ratings and other tables to lay beside.
        declared_standard, declared_basis: what the declared curves are stated in ("unstated"), net or gross.
        valid_to: pull, file or group name -> rpm up to which it counts.
        leave_out: pull name -> why it does not count.
        order: pull names in running order, where logs have no clock.
        look, planned_looks: see the spending rule; None for one look.
        read, pulls: how files are read and cleaned.
        seed: of the draws.
    """

    standard: str = ""
    step: float | None = None
    band: tuple[float, float] | None = None
    smallest: float | None = None
    question_file: Path | None = None
    engine_files: Mapping[str, Path] = field(default_factory=dict)
    declared_files: tuple[Path, ...] = ()
    declared_standard: str = "unstated"
    declared_basis: str = "unstated"
    valid_to: Mapping[str, float] = field(default_factory=dict)
    leave_out: Mapping[str, str] = field(default_factory=dict)
    order: tuple[str, ...] = ()
    look: int | None = None
    planned_looks: int | None = None
    read: ReadOptions = field(default_factory=ReadOptions)
    pulls: PullOptions = field(default_factory=PullOptions)
    seed: int = 0
