"""What was chosen or defaulted on the way from files to a verdict, as readable text."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields
from typing import TYPE_CHECKING

from fairpull import engine
from fairpull.logs import ReadOptions
from fairpull.pulls import PullOptions
from fairpull.tasks.request import CompareRequest
from fairpull.terms.pull import Curve

if TYPE_CHECKING:
    from fairpull.terms.engine import Engine

METHOD = "mixed model of log torque, docs/differences.md [rasmussen-williams], looks [lan-demets-1983]"


def request_choices(
    request: CompareRequest,
    step: float,
    curves: Sequence[tuple[str, Sequence[Curve]]],
    engines: Mapping[str, Engine],
) -> dict[str, str]:
    """Choices of the reading, the cleaning and the request.

    Args:
        request: what was asked.
        step: rpm grid used.
        curves: builds and their curves, which carry the choices of reading and cleaning.
        engines: group name -> engine.

    Returns:
        Name of the choice -> readable value.
    """
    common, differing = _of_pulls([curve for _, members in curves for curve in members])
    cleaning = {key: value for key, value in _cleaning(request.pulls).items() if key not in differing}
    said = {"method": METHOD, "rpm grid": f"{step:g} rpm, " + ("named" if request.step else "by default")}
    said |= {"reading": _reading(request.read)} | cleaning | common
    if differing:
        said["differs from pull to pull"] = f"{', '.join(differing)} (see fairpull read, or --json)"
    said["engine"] = "; ".join(_engine(name, machine) for name, machine in engines.items()) or "no engine file"
    said["left out"] = "; ".join(f"{name}: {reason}" for name, reason in request.leave_out.items()) or "no pull"
    limits = "; ".join(f"{name}: {rpm:.0f} rpm" for name, rpm in request.valid_to.items())
    said["counts only up to"] = limits or "every pull counts to its end"
    said["declared curves"] = "none"
    if request.declared_files:
        by = f", split by {request.declared_by}" if request.declared_by else ""
        stated = f"standard {request.declared_standard}, {request.declared_basis}"
        said["declared curves"] = f"{len(request.declared_files)} table(s){by}; {stated}; laid beside, never evidence"
    return said


def _reading(options: ReadOptions) -> str:
    """What the person said of the files; everything else was found in them."""
    plain = ReadOptions()
    told = [
        f"{one.name} {value}"
        for one in fields(options)
        if (value := getattr(options, one.name)) != getattr(plain, one.name)
    ]
    return f"by option: {'; '.join(told)}" if told else "formats, columns, units and weather as found in the logs"


def _cleaning(options: PullOptions) -> dict[str, str]:
    """Rules of the cleaning that pulls do not say themselves, whether named or by default."""
    rate = "each pull's own median" if options.nominal_rate is None else f"{options.nominal_rate:g} rpm/s"
    return {
        "kind of pull": options.kind,
        "least sweep": f"{options.min_span:g} rpm in {options.min_duration:g} s, first {options.settle_rpm:g} rpm off",
        "full throttle": f"from {options.throttle_full:.0%}; a pull below carries a finding",
        "holds": f"{options.hold_min:g} s at least, mean of their last {options.hold_average:g} s or half",
        "nominal rate": rate,
        "inertia": "none",
        "inertia window": f"±{options.inertia_window:g} s",
        "calibration": "none: torque as logged",
        "lags": "asked for, but a table without a clock has none" if options.lags else "none: channels as logged",
    }


def _of_pulls(curves: Sequence[Curve]) -> tuple[dict[str, str], list[str]]:
    """What all pulls say alike, and the names of what they do not."""
    seen: dict[str, set[str]] = {}
    for curve in curves:
        for key, value in curve.choices.items():
            seen.setdefault(key, set()).add(value)
    alike = {key for key, values in seen.items() if len(values) == 1 and all(key in curve.choices for curve in curves)}
    return {key: next(iter(seen[key])) for key in seen if key in alike}, [key for key in seen if key not in alike]


def _engine(group: str, machine: Engine) -> str:
    name = f" {machine.name}" if machine.name else ""
    return f"{group}:{name} {engine.displacement_of(machine) * 1e3:.3f} L"
