"""How much of the machine a work may use; set in its own process before anything of it is read."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass

MIB = 1 << 20
GIB = 1 << 30


@dataclass(frozen=True, slots=True)
class Limits:
    """What a work may use.

    Attributes:
        memory: address space [bytes].
        cpu: time on a processor, all its threads together [s].
        wall: time on the clock [s]; the parent looks after it.
        file: largest file that it may write [bytes].
        answer: most that it may send back [bytes]; the parent looks after it.
    """

    memory: int = 3 * GIB
    cpu: int = 120
    wall: float = 180.0
    file: int = 1 * GIB
    answer: int = 32 * MIB

    def text(self) -> str:
        """As one word of a command line."""
        return json.dumps(asdict(self))


def from_text(text: str) -> Limits:
    """Limits from a word of a command line, as ``Limits.text`` wrote it."""
    return Limits(**json.loads(text))


def hold_to(limits: Limits) -> None:
    """Hold this process to its limits, for good. Where the system knows no such limits, the parent's clock is left.

    Args:
        limits: what it may use.
    """
    try:
        import resource
    except ImportError:
        return
    wanted = [
        (resource.RLIMIT_CORE, 0, 0),
        (resource.RLIMIT_AS, limits.memory, limits.memory),
        (resource.RLIMIT_CPU, limits.cpu, limits.cpu + 2),  # first a signal that names the reason, then the end
        (resource.RLIMIT_FSIZE, limits.file, limits.file),
    ]
    for kind, soft, hard in wanted:
        _, most = resource.getrlimit(kind)
        if most != resource.RLIM_INFINITY:
            soft, hard = min(soft, most), min(hard, most)
        resource.setrlimit(kind, (soft, hard))
