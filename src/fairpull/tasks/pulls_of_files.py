"""From files to pulls: read, find, clean; each pull under a name of its own."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from fairpull import logs, pulls
from fairpull.tasks.groups import FileGroup
from fairpull.tasks.machines import Machines
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


def read_groups(groups: Sequence[FileGroup], request: CompareRequest, machines: Machines) -> tuple[PullGroup, ...]:
    """Read all files of all groups and find their pulls.

    With ``read.by`` and a single group, every value of that column is a build of its own.

    Args:
        groups: builds and their files.
        request: how to read and clean, what to leave out.
        machines: engine files; their displacement reads BMEP columns, their inertia corrects sweeps.

    Returns:
        The groups, pulls named uniquely.

    Raises:
        ReadRefused: files that cannot be read or hold no pull; all files' faults at once.
    """
    faults: list[Fault] = []
    found: list[PullGroup] = []
    for group in groups:
        recordings: list[Recording] = []
        for path in group.files:
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
    return _unique(_leave_out(found, request.leave_out))


def _cut(
    name: str, recordings: Sequence[Recording], request: CompareRequest, machines: Machines, faults: list[Fault]
) -> PullGroup:
    members: list[Pull] = []
    for recording in recordings:
        options = machines.for_cleaning(name, request.pulls)
        limit = next((request.valid_to[key] for key in (recording.name, name) if key in request.valid_to), None)
        if limit is not None:
            options = replace(options, valid_to=limit)
        try:
            members += pulls.find(recording, options)
        except FairpullError as error:
            faults += error.faults
    return PullGroup(name, tuple(members), tuple(recordings))


def _leave_out(groups: Sequence[PullGroup], reasons: Mapping[str, str]) -> list[PullGroup]:
    names = {pull.name for group in groups for pull in group.pulls}
    faults = [
        Fault("no-such-pull", name, "no pull has this name", f"use one of {', '.join(sorted(names))}")
        for name in reasons
        if name not in names
    ]
    faults += [
        Fault("no-reason", name, "left out without a reason", "write why: --leave-out PULL=REASON")
        for name, reason in reasons.items()
        if not reason.strip()
    ]
    if faults:
        raise ReadRefused(faults)
    return [replace(group, pulls=tuple(pull for pull in group.pulls if pull.name not in reasons)) for group in groups]


def _unique(groups: Sequence[PullGroup]) -> tuple[PullGroup, ...]:
    """Put the group's name before pull names that stand twice."""
    names = [pull.name for group in groups for pull in group.pulls]
    twice = {name for name in names if names.count(name) > 1}
    return tuple(
        replace(
            group,
            pulls=tuple(
                replace(pull, name=f"{group.name}/{pull.name}") if pull.name in twice else pull for pull in group.pulls
            ),
        )
        for group in groups
    )
