"""What was chosen or defaulted on the way from files to a verdict, as readable text."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from fairpull import engine
from fairpull.tasks.request import CompareRequest
from fairpull.terms.engine import Engine
from fairpull.terms.pull import Curve

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
    said = {"method": METHOD, "rpm grid": f"{step:g} rpm, " + ("named" if request.step else "by default")}
    said |= _of_pulls([curve for _, members in curves for curve in members])
    said["engine"] = "; ".join(_engine(name, machine) for name, machine in engines.items()) or "no engine file"
    said["left out"] = "; ".join(f"{name}: {reason}" for name, reason in request.leave_out.items()) or "no pull"
    if request.valid_to:
        said["counts only up to"] = "; ".join(f"{name}: {rpm:.0f} rpm" for name, rpm in request.valid_to.items())
    if request.declared_files:
        said["declared curves"] = (
            f"standard {request.declared_standard}, {request.declared_basis}; laid beside, never evidence"
        )
    return said


def _of_pulls(curves: Sequence[Curve]) -> dict[str, str]:
    seen: dict[str, set[str]] = {}
    for curve in curves:
        for key, value in curve.choices.items():
            seen.setdefault(key, set()).add(value)
    common = {key for key, values in seen.items() if len(values) == 1 and all(key in curve.choices for curve in curves)}
    said = {key: next(iter(values)) for key, values in seen.items() if key in common}
    differing = [key for key in seen if key not in common]
    if differing:
        said["differs from pull to pull"] = f"{', '.join(differing)} (see fairpull read, or --json)"
    return said


def _engine(group: str, machine: Engine) -> str:
    name = f" {machine.name}" if machine.name else ""
    return f"{group}:{name} {engine.displacement_of(machine) * 1e3:.3f} L"
