"""The demo: two days of raw logs of the invented shop, taken into a book of their own and judged like anybody's."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from fairpull import demo
from fairpull.tasks.bench.compare_builds import compare_builds
from fairpull.tasks.bench.day_sheet import take_day
from fairpull.tasks.bench.door import new_book
from fairpull.tasks.bench.purpose_of import purpose_of
from fairpull.tasks.bench.sheet_files import keep_sheets, read_sheets
from fairpull.tasks.progress import Progress, silent
from fairpull.terms.bench import KeptPull
from fairpull.terms.errors import BookRefused, Fault
from fairpull.terms.ledger import FairComparison
from fairpull.terms.purpose import Scores

if TYPE_CHECKING:
    from fairpull.book import Book

PAIRS = (
    ("anvil-log", "anvil-header"),
    ("anvil-log", "anvil-log-spark"),
    ("anvil-log", "anvil-log-jets"),
    ("anvil-header", "anvil-cam-b"),
    ("wren-plain", "wren-centrifugal"),
    ("wren-centrifugal", "wren-screw"),
)
"""The questions of the two days, main one first."""
DUTY = "hut-carrier"
SEED = "demo seed"


@dataclass(frozen=True, slots=True)
class DemoResult:
    """What the demo made.

    Attributes:
        folder: of the raw logs; book: of the bench book.
        pulls: every pull with its health, in running order.
        verdicts: one for each of ``PAIRS``.
        scores: of the builds on the shop's duty.
    """

    folder: Path
    book: Path
    pulls: tuple[KeptPull, ...]
    verdicts: tuple[FairComparison, ...]
    scores: Scores

    @property
    def header(self) -> FairComparison:
        """The main verdict: tube header against log manifold."""
        return self.verdicts[0]


def run_demo(folder: Path, seed: int, progress: Progress = silent) -> DemoResult:
    """Write the raw logs, take them into a book in the day sheet's order, and answer the questions of the two days.

    Run again in the same folder with the same seed, it finds every pull kept already and judges again.

    Args:
        folder: where the logs and the book go; made if missing.
        seed: of the logs.
        progress: is told of each log.

    Returns:
        What was made.

    Raises:
        BookRefused: the folder holds the demo's book of another seed.
    """
    day = demo.write_day(folder, seed)
    with _book(folder / "book", seed) as kept:
        keep_sheets(kept, read_sheets([day.sheets]))
        take_day(kept, day.day_sheet, progress=progress)
        verdicts = tuple(compare_builds(kept, pair) for pair in PAIRS)
        return DemoResult(folder, kept.folder, kept.pulls(full=True), verdicts, purpose_of(kept, DUTY))


def _book(folder: Path, seed: int) -> Book:
    from fairpull import book

    if not folder.exists():
        kept = new_book(folder)
        kept.set(SEED, str(seed))
        return kept
    kept = book.open_book(folder)
    said = kept.settings().get(SEED)
    if said != str(seed):
        kept.close()
        seen = f"it holds the demo of seed {said}" if said else "it is no book of the demo"
        remedy = "name another folder for another seed"
        raise BookRefused(Fault("demo-book", str(folder), seen, remedy))
    return kept
