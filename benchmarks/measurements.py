"""What is measured, against what, and how fast it has to be."""

from __future__ import annotations

import sys
from itertools import cycle
from pathlib import Path

import polars as pl

import fairpull
from benchmarks import logs, pairs
from benchmarks.pairs import Outcome

PULLS = 5
OTHERS = 20  # more logs than fairpull remembers layouts
IMPORTS_ONLY = "import numpy, scipy, polars, sys; [polars.read_csv(path) for path in sys.argv[1:]]"
READ_WITH_POLARS = "import polars; read = polars.read_csv"
READ_WITH_FAIRPULL = "import fairpull, fairpull.logs.door, fairpull.logs.formats.delimited; read = fairpull.read"
AIR = ("air", "--pressure", "29.62inHg", "--temperature", "68degF", "--humidity", "56%")


def python(code: str, *words: str) -> list[str]:
    """A command that runs some Python."""
    return [sys.executable, "-c", code, *words]


def command(*words: str) -> list[str]:
    """A command of fairpull as a person starts it: by its script, where it is installed."""
    script = Path(sys.executable).with_name("fairpull")
    return [str(script), *words] if script.exists() else [sys.executable, "-m", "fairpull", *words]


def help_page(repeats: int) -> Outcome:
    """The help page appears."""
    turns = pairs.in_turn(pairs.process(command("--help")), pairs.process(python("import numpy")), repeats)
    return pairs.outcome("fairpull --help", "import numpy", 2.0, turns)


def air(repeats: int) -> Outcome:
    """An air with all its factors."""
    turns = pairs.in_turn(pairs.process(command(*AIR)), pairs.process(python("import numpy, pint")), repeats)
    return pairs.outcome("fairpull air", "import numpy, pint", 2.0, turns)


def one_log(folder: Path, repeats: int) -> Outcome:
    """One sweep is read, in this process; another one each time, so that nothing is remembered of its layout."""
    paths = [logs.write(folder / f"one-{number}.csv", logs.SWEEP, seed=number) for number in range(OTHERS)]
    ours, theirs = cycle(paths), cycle(paths)
    turns = pairs.in_turn(
        pairs.call(lambda: fairpull.read(next(ours))), pairs.call(lambda: pl.read_csv(next(theirs))), repeats
    )
    return pairs.outcome(f"read {logs.SWEEP.label}", "polars reads it", 3.0, turns)


def two_groups(folder: Path, repeats: int) -> Outcome:
    """Ten sweeps are compared, from files to JSON."""
    groups = logs.write_groups(folder, logs.SWEEP, PULLS)
    files = [str(path) for group in groups for path in sorted(group.iterdir())]
    ours = pairs.process(command("compare", *(str(group) for group in groups), "--json"))
    turns = pairs.in_turn(ours, pairs.process(python(IMPORTS_ONLY, *files)), repeats)
    against = "import numpy, scipy, polars and read them"
    return pairs.outcome(f"compare 2 groups of {PULLS} such logs", against, 2.0, turns)


def long_log(folder: Path, repeats: int) -> list[Outcome]:
    """A long wide log is read, in processes of their own so that their memory can be told."""
    path = logs.write(folder / "long.csv", logs.LONG, seed=1)
    try:
        ours, theirs = (
            pairs.told(python(pairs.telling(how), str(path))) for how in (READ_WITH_FAIRPULL, READ_WITH_POLARS)
        )
        turns = pairs.in_turn(ours, theirs, repeats)
    finally:
        path.unlink()
    table = logs.LONG.rows * logs.LONG.channels * 8
    what = f"read {logs.LONG.label}"
    memory = tuple(own.memory / table for own, _ in turns)
    return [
        pairs.outcome(what, "polars reads it", 1.5, turns),
        Outcome("its highest memory", "the table as float64", memory, 4.0),
    ]
