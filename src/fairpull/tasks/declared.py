"""A maker's rating or somebody else's table, laid beside the measured builds."""

from __future__ import annotations

import numpy as np

from fairpull import air, logs, pulls
from fairpull.logs import ReadOptions
from fairpull.tasks.machines import Machines
from fairpull.tasks.request import CompareRequest
from fairpull.terms.errors import FairpullError, Fault, ReadRefused, UnknownName
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.pull import DeclaredCurve, Pull

BASES = ("net", "gross", "unstated")


def read_declared(request: CompareRequest, machines: Machines) -> tuple[DeclaredCurve, ...]:
    """Read the declared curves of a request.

    Args:
        request: ``declared_files``, and the standard and basis they are stated in.
        machines: the displacement of an engine file for every group reads BMEP columns.

    Returns:
        The curves; a finding asks for standard or basis where nobody stated it.

    Raises:
        UnknownName: no such standard or basis.
        ReadRefused: a file cannot be read as a table of rpm and torque or power.
    """
    if request.declared_basis not in BASES:
        raise UnknownName(Fault("basis", "--declared-basis", request.declared_basis, f"use one of {', '.join(BASES)}"))
    if request.declared_standard != "unstated":
        air.standard(request.declared_standard)
    asked = ReadOptions(by=request.declared_by, displacement=request.read.displacement, strokes=request.read.strokes)
    asked = machines.for_reading("", asked)
    curves: list[DeclaredCurve] = []
    faults: list[Fault] = []
    for path in request.declared_files:
        try:
            curves += [
                _declared(request, pull) for recording in logs.read(path, asked) for pull in pulls.find(recording)
            ]
        except FairpullError as error:
            faults += error.faults
    if faults:
        raise ReadRefused(faults)
    return tuple(curves)


def _declared(request: CompareRequest, pull: Pull) -> DeclaredCurve:
    good = np.isfinite(pull.channels["rpm"]) & np.isfinite(pull.channels["torque"])
    return DeclaredCurve(
        name=pull.name,
        origin=pull.origin,
        rpm=pull.channels["rpm"][good],
        torque=pull.channels["torque"][good],
        standard=request.declared_standard,
        basis=request.declared_basis,
        findings=_unstated(request, pull.name),
    )


def _unstated(request: CompareRequest, name: str) -> tuple[Finding, ...]:
    missing = [
        word
        for word, value in (("standard", request.declared_standard), ("net or gross", request.declared_basis))
        if value == "unstated"
    ]
    if not missing:
        return ()
    return (
        Finding(
            "declared-unstated",
            Severity.WARNING,
            name,
            f"declared curve without its {' and '.join(missing)}: it may stand 4 to 25 % off measured ones",
            "ask whoever declared it, and state --declared-standard and --declared-basis",
        ),
    )
