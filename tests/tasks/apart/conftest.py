"""Works that behave badly, run by the real machinery."""

from __future__ import annotations

from pathlib import Path

import pytest

from fairpull.tasks.apart import running, usual
from fairpull.tasks.apart.limits import GIB, Limits

TRIALS = ("echo", "refuse", "hoard", "spin", "sleep", "stubborn", "shout", "large", "write", "nan")
SMALL = Limits(memory=GIB // 2, cpu=20, wall=20.0, file=1 << 20, answer=1 << 16)


@pytest.fixture
def trials(monkeypatch: pytest.MonkeyPatch) -> None:
    """The works of ``trial_child`` may be started."""
    monkeypatch.setattr(running, "CHILD", (str(Path(__file__).with_name("trial_child.py")),))
    for name in TRIALS:
        monkeypatch.setitem(usual.LIMITS, name, SMALL)
