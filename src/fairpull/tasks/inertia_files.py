"""The rotating inertia, from two logs of one build swept at different rates."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from fairpull import pulls
from fairpull.pulls.inertia_estimates import Inertia, inertia_from_sweep_rates
from fairpull.tasks.read_files import read_files
from fairpull.terms.errors import Fault, ReadRefused
from fairpull.terms.pull import Pull


def inertia_of_files(slow: Path, fast: Path, **options: Any) -> Inertia:
    """Find the inertia from a slow and a fast sweep.

    Args:
        slow, fast: log files with one pull each.
        options: fields of ``ReadOptions``.

    Returns:
        The estimate with its standard error.

    Raises:
        ReadRefused: a file holds not exactly one pull.
        NotComparable: rates too alike, see the fault.
    """
    return inertia_from_sweep_rates(_only_pull(slow, options), _only_pull(fast, options))


def _only_pull(path: Path, options: dict[str, Any]) -> Pull:
    found = [pull for recording in read_files([path], **options) for pull in pulls.find(recording)]
    if len(found) != 1:
        seen = f"{len(found)} pulls in the file"
        raise ReadRefused(Fault("inertia-one-pull", str(path), seen, "give a log with one sweep"))
    return found[0]
