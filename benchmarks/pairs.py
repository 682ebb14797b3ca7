"""Two things done by turns, many times: the median of their ratios stands still while the machine's speed wanders."""

from __future__ import annotations

import os
import subprocess
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from statistics import median


@dataclass(frozen=True, slots=True)
class Cost:
    """What a thing took: wall-clock and processor time [s]; where it was asked for, the highest memory [bytes]."""

    wall: float
    processor: float
    memory: int = 0


Job = Callable[[], Cost]


@dataclass(frozen=True, slots=True)
class Outcome:
    """A line of the table.

    Attributes:
        what: what was measured.
        against: what it is divided by.
        ratios: one a repeat, of wall-clock times (or of memory).
        target: the ratio must be below this.
        processor: median ratio of processor times; None where there is none.
        seconds: median of each side [s]; None where the ratio is not of times.
    """

    what: str
    against: str
    ratios: tuple[float, ...]
    target: float
    processor: float | None = None
    seconds: tuple[float, float] | None = None

    @property
    def met(self) -> bool:
        """Whether the median is below the target."""
        return median(self.ratios) < self.target


def in_turn(ours: Job, theirs: Job, repeats: int) -> list[tuple[Cost, Cost]]:
    """Run two jobs by turns, the first pair not counted, the order swapped each time.

    Args:
        ours: what is measured.
        theirs: what it is divided by.
        repeats: pairs that count.

    Returns:
        Costs of ours and theirs, a pair a repeat.
    """
    pairs = []
    for number in range(repeats + 1):
        if number % 2:
            other = theirs()
            own = ours()
        else:
            own = ours()
            other = theirs()
        pairs.append((own, other))
    return pairs[1:]


def outcome(what: str, against: str, target: float, pairs: Sequence[tuple[Cost, Cost]]) -> Outcome:
    """The line of a measurement of time.

    Args:
        what: what was measured.
        against: what it is divided by.
        target: the ratio must be below this.
        pairs: costs of ours and theirs.

    Returns:
        The line.
    """
    return Outcome(
        what,
        against,
        tuple(own.wall / other.wall for own, other in pairs),
        target,
        median(own.processor / other.processor for own, other in pairs),
        (median(own.wall for own, _ in pairs), median(other.wall for _, other in pairs)),
    )


def process(words: Sequence[str]) -> Job:
    """A job that is a process of its own, started with compiled files allowed.

    Args:
        words: the command.

    Returns:
        The job.
    """

    def run() -> Cost:
        started = time.perf_counter()
        child = subprocess.Popen(words, stdout=subprocess.DEVNULL, env=environment())
        _, status, used = os.wait4(child.pid, 0)
        wall = time.perf_counter() - started
        child.returncode = os.waitstatus_to_exitcode(status)
        if child.returncode:
            raise subprocess.CalledProcessError(child.returncode, words)
        return Cost(wall, used.ru_utime + used.ru_stime)

    return run


def environment() -> dict[str, str]:
    """The environment, with compiled files allowed."""
    return {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}


def telling(setting_up: str) -> str:
    """Python that times ``read`` of its first argument, and tells wall-clock, processor time and highest memory.

    Args:
        setting_up: code that imports what is needed and binds ``read``.

    Returns:
        The code.
    """
    return (
        f"import resource, sys, time; {setting_up}; started = time.perf_counter(), time.process_time(); "
        "kept = read(sys.argv[1]); print(time.perf_counter() - started[0], time.process_time() - started[1], "
        "resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024)"
    )


def told(words: Sequence[str]) -> Job:
    """A job in a process of its own that tells its cost itself, so that its start does not count.

    Args:
        words: a command that runs code made by `telling`.

    Returns:
        The job.
    """

    def run() -> Cost:
        said = subprocess.run(words, capture_output=True, text=True, check=True, env=environment()).stdout
        wall, processor, memory = said.split()
        return Cost(float(wall), float(processor), int(memory))

    return run


def call(function: Callable[[], object]) -> Job:
    """A job inside this process.

    Args:
        function: what to do; what it returns is dropped after the clock has stopped.

    Returns:
        The job.
    """

    def run() -> Cost:
        wall, processor = time.perf_counter(), time.process_time()
        kept = function()
        cost = Cost(time.perf_counter() - wall, time.process_time() - processor)
        del kept
        return cost

    return run
