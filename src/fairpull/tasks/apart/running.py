"""A work that runs in a process of its own: started, watched, cancelled."""

from __future__ import annotations

import contextlib
import json
import os
import selectors
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import IO, Any

from fairpull.tasks.apart import endings
from fairpull.tasks.apart.limits import Limits
from fairpull.tasks.apart.usual import LIMITS, no_such
from fairpull.terms.errors import FairpullError, Fault

FAULT = ("code", "where", "seen", "remedy")
GRACE = 2.0  # [s] from being asked to end until being made to
LAST_WORDS = 8192  # bytes of standard error that are remembered
BLOCK = 1 << 16
STEP = 0.25  # [s] at most between two looks at the clock
CHILD = ("-m", "fairpull.tasks.apart.child")
PACKAGE = Path(__file__).resolve().parents[2]


@dataclass(frozen=True, slots=True)
class State:
    """Where a work stands.

    Attributes:
        done, total: how much is done, of how much; total is 0 where it is not known.
        saying: what it does now, in a few words.
        ended: it has ended, in whichever way.
        result: what it gave; None until it has ended well.
        faults: why it gave nothing.
        cancelled: it was ended by a person, or because the program ends.
    """

    done: int = 0
    total: int = 0
    saying: str = ""
    ended: bool = False
    result: Mapping[str, Any] | None = None
    faults: tuple[Fault, ...] = ()
    cancelled: bool = False


def start(work: str, given: Mapping[str, Any], limits: Limits | None = None) -> Running:
    """Start a work in a process of its own.

    Args:
        work: its name; one of ``usual.LIMITS``.
        given: what is asked of it, as plain data.
        limits: what it may use; None takes what is usual for it.

    Returns:
        The running work.

    Raises:
        UnknownName: no such work.
    """
    if work not in LIMITS:
        raise no_such(work)
    return Running(work, given, limits or LIMITS[work])


