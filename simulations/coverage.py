"""How often is `compare` right? Run seeded days of every case and write the table.

    python -m simulations.coverage                             the full run: every case, 2,000 days each
    python -m simulations.coverage --days 50 --cases quick     a short look, printed only
    python -m simulations.coverage --cases 'order-*-step'      some cases, printed only

Results are kept case by case under simulations/results/; a run that was cut off goes on where it stopped,
and a case is run again only when its definition, the seed, the number of days or the code under test has
changed.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict
from pathlib import Path

from simulations import page
from simulations.cases import Case, chosen
from simulations.tally import Room, Totals, falls_short, run_days

ROOT = Path(__file__).resolve().parents[1]
RESULTS = ROOT / "simulations" / "results"
BLOCK = 50  # days handed to a process at a time
JUDGED_CODE = ("src/fairpull/compare",)  # its files, not its folders: ledger, fair views and purpose judge nothing
DAY_CODE = ("simulations/errors.py", "simulations/days.py", "simulations/tally.py")


def code_mark() -> str:
    """Short hash of the code that decides the numbers: the room under test and the generators."""
    digest = hashlib.sha256()
    for place in (*JUDGED_CODE, *DAY_CODE):
        path = ROOT / place
        for file in sorted(path.glob("*.py")) if path.is_dir() else [path]:
            digest.update(file.relative_to(ROOT).as_posix().encode())
            digest.update(file.read_bytes())
    return digest.hexdigest()[:10]


def run_block(case: Case, seed: int, first: int, count: int) -> Totals:
    """Run some days of a case in this process, with the compare that is installed."""
    from fairpull.compare import compare, glance

    started = time.perf_counter()
    totals = run_days(Room(glance, compare), case, seed, range(first, first + count))
    totals.seconds = time.perf_counter() - started
    return totals


def _key(case: Case, seed: int, days: int, mark: str) -> dict[str, object]:
    """What a kept result must have been made from to be used again."""
    return {"case": asdict(case), "seed": seed, "days": days, "code": mark}


def kept(path: Path, key: dict[str, object]) -> Totals | None:
    """A result from an earlier run, if it was made from exactly this."""
    if not path.is_file():
        return None
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
    except json.JSONDecodeError:  # cut off while it was written
        return None
    if found.get("key") != json.loads(json.dumps(key)):
        return None
    return Totals(**found["totals"])


def run_cases(
    cases: Sequence[Case], seed: int, days: int, processes: int, tell: Callable[[str], None]
) -> Iterator[tuple[Case, Totals]]:
    """Run every case, or take its kept result.

    Args:
        cases: which.
        seed: of the run.
        days: of each case.
        processes: how many at once.
        tell: takes one line of progress.

    Yields:
        Each case with its totals.
    """
    mark = code_mark()
    RESULTS.mkdir(exist_ok=True)
    block = min(BLOCK, -(-days // processes))
    with ProcessPoolExecutor(processes) as pool:
        found = [kept(RESULTS / f"{case.name}.json", _key(case, seed, days, mark)) for case in cases]
        jobs = [
            [pool.submit(run_block, case, seed, s, min(block, days - s)) for s in range(0, days, block)]
            if totals is None
            else []
            for case, totals in zip(cases, found, strict=True)
        ]
        for number, (case, old, work) in enumerate(zip(cases, found, jobs, strict=True), start=1):
            totals = old or Totals()
            for job in work:
                totals.add(job.result())
            if work:
                text = json.dumps({"key": _key(case, seed, days, mark), "totals": asdict(totals)}, indent=1)
                (RESULTS / f"{case.name}.json").write_text(text + "\n", encoding="utf-8")
            short = "; ".join(falls_short(case, totals)) or "as promised"
            each = 1000.0 * totals.seconds / totals.days
            tell(f"{number}/{len(cases)} {case.name}: {short} ({each:.1f} ms a day)")
            yield case, totals


def main(arguments: Sequence[str] | None = None) -> int:
    """Run from the command line; 0 when the run went through, whatever it found."""
    parser = argparse.ArgumentParser(prog="python -m simulations.coverage", description=__doc__.splitlines()[0])
    parser.add_argument("--cases", default="full", help='"full", "quick", or names and patterns with commas')
    parser.add_argument("--days", type=int, default=2000, help="seeded days of each case")
    parser.add_argument("--seed", type=int, default=20, help="seed of the run")
    parser.add_argument("--processes", type=int, default=2, help="processes at once")
    parser.add_argument("--page", type=Path, default=None, help="where the table goes; the full run: docs/coverage.md")
    options = parser.parse_args(arguments)
    cases = chosen(options.cases)
    run = page.Run(
        command=f"python -m simulations.coverage --cases {options.cases} --days {options.days} --seed {options.seed}",
        seed=options.seed,
        days=options.days,
        code=code_mark(),
    )
    rows = list(
        run_cases(cases, options.seed, options.days, options.processes, lambda line: print(line, file=sys.stderr))
    )
    text = page.markdown(run, rows)
    target = options.page or (ROOT / "docs" / "coverage.md" if options.cases == "full" else None)
    if target is None:
        print(text)
    else:
        target.write_text(text, encoding="utf-8")
        target.with_suffix(".json").write_text(page.as_json(run, rows), encoding="utf-8")
        print(f"written: {target} and {target.with_suffix('.json').name}", file=sys.stderr)
    return 0


if __name__ == "__main__":
    sys.exit(main())
