"""From files to pulls: read, find, clean; each pull under a name of its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from fairpull import logs, pulls
from fairpull.tasks.groups import FileGroup
from fairpull.tasks.machines import Machines
from fairpull.tasks.names import called, with_own_names
from fairpull.tasks.progress import Progress, silent
from fairpull.tasks.request import CompareRequest
from fairpull.terms.errors import FairpullError, Fault, ReadRefused
from fairpull.terms.pull import Pull
from fairpull.terms.recording import Recording


@dataclass(frozen=True, slots=True)
class PullGroup:
    """A build's name and its pulls; the recordings they came from."""

    name: str
    pulls: tuple[Pull, ...]
    recordings: tuple[Recording, ...]


def read_groups(
    groups: Sequence[FileGroup], request: CompareRequest, machines: Machines, progress: Progress = silent
) -> tuple[PullGroup, ...]:
    """Read all files of all groups and find their pulls.

    With ``read.by`` and a single group, every value of that column is a build of its own.

    Args:
        groups: builds and their files.
        request: how to read and clean, what to leave out.
        machines: engine files; their displacement reads BMEP columns, their inertia corrects sweeps.
        progress: is told of each file before it is read.

    Returns:
        The groups, pulls named uniquely.

    Raises:
        ReadRefused: files that cannot be read or hold no pull; all files' faults at once.
    """
    faults: list[Fault] = []
    found: list[PullGroup] = []
    done, total = 0, sum(len(group.files) for group in groups)
    for group in groups:
        recordings: list[Recording] = []
        for path in group.files:
            done += 1
            progress(path, done, total)
            try:
                recordings += logs.read(path, machines.for_reading(group.name, request.read))
            except FairpullError as error:
                faults += error.faults
        if len(groups) == 1 and request.read.by:
            found += [_cut(item.name, [item], request, machines, faults) for item in recordings]
        else:
            found.append(_cut(group.name, recordings, request, machines, faults))
    if faults:
        raise ReadRefused(faults)
    machines.check([group.name for group in found])
    return _counted(_named(found), request)


def _cut(
    name: str, recordings: Sequence[Recording], request: CompareRequest, machines: Machines, faults: list[Fault]
) -> PullGroup:
    members: list[Pull] = []
    for recording in recordings:
        options = machines.for_cleaning(name, request.pulls)
        line = next((request.calibrations[key] for key in (recording.name, name) if key in request.calibrations), None)
        if line is not None:
            options = replace(options, calibration=line)
        try:
            members += pulls.find(recording, options)
        except FairpullError as error:
            faults += error.faults
    return PullGroup(name, tuple(members), tuple(recordings))


def _named(groups: Sequence[PullGroup]) -> list[PullGroup]:
    named = iter(with_own_names([(group.name, pull) for group in groups for pull in group.pulls]))
    return [replace(group, pulls=tuple(next(named) for _ in group.pulls)) for group in groups]


def _counted(groups: Sequence[PullGroup], request: CompareRequest) -> tuple[PullGroup, ...]:
    """The pulls that count, each up to where it counts."""
    _refuse_unknown(groups, request)
    return tuple(
        replace(
            group,
            pulls=tuple(
                _up_to(group.name, pull, request) for pull in group.pulls if pull.name not in request.leave_out
            ),
        )
        for group in groups
    )


def _up_to(group: str, pull: Pull, request: CompareRequest) -> Pull:
    limit = next((request.valid_to[name] for name in called(group, pull) if name in request.valid_to), None)
    return pull if limit is None else replace(pull, valid_to=limit)


def _refuse_unknown(groups: Sequence[PullGroup], request: CompareRequest) -> None:
    """Refuse names that stand for no pull, and pulls left out without a reason; all at once."""
    names = [pull.name for group in groups for pull in group.pulls]
    any_name = {name for group in groups for pull in group.pulls for name in called(group.name, pull)}
    recordings = {recording.name for group in groups for recording in group.recordings}
    asked = (
        ("--leave-out", request.leave_out, set(names)),
        ("--valid-to", request.valid_to, any_name),
        ("--calibration", request.calibrations, recordings | {group.name for group in groups}),
    )
    faults = [
        Fault("no-such-pull", option, f"{name!r}: no pull has this name", f"use one of {', '.join(names)}")
        for option, words, known in asked
        for name in words
        if name not in known
    ]
    faults += [
        Fault("no-reason", name, "left out without a reason", "write why: --leave-out PULL=REASON")
        for name, reason in request.leave_out.items()
        if not reason.strip()
    ]
    if faults:
        raise ReadRefused(faults)
