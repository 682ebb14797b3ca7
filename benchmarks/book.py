"""Measure a bench book of many pulls and print.

python -m benchmarks.book                  a book of 10,000 pulls: 1.5 GB of disk, some minutes
python -m benchmarks.book --pulls 1000     a smaller one
"""

from __future__ import annotations

import argparse
import tempfile
from collections.abc import Sequence
from itertools import count
from pathlib import Path
from statistics import median

from benchmarks import book_maker, pairs
from benchmarks.measurements import command
from benchmarks.pairs import Cost, Job, Outcome
from benchmarks.table import machine, table

PULLS = 10_000
FEW = 100
REPEATS = 9
TWO = "boost > 0.3 bar and peak power > 150 hp"
CHANNEL = "lambda > 0.95 past 5000 rpm"
FAST, SCAN, SLOWER = 0.3, 3.0, 1.2


def beyond(what: str, where: str, many: Path, few: Path, seconds: float, repeats: int) -> Outcome:
    """The command that lists pulls of a large book, against the same command on a book of next to none.

    Processor times are compared: on a machine that does nothing else they are what the clock shows, or more where two
    threads work, and on a busy one they stay the same.

    Args:
        what: for people.
        where: the search; "" for all pulls.
        many, few: folders of the books.
        seconds: what it may take beyond start-up.
        repeats: pairs.

    Returns:
        The line; its target is the ratio at which the time beyond start-up is what it may be.
    """
    words = ("--where", where) if where else ()
    ours = pairs.process(command("pulls", "--book", str(many), *words))
    turns = pairs.in_turn(ours, pairs.process(command("pulls", "--book", str(few))), repeats)
    own, startup = (median(cost.processor for cost in side) for side in zip(*turns, strict=True))
    ratios = tuple(one.processor / other.processor for one, other in turns)
    against = "the same on a book of one pull, processor time"
    return Outcome(what, against, ratios, round(1.0 + seconds / startup, 2), seconds=(own, startup))


def searches(many: Path, one: Path, repeats: int) -> list[Outcome]:
    """Listing and searches by the command, printed in full, each in a process of its own."""
    return [
        beyond("list all pulls", "", many, one, FAST, repeats),
        beyond("search with two conditions", TWO, many, one, FAST, repeats),
        beyond("search in a channel of all traces", CHANNEL, many, one, SCAN, repeats),
    ]


def taking(many: Path, few: Path, rows: int, logs: Path, repeats: int) -> Outcome:
    """One pull is taken in, into the book of many and into the book of few, by turns, each book opened anew."""
    numbers = count(10_000_000)

    def into(folder: Path) -> Job:
        from fairpull.book import open_book

        def run() -> Cost:
            new, files = book_maker.one_more(next(numbers), logs, rows)

            def take() -> None:
                with open_book(folder) as book:
                    book.take([new], files)

            return pairs.call(take)()

        return run

    turns = pairs.in_turn(into(many), into(few), repeats)
    return pairs.outcome("take in one pull", f"into a book of {FEW}", SLOWER, turns)


def main(argv: Sequence[str] | None = None) -> int:
    """Make the books, measure and print the table.

    Args:
        argv: words after the program's name; None takes the process's own.

    Returns:
        0: a missed target is told, not an error.
    """
    parser = argparse.ArgumentParser(prog="python -m benchmarks.book", description="A book of many pulls, as ratios.")
    parser.add_argument("--pulls", type=int, default=PULLS, help="pulls of the book (default %(default)s)")
    parser.add_argument("--repeats", type=int, default=REPEATS, help="pairs of each measurement (default %(default)s)")
    asked = parser.parse_args(argv)
    about = machine()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        shape = book_maker.Shape(asked.pulls)
        book_maker.make(folder / "many", shape).close()
        book_maker.make(folder / "few", book_maker.Shape(min(FEW, asked.pulls))).close()
        book_maker.make(folder / "one", book_maker.Shape(1)).close()
        results = searches(folder / "many", folder / "one", asked.repeats)
        results.append(taking(folder / "many", folder / "few", shape.rows, folder, 4 * asked.repeats))
    print(f"A book of {asked.pulls} pulls of {shape.rows} rows.")
    print(table(results, about))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