class Running:
    """A work in its own process. ``start`` makes it."""

    def __init__(self, work: str, given: Mapping[str, Any], limits: Limits) -> None:
        self.work = work
        self._limits = limits
        self._state = State()
        self._lock = threading.Lock()
        self._stop = threading.Event()
        self._ended = threading.Event()
        self._words = b""
        self._folder = Path(tempfile.mkdtemp(prefix="fairpull-work-"))
        try:
            self._process, self._lifeline = self._begin({"work": work, "given": dict(given)})
        except BaseException:
            shutil.rmtree(self._folder, ignore_errors=True)
            raise
        threading.Thread(target=self._look_after, name=f"work {work}", daemon=True).start()

    def state(self) -> State:
        """Where it stands now."""
        with self._lock:
            return self._state

    def cancel(self) -> None:
        """End it: it is asked to, and made to if it does not within two seconds. Returns at once."""
        self._stop.set()

    def wait(self, timeout: float | None = None) -> State:
        """Wait for its end.

        Args:
            timeout: at most so long [s]; None for as long as it takes.

        Returns:
            Where it stands then.
        """
        self._ended.wait(timeout)
        return self.state()

    def outcome(self, timeout: float | None = None) -> Mapping[str, Any]:
        """Wait for its end, and take what it gave.

        Args:
            timeout: at most so long [s]; then it is cancelled.

        Returns:
            The result.

        Raises:
            FairpullError: it gave faults, or was cancelled.
        """
        state = self.wait(timeout)
        if not state.ended:
            self.cancel()
            state = self.wait()
        if state.result is None:
            where = self.work
            raise FairpullError(state.faults or Fault("work-cancelled", where, "it was cancelled", "do it again"))
        return state.result

    def _begin(self, request: dict[str, Any]) -> tuple[subprocess.Popen[bytes], int]:
        theirs, ours = os.pipe()
        try:
            with tempfile.TemporaryFile(dir=self._folder) as asked:
                asked.write(json.dumps(request).encode())
                asked.seek(0)
                command = [sys.executable, "-P", *CHILD, self._limits.text(), str(theirs)]
                process = subprocess.Popen(
                    command,
                    stdin=asked,
                    stdout=subprocess.PIPE,
                    stderr=subprocess.PIPE,
                    cwd=self._folder,
                    env=self._surroundings(),
                    pass_fds=(theirs,),
                    start_new_session=True,
                )
        except BaseException:
            os.close(ours)
            raise
        finally:
            os.close(theirs)
        return process, ours

    def _surroundings(self) -> dict[str, str]:
        """The child's environment: the same package, a folder of its own for what is passing, few threads."""
        path = os.pathsep.join([str(PACKAGE), *filter(None, [os.environ.get("PYTHONPATH", "")])])
        few = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "POLARS_MAX_THREADS": "2"}
        return {**few, **os.environ, "PYTHONPATH": path, "TMPDIR": str(self._folder), "PYTHONUNBUFFERED": "1"}

    def _look_after(self) -> None:
        """In a thread: read what it tells, mind the clock, end it, tidy up."""
        end = _End()
        try:
            self._listen(end)
        finally:
            code = self._finish(gently=end.fault is None)
            os.close(self._lifeline)
            shutil.rmtree(self._folder, ignore_errors=True)
            self._settle(end, code)

    def _listen(self, end: _End) -> None:
        deadline = time.monotonic() + self._limits.wall
        answers, words = self._process.stdout, self._process.stderr
        assert answers is not None
        assert words is not None
        with selectors.DefaultSelector() as both, answers, words:
            both.register(answers, selectors.EVENT_READ, end.answer)
            both.register(words, selectors.EVENT_READ, self._remember)
            while answers.fileno() in {key.fd for key in both.get_map().values()}:
                if self._stop.is_set():
                    return
                if time.monotonic() > deadline:
                    end.fault = endings.out_of_time(self.work, self._limits.wall)
                    return
                for key, _ in both.select(STEP):
                    block = os.read(key.fd, BLOCK)
                    if not block:
                        both.unregister(key.fileobj)
                    else:
                        key.data(block)
                if end.size > self._limits.answer:
                    end.fault = endings.answer_too_large(self.work, self._limits)
                    return
                self._tell(end)
            self._last_words(words)

    def _last_words(self, words: IO[bytes]) -> None:
        """What still lies in the pipe of standard error, without waiting for whoever else holds it."""
        os.set_blocking(words.fileno(), False)
        with contextlib.suppress(BlockingIOError):
            while block := os.read(words.fileno(), BLOCK):
                self._remember(block)

    def _remember(self, block: bytes) -> None:
        self._words = (self._words + block)[-LAST_WORDS:]

    def _tell(self, end: _End) -> None:
        if end.progress is None:
            return
        with self._lock:
            self._state = replace(self._state, **end.progress)
        end.progress = None

    def _finish(self, *, gently: bool) -> int:
        """End the process and all that it started; its number is not given to another before it is waited for."""
        until = time.monotonic() + GRACE
        if gently and self._stop.is_set():
            self._signal(signal.SIGINT)
        while gently and time.monotonic() < until and not self._gone():
            time.sleep(0.01)
        self._signal(signal.SIGKILL)
        return self._process.wait()

    def _gone(self) -> bool:
        flags = os.WEXITED | os.WNOWAIT | os.WNOHANG
        return os.waitid(os.P_PID, self._process.pid, flags) is not None

    def _signal(self, number: int) -> None:
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.killpg(self._process.pid, number)

    def _settle(self, end: _End, code: int) -> None:
        result, faults = end.result, end.faults
        cancelled = result is None and not faults and end.fault is None and self._stop.is_set()
        if end.fault is not None:
            result, faults = None, (end.fault,)
        elif result is None and not faults and not cancelled:
            faults = (endings.died(self.work, code, self._words.decode("utf-8", "replace"), self._limits),)
        with self._lock:
            self._state = replace(self._state, ended=True, result=result, faults=faults, cancelled=cancelled)
        self._ended.set()


class _End:
    """What has come from a work so far: lines as they are complete."""

    def __init__(self) -> None:
        self.size = 0
        self.result: dict[str, Any] | None = None
        self.faults: tuple[Fault, ...] = ()
        self.fault: Fault | None = None  # of ours: a limit
        self.progress: dict[str, Any] | None = None
        self._parts: list[bytes] = []

    def answer(self, block: bytes) -> None:
        """Take bytes from standard output."""
        self.size += len(block)
        if b"\n" not in block:
            self._parts.append(block)
            return
        *lines, rest = b"".join([*self._parts, block]).split(b"\n")
        self._parts = [rest]
        for line in lines:
            self._line(line)

    def _line(self, line: bytes) -> None:
        told = json.loads(line)
        if "result" in told:
            self.result = told["result"]
        elif "faults" in told:
            self.faults = tuple(Fault(**dict(zip(FAULT, one, strict=True))) for one in told["faults"])
        else:
            self.size -= len(line) + 1  # progress may go on for hours
            self.progress = {key: told[key] for key in ("done", "total", "saying")}
