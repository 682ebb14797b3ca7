"""The work that takes the files of a stay into the book, as they were looked at."""

from __future__ import annotations

import os
import shutil
from collections.abc import Mapping
from pathlib import Path
from typing import Any
from urllib.parse import quote

from fairpull.tasks.apart.telling import Tell


def work(given: Mapping[str, Any], tell: Tell) -> dict[str, Any]:
    """Take files in: all of them, or none.

    Args:
        given: as for ``look``.
        tell: is told of each file.

    Returns:
        "kept": names of the new pulls; "then": page to go on to.
    """
    from fairpull.tasks.bench.door import the_book
    from fairpull.tasks.bench.keep_files import keep_files
    from fairpull.tasks.bench.stay_files import from_data, write_outcome
    from fairpull.terms.offered import Typed

    def told(path: Path, number: int, total: int) -> None:
        tell(number - 1, total, f"taking in {path.name}")

    folder = Path(given["stay"])
    os.chdir(folder / "files")  # so that a file is told, and kept, by its name alone
    with the_book(given["book"]) as kept:
        outcome = keep_files(kept, [Path(name) for name, _ in given["files"]], from_data(Typed, given["typed"]), told)
    write_outcome(folder, outcome)
    os.chdir(folder)
    shutil.rmtree(folder / "files", ignore_errors=True)
    then = "" if len(outcome.kept) != 1 else f"/pulls/{quote(outcome.kept[0], safe='')}"
    return {"kept": list(outcome.kept), "then": then or ("/today" if outcome.kept else "")}
