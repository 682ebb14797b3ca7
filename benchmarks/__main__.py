"""Measure and print.

python -m benchmarks                  the usual run, about a minute
python -m benchmarks --repeats 5      fewer repeats
python -m benchmarks --long           also the ten-minute log (needs 0.4 GB of disk and 2 GB of memory)
"""

from __future__ import annotations

import argparse
import tempfile
from collections.abc import Sequence
from pathlib import Path

from benchmarks import measurements
from benchmarks.table import machine, table

REPEATS = 15
LONG_REPEATS = 5


def main(argv: Sequence[str] | None = None) -> int:
    """Measure and print the table.

    Args:
        argv: words after the program's name; None takes the process's own.

    Returns:
        0: a missed target is told, not an error.
    """
    parser = argparse.ArgumentParser(prog="python -m benchmarks", description="Speed as ratios in one run.")
    parser.add_argument("--repeats", type=int, default=REPEATS, help="pairs of each measurement (default %(default)s)")
    parser.add_argument("--long", action="store_true", help="also a ten-minute log: 0.4 GB of disk, 2 GB of memory")
    asked = parser.parse_args(argv)
    about = machine()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        results = [
            measurements.help_page(asked.repeats),
            measurements.air(asked.repeats),
            measurements.one_log(folder, 4 * asked.repeats),
            measurements.two_groups(folder, asked.repeats),
        ]
        if asked.long:
            results += measurements.long_log(folder, LONG_REPEATS)
    print(table(results, about))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
