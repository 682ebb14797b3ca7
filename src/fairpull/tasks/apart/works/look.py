"""The work that looks at the files of a stay, so that one bad file does not hide the others.

Reading runs in a further process: where a file ends that one (a log that swells when it is unpacked), the file is told
as refused, and reading goes on with the next.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from fairpull.tasks.apart.telling import Tell

FOUND = "found.jsonl"
LOOK_AGAIN = 0.2  # [s]


def work(given: Mapping[str, Any], tell: Tell) -> dict[str, Any]:
    """Look at files, and lay down what was recognised in the stay's folder.

    Args:
        given: "book" and "stay": folders; "typed": what a person typed; "files": name and the person's name of each.
        tell: is told of each file.

    Returns:
        "files": how many were looked at.
    """
    from dataclasses import replace

    from fairpull.tasks.bench.stay_files import from_data, write_look
    from fairpull.terms.offered import Look, OfferedFile, Typed

    folder = Path(given["stay"])
    names, called = [one[0] for one in given["files"]], dict(given["files"])
    found: dict[str, OfferedFile] = {}
    while waiting := [name for name in names if name not in found]:
        faults = _read(given, waiting, tell, len(names))
        for line in (folder / FOUND).read_text(encoding="utf-8").splitlines():
            one = from_data(OfferedFile, json.loads(line))
            found[one.name] = one
        (folder / FOUND).unlink()
        stuck = next((name for name in names if name not in found), "")
        if stuck:
            told = tuple(replace(fault, where=stuck) for fault in faults)
            size = (folder / "files" / stuck).stat().st_size
            found[stuck] = OfferedFile(stuck, called[stuck], size, faults=told)
    write_look(folder, Look(from_data(Typed, given["typed"]), tuple(found[name] for name in names)))
    return {"files": len(names)}


def _read(given: Mapping[str, Any], waiting: list[str], tell: Tell, total: int) -> tuple[Any, ...]:
    """Let a process read what is waiting; faults where it did not come to its end."""
    from fairpull.tasks.apart.running import start

    found = Path(given["stay"]) / FOUND
    found.touch()
    inner = start("look_files", {**given, "files": [one for one in given["files"] if one[0] in waiting]})
    before = total - len(waiting)
    try:
        while not (state := inner.wait(LOOK_AGAIN)).ended:
            if state.saying:
                tell(before + state.done, total, state.saying)
    finally:
        inner.cancel()
        inner.wait()
    return state.faults
