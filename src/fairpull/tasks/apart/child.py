"""The process of a work: held to its limits first, then it reads what is asked, and tells in lines of JSON.

Started by ``running.start`` only: ``python -m fairpull.tasks.apart.child LIMITS LIFELINE``.
"""

from __future__ import annotations

import contextlib
import errno
import json
import os
import signal
import sys
import threading
import time
import traceback
from collections.abc import Iterator
from typing import Any, BinaryIO

from fairpull.tasks.apart.limits import Limits, from_text, hold_to

OFTEN = 0.1  # [s] between two words about progress; a page asks once a second
MOST_WORDS = 2000  # signs of a message that cross


def main(arguments: list[str]) -> int:
    """Do one work.

    Args:
        arguments: limits as text, and the number of the pipe that ends with the parent.

    Returns:
        Exit code: 0 where there is a result.
    """
    limits = from_text(arguments[0])
    hold_to(limits)
    _end_with_parent(int(arguments[1]))
    with _answers() as answers:
        return _do(json.loads(sys.stdin.buffer.read()), limits, answers)


@contextlib.contextmanager
def _answers() -> Iterator[BinaryIO]:
    """Standard output for answers alone: what a library prints goes to standard error."""
    with os.fdopen(os.dup(1), "wb") as answers:
        os.dup2(2, 1)
        yield answers


def _end_with_parent(lifeline: int) -> None:
    """End this process and its children when the other end of a pipe is gone, however the parent ended."""

    def watch() -> None:
        with contextlib.suppress(OSError):
            while os.read(lifeline, 1):
                pass
        os.killpg(0, signal.SIGKILL)

    threading.Thread(target=watch, daemon=True).start()


class _Teller:
    """Writes progress, not too often."""

    def __init__(self, answers: BinaryIO) -> None:
        self._answers, self._last = answers, -1.0

    def __call__(self, done: int, total: int, saying: str) -> None:
        now = time.monotonic()
        if now - self._last >= OFTEN or done == total:
            self._last = now
            _write(self._answers, {"done": int(done), "total": int(total), "saying": str(saying)[:MOST_WORDS]})


def _write(answers: BinaryIO, line: dict[str, Any]) -> None:
    # text from a log may hold signs that no encoding has; they become question marks here, before a page meets them
    answers.write(json.dumps(line, ensure_ascii=False, allow_nan=False).encode("utf-8", "replace") + b"\n")
    answers.flush()


def _do(request: dict[str, Any], limits: Limits, answers: BinaryIO) -> int:
    from fairpull.tasks.apart.named import work_named
    from fairpull.terms.errors import FairpullError

    name = str(request["work"])
    try:
        result = work_named(name)(request["given"], _Teller(answers))
        _write(answers, {"result": result})
    except FairpullError as error:
        faults = [(one.code, one.where, one.seen, one.remedy) for one in error.faults]
    except KeyboardInterrupt:
        return 130
    except MemoryError:
        faults = [_memory(name, limits)]
    except Exception as error:  # noqa: BLE001 the parent is told of anything, or it would wait for nothing
        traceback.print_exc()
        faults = [_unexpected(name, error, limits)]
    else:
        return 0
    _write(answers, {"faults": [[part[:MOST_WORDS] for part in one] for one in faults]})
    return 1


def _memory(name: str, limits: Limits) -> tuple[str, str, str, str]:
    from fairpull.tasks.apart.endings import out_of_memory

    fault = out_of_memory(name, limits)
    return fault.code, fault.where, fault.seen, fault.remedy


def _unexpected(name: str, error: Exception, limits: Limits) -> tuple[str, str, str, str]:
    """What is no refusal: a limit that a library wrapped in words of its own, a disk, or a mistake of ours."""
    from fairpull.tasks.apart import endings

    said = f"{type(error).__name__}: {error}"
    if endings.tells_of_memory(said):
        return _memory(name, limits)
    if isinstance(error, OSError) and error.errno == errno.EFBIG:
        fault = endings.file_too_large(name, limits)
    elif isinstance(error, OSError):
        fault = endings.disk(name, error.strerror or said)
    else:
        fault = endings.failed(name, said)
    return fault.code, fault.where, fault.seen, fault.remedy


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
