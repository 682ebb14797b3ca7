"""From log files to a verdict: read, find, clean, correct, compare."""

from __future__ import annotations

from collections.abc import Sequence

from fairpull.tasks.asked import asked_question
from fairpull.tasks.compare_groups import compare_groups
from fairpull.tasks.declared import read_declared
from fairpull.tasks.groups import expand
from fairpull.tasks.machines import Machines
from fairpull.tasks.progress import Progress, silent
from fairpull.tasks.pulls_of_files import read_groups
from fairpull.tasks.request import CompareRequest
from fairpull.terms.comparison import Comparison
from fairpull.terms.errors import Fault, ValueRefused


def compare_files(
    groups: Sequence[str], request: CompareRequest | None = None, progress: Progress = silent
) -> Comparison:
    """Compare builds by their log files.

    Args:
        groups: GROUP words, reference first: a file, a folder, a glob, or NAME=one of these.
        request: everything else; None takes the defaults.
        progress: is told of each file before it is read.

    Returns:
        The comparison, with the files' hashes.

    Raises:
        FairpullError: anything that cannot be read, corrected or compared; all faults of a stage at once.
    """
    asked = request or CompareRequest()
    _refuse_loose_ends(asked)
    files = expand(groups)
    machines = Machines(asked.engine_files)
    question, said, overruled = asked_question(asked, files[0].files[0].parent)
    found = read_groups(files, asked, machines, progress)
    engines = {group.name: machine for group in found if (machine := machines.of(group.name)) is not None}
    declared = read_declared(asked, machines)
    return compare_groups(found, engines, question, asked, declared=declared, said=said, findings=overruled)


def _refuse_loose_ends(request: CompareRequest) -> None:
    """Refuse options that would do nothing: the person meant something by them."""
    faults = []
    if request.planned_looks is not None and request.look is None:
        seen = f"{request.planned_looks} looks planned, but not which look this is"
        faults.append(Fault("looks-without-look", "--planned-looks", seen, "say which look this is: --look 1"))
    if request.declared_by and not request.declared_files:
        seen = f"{request.declared_by!r}, but no declared table"
        faults.append(Fault("nothing-declared", "--declared-by", seen, "name the table: --declared FILE"))
    if faults:
        raise ValueRefused(faults)
