"""The process of a work, with a few more works that behave badly."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from fairpull.tasks.apart import child, named, telling
from fairpull.terms.errors import Fault, ReadRefused


def echo(given: Mapping[str, Any], tell: telling.Tell) -> dict[str, Any]:
    print("a library prints what it likes")  # noqa: T201
    for n in range(4):
        tell(n, 4, f"step {n}")
        time.sleep(given.get("pause", 0.0))
    return {"given": dict(given), "where": str(Path.cwd()), "core": _limit("RLIMIT_CORE")}


def _limit(kind: str) -> int:
    import resource

    return resource.getrlimit(getattr(resource, kind))[0]


def refuse(given: Mapping[str, Any], tell: telling.Tell) -> dict[str, Any]:
    raise ReadRefused([Fault("a", "here", "this", "do that"), Fault("b", "there", "\ud800", "do the other")])


def hoard(given: Mapping[str, Any], tell: telling.Tell) -> dict[str, Any]:
    return {"size": len([bytearray(1 << 20) for _ in range(1 << 16)])}


def spin(given: Mapping[str, Any], tell: telling.Tell) -> dict[str, Any]:
    while True:
        pass


def sleep(given: Mapping[str, Any], tell: telling.Tell) -> dict[str, Any]:
    helper = subprocess.Popen(["sleep", "600"])
    tell(1, 2, f"{os.getpid()} {helper.pid}")
    time.sleep(600)
    return {}


def stubborn(given: Mapping[str, Any], tell: telling.Tell) -> dict[str, Any]:
    tell(1, 2, "ready")
    while True:
        try:
            time.sleep(600)
        except KeyboardInterrupt:
            continue


def shout(given: Mapping[str, Any], tell: telling.Tell) -> dict[str, Any]:
    sys.stderr.write("x" * 5_000_000 + "the last words\n")
    sys.stderr.flush()
    os._exit(7)


def large(given: Mapping[str, Any], tell: telling.Tell) -> dict[str, Any]:
    return {"text": "x" * given["size"]}


def write(given: Mapping[str, Any], tell: telling.Tell) -> dict[str, Any]:
    Path("large").write_bytes(b"x" * (1 << 22))
    return {}


def nan(given: Mapping[str, Any], tell: telling.Tell) -> dict[str, Any]:
    return {"value": float("nan")}


TRIALS: dict[str, telling.Work] = {
    one.__name__: one for one in (echo, refuse, hoard, spin, sleep, stubborn, shout, large, write, nan)
}


def trial_named(name: str) -> telling.Work:
    return TRIALS[name]


if __name__ == "__main__":
    named.work_named = trial_named
    sys.exit(child.main(sys.argv[1:]))
