"""A work in its own process: what crosses, what ends it, and what is left behind (nothing)."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import pytest

from fairpull.tasks.apart import running
from fairpull.tasks.apart.limits import Limits
from fairpull.terms.errors import FairpullError, UnknownName
from tests.tasks.apart.conftest import SMALL

pytestmark = pytest.mark.usefixtures("trials")
SOON = 15.0


def codes(state: running.State) -> list[str]:
    return [fault.code for fault in state.faults]


def alive(number: int) -> bool:
    try:
        return Path(f"/proc/{number}/stat").read_text().rsplit(")", 1)[1].split()[0] != "Z"
    except OSError:
        return False


def until(true: object, what: str) -> None:
    deadline = time.monotonic() + SOON
    while not true():  # type: ignore[operator]
        assert time.monotonic() < deadline, what
        time.sleep(0.02)


def test_a_result_crosses_and_nothing_stays_on_the_disk() -> None:
    given = {"word": "Prüfstand ½", "number": 0.1, "list": [1, None], "pause": 0.15}
    started = running.start("echo", given)
    seen: set[str] = set()

    def ended() -> bool:
        seen.add(started.state().saying)
        return started.state().ended

    until(ended, "no end")
    state = started.wait(SOON)
    assert state.result is not None, state.faults
    assert state.result["given"] == given
    assert state.result["core"] == 0
    assert (state.faults, state.cancelled, state.total) == ((), False, 4)
    assert len({one for one in seen if one.startswith("step")}) >= 2
    assert not Path(state.result["where"]).exists()
    assert started.outcome() == state.result


def test_a_refusal_crosses_with_all_its_faults() -> None:
    state = running.start("refuse", {}).wait(SOON)
    assert codes(state) == ["a", "b"]
    assert state.result is None
    assert state.faults[0].remedy == "do that"
    state.faults[1].seen.encode()  # no sign is left that no page could show
    with pytest.raises(FairpullError, match="do the other"):
        running.start("refuse", {}).outcome(SOON)


@pytest.mark.parametrize(
    ("work", "limits", "code"),
    [
        ("hoard", SMALL, "work-out-of-memory"),
        ("spin", replace(SMALL, cpu=1), "work-out-of-time"),
        ("spin", replace(SMALL, wall=0.8), "work-out-of-time"),
        ("write", SMALL, "work-file-too-large"),
        ("nan", SMALL, "work-failed"),
        ("shout", SMALL, "work-failed"),
    ],
)
def test_a_work_over_its_limits_is_ended_and_says_so(work: str, limits: Limits, code: str) -> None:
    began = time.monotonic()
    state = running.start(work, {}, limits).wait(SOON)
    assert codes(state) == [code]
    assert state.ended
    assert not state.cancelled
    assert time.monotonic() - began < 8
    if work == "shout":
        assert "the last words" in state.faults[0].seen
        assert len(state.faults[0].seen) < 500


def test_an_answer_may_be_so_large_and_no_larger() -> None:
    assert running.start("large", {"size": 60_000}).wait(SOON).result is not None
    state = running.start("large", {"size": 600_000}).wait(SOON)
    assert codes(state) == ["work-answer-too-large"]


def test_cancelling_ends_the_work_and_all_that_it_started() -> None:
    started = running.start("sleep", {})
    until(lambda: started.state().saying, "it never said a word")
    numbers = [int(word) for word in started.state().saying.split()]
    assert all(alive(number) for number in numbers)
    started.cancel()
    state = started.wait(SOON)
    assert (state.cancelled, state.ended, state.faults, state.result) == (True, True, (), None)
    until(lambda: not any(alive(number) for number in numbers), "somebody lives on")
    with pytest.raises(FairpullError, match="cancelled"):
        started.outcome()


def test_a_work_that_does_not_listen_is_ended_all_the_same() -> None:
    started = running.start("stubborn", {})
    until(lambda: started.state().saying, "it never said a word")
    began = time.monotonic()
    started.cancel()
    assert started.wait(SOON).cancelled
    assert time.monotonic() - began < running.GRACE + 2


def test_a_work_ended_by_the_system_says_so() -> None:
    started = running.start("sleep", {})
    until(lambda: started.state().saying, "it never said a word")
    os.kill(int(started.state().saying.split()[0]), signal.SIGKILL)
    assert codes(started.wait(SOON)) == ["work-ended-by-system"]


def test_the_work_goes_when_its_parent_is_killed() -> None:
    trial = Path(__file__).with_name("trial_child.py")
    program = (
        "import sys, time\n"
        "from fairpull.tasks.apart import running, usual\n"
        f"running.CHILD = ({str(trial)!r},)\n"
        "usual.LIMITS['sleep'] = usual.LIMITS['look']\n"
        "started = running.start('sleep', {})\n"
        "while not started.state().saying: time.sleep(0.02)\n"
        "print(started.state().saying, started._folder, flush=True)\n"
        "time.sleep(600)\n"
    )
    parent = subprocess.Popen([sys.executable, "-c", program], stdout=subprocess.PIPE, text=True)
    assert parent.stdout is not None
    with parent.stdout as said:
        first, second, folder = said.readline().split()
        parent.kill()
        parent.wait()
    until(lambda: not alive(int(first)) and not alive(int(second)), "the work outlived its parent")
    Path(folder).rmdir()  # a parent that is killed cannot tidy up: an empty folder stays


def test_only_works_that_there_are_can_be_started() -> None:
    with pytest.raises(UnknownName, match="no-such-work"):
        running.start("os.system", {})


def test_limits_cross_as_text() -> None:
    from fairpull.tasks.apart.limits import from_text

    assert from_text(SMALL.text()) == SMALL
    assert json.loads(SMALL.text())["cpu"] == 20
