"""Offered files are taken into the book with what a person typed about them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from fairpull.tasks.bench.offered_orders import is_paper, order_of
from fairpull.tasks.bench.stay_files import Outcome
from fairpull.tasks.bench.take import Order, take_batch
from fairpull.tasks.progress import Progress, silent
from fairpull.terms.errors import Fault, ReadRefused
from fairpull.terms.offered import Typed

if TYPE_CHECKING:
    from fairpull.book import Book


def keep_files(kept: Book, files: Sequence[Path], typed: Typed, progress: Progress = silent) -> Outcome:
    """Take offered files into the book: all of them, or none.

    Args:
        kept: the book.
        files: logs, and papers beside them, which are left alone.
        typed: what a person typed about them.
        progress: is told of each file before it is read.

    Returns:
        What was kept, and what was there before.

    Raises:
        FairpullError: what was typed cannot be, or files cannot be read; all faults at once, and nothing is kept.
    """
    orders: list[Order] = []
    faults: list[Fault] = []
    for path in files:
        if is_paper(path):
            continue
        order, wrong = order_of(path, typed)
        orders.append(order)
        faults += wrong
    if not orders:
        seen = f"no log among {', '.join(path.name for path in files)}"
        raise ReadRefused(Fault("nothing-to-take", "take", seen, "choose log files"))
    reports = take_batch(kept, orders, progress, faults=faults)
    names = tuple(line.name for report in reports for line in report.kept)
    already = {
        path: found
        for report in reports
        for path, found in report.already.items()
        if not set(found) & set(names)  # the same bytes twice in one go are no news
    }
    return Outcome(names, already)
