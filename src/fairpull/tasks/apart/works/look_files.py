"""The inner work of looking: reads files one after the other, and lays down each as soon as it has been looked at."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from fairpull.tasks.apart.telling import Tell


def work(given: Mapping[str, Any], tell: Tell) -> dict[str, Any]:
    """Look at files.

    Args:
        given: as for ``look``.
        tell: is told of each file.

    Returns:
        Nothing: every file is a line of the stay's ``found.jsonl``.
    """
    from fairpull.tasks.apart.works.look import FOUND
    from fairpull.tasks.bench.door import the_book
    from fairpull.tasks.bench.look_at_files import look_at_files
    from fairpull.tasks.bench.stay_files import as_data, from_data
    from fairpull.terms.offered import OfferedFile, Typed

    folder = Path(given["stay"])
    files = [Path(name) for name, _ in given["files"]]
    os.chdir(folder / "files")  # so that a file is told by its name alone, wherever it is told
    done = 0

    def told(one: OfferedFile) -> None:
        nonlocal done
        done += 1
        line = json.dumps(as_data(one), ensure_ascii=False, allow_nan=False)
        with (folder / FOUND).open("ab") as found:
            found.write(line.encode("utf-8", "replace") + b"\n")
        if done < len(files):
            tell(done, len(files), f"reading {files[done].name}")

    tell(0, len(files), f"reading {files[0].name}")
    with the_book(given["book"], read_only=True) as kept:
        look_at_files(kept, files, from_data(Typed, given["typed"]), dict(given["files"]), told)
    return {}
