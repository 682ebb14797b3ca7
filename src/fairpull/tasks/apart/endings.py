"""How a work that did not come to its end is told: what happened, and what to do."""

from __future__ import annotations

import signal

from fairpull.tasks.apart.limits import MIB, Limits
from fairpull.terms.errors import Fault

MEMORY_WORDS = (
    "memory allocation",
    "memoryerror",
    "bad_alloc",
    "out of memory",
    "cannot allocate",
    "unable to allocate",
)
SMALLER = "give fewer or smaller files, or split the long log, and do it again; nothing was kept"
AGAIN = "do it again; if it fails again, report it with what was asked"


def tells_of_memory(words: str) -> bool:
    """Whether a library's last words are about memory."""
    told = words.lower()
    return any(word in told for word in MEMORY_WORDS)


def out_of_memory(where: str, limits: Limits) -> Fault:
    """It wanted more memory than it may have."""
    return Fault("work-out-of-memory", where, f"it needs more than the {limits.memory // MIB} MiB it may use", SMALLER)


def out_of_time(where: str, seconds: float) -> Fault:
    """It took longer than it may."""
    return Fault("work-out-of-time", where, f"it was not done after {seconds:.0f} s and was ended", SMALLER)


def answer_too_large(where: str, limits: Limits) -> Fault:
    """It sent back more than it may."""
    return Fault("work-answer-too-large", where, f"its answer is over {limits.answer // MIB} MiB", SMALLER)


def file_too_large(where: str, limits: Limits) -> Fault:
    """It wanted to write a larger file than it may."""
    seen = f"it would write a file over {limits.file // MIB} MiB"
    return Fault("work-file-too-large", where, seen, SMALLER)


def disk(where: str, said: str) -> Fault:
    """The disk refused."""
    remedy = "see that the disk has room and that the folder may be written, and do it again"
    return Fault("work-disk", where, said, remedy)


def failed(where: str, said: str) -> Fault:
    """It ended in a way that nobody planned."""
    return Fault("work-failed", where, said[:400], AGAIN)


def died(where: str, code: int, words: str, limits: Limits) -> Fault:
    """The process ended without an answer.

    Args:
        where: name of the work.
        code: as of ``subprocess``: negative for a signal.
        words: the end of what it wrote to standard error.
        limits: what it could use.

    Returns:
        The reason as far as it can be told.
    """
    by = -code
    if by == signal.SIGXCPU:
        return out_of_time(where, limits.cpu)
    if tells_of_memory(words):
        return out_of_memory(where, limits)
    if by == signal.SIGKILL:
        seen = "the system ended it, as it does when memory is short"
        return Fault("work-ended-by-system", where, seen, SMALLER)
    told = _signal(by) if by > 0 else f"exit code {code}"
    last = (words.strip().splitlines() or [""])[-1][-300:]
    return failed(where, f"its process ended without an answer ({told}) {last}".strip())


def _signal(number: int) -> str:
    try:
        return signal.Signals(number).name
    except ValueError:
        return f"signal {number}"
