"""Everything a person may ask of a comparison of log files."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from fairpull.logs import ReadOptions
from fairpull.pulls import PullOptions
from fairpull.tasks.question_file import parse_band, parse_share
from fairpull.tasks.weights_file import read_weights
from fairpull.terms.errors import FairpullError, Fault, ValueRefused
from fairpull.terms.units import parse

if TYPE_CHECKING:
    from fairpull.terms.calibration import Calibration

MOST_STEP = 5000.0  # rpm
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class CompareRequest:
    """How log files are to be compared. Every default ends up in the result's choices.

    Attributes:
        standard: correction standard; "" takes sae-j1349 where every pull's weather is known, else none.
        step: rpm grid; None takes the finest of 100, 200, 250, 500 that gives fewer than 48 steps.
        band: (low, high) rpm of interest, overrules the question file.
        smallest: smallest difference worth having [fraction], overrules the question file.
        question_file: what was declared before the day; None looks for question.toml beside the reference's logs.
        engine_files: group name -> engine.toml; "" stands for all groups.
        declared_files: maker's ratings and other tables to lay beside.
        declared_standard, declared_basis: what the declared curves are stated in ("unstated"), net or gross.
        calibrations: file or group name -> the brake's dead-weight line for its pulls, where ``pulls`` has another.
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
    calibrations: Mapping[str, Calibration] = field(default_factory=dict)
    valid_to: Mapping[str, float] = field(default_factory=dict)
    leave_out: Mapping[str, str] = field(default_factory=dict)
    order: tuple[str, ...] = ()
    look: int | None = None
    planned_looks: int | None = None
    read: ReadOptions = field(default_factory=ReadOptions)
    pulls: PullOptions = field(default_factory=PullOptions)
    seed: int = 0


def compare_request(
    reading: Mapping[str, Any],
    *,
    step: str = "",
    band: str = "",
    smallest: str = "",
    engines: Sequence[str] = (),
    inertia: str = "",
    calibration: Sequence[str] = (),
    lags: Mapping[str, str] | None = None,
    valid_to: Mapping[str, str] | None = None,
    **fields: Any,
) -> CompareRequest:
    """A request from typed words.

    Args:
        reading: fields of ``ReadOptions``.
        step: e.g. "100rpm"; band: e.g. "1800-4600 rpm"; smallest: e.g. "1%"; "" for the default.
        engines: engine files, each perhaps with GROUP= before it.
        inertia: e.g. "0.20kg.m2"; "" for the engine file's, or none.
        calibration: dead-weight tables, each perhaps with FILE= or GROUP= before it.
        lags: channel -> delay, e.g. "0.3s".
        valid_to: pull -> speed, e.g. "5000rpm".
        fields: the request's other fields as they are.

    Returns:
        The request.

    Raises:
        ValueRefused: words that cannot be values, or tables that cannot be read; all faults at once.
    """
    faults: list[Fault] = []
    lines = {
        name: line
        for name, path in _named_paths(calibration).items()
        if (line := _taken(faults, "", partial(read_weights, path))) is not None
    }
    request = CompareRequest(
        step=_taken(faults, "--step", partial(parse_step, step)) if step else None,
        band=_taken(faults, "--band", partial(parse_band, band)) if band else None,
        smallest=_taken(faults, "--smallest", partial(parse_share, smallest)) if smallest else None,
        engine_files=_named_paths(engines),
        calibrations={name: line for name, line in lines.items() if name},
        valid_to=_quantities(faults, "--valid-to", valid_to or {}, "rpm"),
        read=ReadOptions(**reading),
        pulls=PullOptions(
            inertia=_taken(faults, "--inertia", partial(parse, inertia, "kg m2")) if inertia else None,
            calibration=lines.get(""),
            lags=_quantities(faults, "--lag", lags or {}, "s"),
        ),
        **fields,
    )
    if faults:
        raise ValueRefused(faults)
    return request


def parse_step(text: str, where: str = "--step") -> float:
    """A step of the grid such as "100 rpm".

    Args:
        text: speed with or without its unit.
        where: option or setting, for the refusal.

    Returns:
        The step [rpm].

    Raises:
        FairpullError: no speed, or none that a grid could have.
    """
    step = parse(text, "rpm")
    if not 0 < step <= MOST_STEP:
        raise ValueRefused(Fault("step", where, repr(text), f"give a step above 0 and up to {MOST_STEP:.0f} rpm"))
    return step


def _named_paths(words: Sequence[str]) -> dict[str, Path]:
    """NAME=PATH words; the name "" stands for every build."""
    return {name: Path(path).expanduser() for name, _, path in (word.rpartition("=") for word in words)}


def _quantities(faults: list[Fault], option: str, words: Mapping[str, str], unit: str) -> dict[str, float]:
    values = {name: _taken(faults, f"{option} {name}", partial(parse, text, unit)) for name, text in words.items()}
    return {name: value for name, value in values.items() if value is not None}


def _taken(faults: list[Fault], option: str, make: Callable[[], T]) -> T | None:
    """What ``make`` gives; None where it refuses, its faults kept, with the option as their place."""
    try:
        return make()
    except FairpullError as error:
        faults += [replace(fault, where=option or fault.where) for fault in error.faults]
        return None
