"""Everything a person may ask of a comparison of log files."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from fairpull.logs import ReadOptions
from fairpull.pulls import PullOptions
from fairpull.tasks.question_file import parse_band, parse_share
from fairpull.tasks.weights_file import read_weights
from fairpull.terms.units import parse


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
        declared_by: column that splits a declared table into several curves.
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
    declared_by: str = ""
    valid_to: Mapping[str, float] = field(default_factory=dict)
    leave_out: Mapping[str, str] = field(default_factory=dict)
    order: tuple[str, ...] = ()
    look: int | None = None
    planned_looks: int | None = None
    read: ReadOptions = field(default_factory=ReadOptions)
    pulls: PullOptions = field(default_factory=PullOptions)
    seed: int = 0


def cleaning_options(inertia: str, calibration: Path | None, lags: Mapping[str, str]) -> PullOptions:
    """Cleaning options from typed words.

    Args:
        inertia: e.g. "0.20kg.m2"; "" for none.
        calibration: dead-weight table; None for none.
        lags: channel -> delay, e.g. "0.3s".

    Returns:
        The options.

    Raises:
        FairpullError: a word that is no such quantity, or a table that cannot be read.
    """
    return PullOptions(
        inertia=parse(inertia, "kg m2") if inertia else None,
        calibration=read_weights(calibration) if calibration else None,
        lags={channel: parse(delay, "s") for channel, delay in lags.items()},
    )


def compare_request(
    reading: Mapping[str, Any],
    cleaning: PullOptions,
    *,
    step: str = "",
    band: str = "",
    smallest: str = "",
    engines: Sequence[str] = (),
    valid_to: Mapping[str, str] | None = None,
    **fields: Any,
) -> CompareRequest:
    """A request from typed words.

    Args:
        reading: fields of ``ReadOptions``.
        cleaning: how pulls are cleaned.
        step: e.g. "100rpm"; band: e.g. "1800-4600 rpm"; smallest: e.g. "1%"; "" for the default.
        engines: engine files, each perhaps with GROUP= before it.
        valid_to: pull -> speed, e.g. "5000rpm".
        fields: the request's other fields as they are.

    Returns:
        The request.

    Raises:
        FairpullError: words that cannot be values.
    """
    return CompareRequest(
        step=parse(step, "rpm") if step else None,
        band=parse_band(band) if band else None,
        smallest=parse_share(smallest) if smallest else None,
        engine_files={name: Path(path) for name, _, path in (word.rpartition("=") for word in engines)},
        valid_to={name: parse(rpm, "rpm") for name, rpm in (valid_to or {}).items()},
        read=ReadOptions(**reading),
        pulls=cleaning,
        **fields,
    )
