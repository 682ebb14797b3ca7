"""How often are the health signs right? Run seeded faults and healthy pulls and write the table.

python -m simulations.health                         the full run, written to docs/health.md and docs/health.json
python -m simulations.health --pulls 40              40 faults a kind and 400 healthy pulls, printed only
python -m simulations.health --kinds misfire,knock   some kinds, printed only, with every miss
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from fairpull.terms.health import SIGN_KINDS, HealthReport
from simulations.health import page
from simulations.health.cases import HEALTHY, Case, faulty_case, healthy_case
from simulations.health.tally import Alarms, Found, run_faults, run_healthy

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "docs" / "health.md"
PULLS = 300  # faults a kind in the full run
HEALTHY_TIMES = 10  # healthy pulls, as a multiple of that
SEED = 97  # not one of those the detectors were looked at with while they were made


def look(case: Case) -> HealthReport:
    """The detectors, through their door."""
    from fairpull.health import look as door

    return door(
        case.pull,
        engine=case.engine,
        references=case.references,
        factor=case.factor,
        reference_factors=case.reference_factors,
    )


def measure_kind(kind: str, pulls: int, seed: int) -> Found:
    """Faults of one kind."""
    return run_faults(kind, ((n, faulty_case(kind, seed, n)) for n in range(pulls)), look)


def measure_healthy(pulls: int, seed: int, first: int = 0) -> Alarms:
    """Healthy pulls, from number ``first`` on."""
    return run_healthy(((n, healthy_case(seed, n)) for n in range(first, first + pulls)), look)


def joined(parts: Sequence[Alarms]) -> Alarms:
    """Tallies of healthy pulls made one."""
    whole = Alarms()
    for part in parts:
        whole.pulls += part.pulls
        whole.flagged += part.flagged
        whole.said.update(part.said)
        whole.texts += part.texts
        for mine, theirs in ((whole.sets, part.sets), (whole.machines, part.machines)):
            for name, (count, hits) in theirs.items():
                row = mine.setdefault(name, [0, 0])
                row[0] += count
                row[1] += hits
    return whole


def run(kinds: Sequence[str], pulls: int, seed: int, processes: int) -> tuple[list[Found], Alarms]:
    """Everything asked for, in the kinds' order."""
    healthy = HEALTHY_TIMES * pulls if HEALTHY in kinds else 0
    block = 200
    with ProcessPoolExecutor(processes) as pool:
        faults = [pool.submit(measure_kind, kind, pulls, seed) for kind in kinds if kind != HEALTHY]
        others = [pool.submit(measure_healthy, min(block, healthy - n), seed, n) for n in range(0, healthy, block)]
        return [job.result() for job in faults], joined([job.result() for job in others])


def main(arguments: Sequence[str] | None = None) -> int:
    """Run from the command line; 0 when the run went through, whatever it found."""
    parser = argparse.ArgumentParser(prog="python -m simulations.health", description=(__doc__ or "").splitlines()[0])
    parser.add_argument(
        "--pulls", type=int, default=PULLS, help="faults of each kind; healthy pulls are ten times as many"
    )
    parser.add_argument("--seed", type=int, default=SEED, help="seed of the run")
    parser.add_argument("--kinds", default="", help='kinds with commas, "healthy" among them; nothing: all')
    parser.add_argument("--processes", type=int, default=2, help="processes at once")
    parser.add_argument("--write", action="store_true", help="write the docs although this is not the full run")
    parser.add_argument("--misses", type=int, default=0, help="print so many misses of each kind and false alarms")
    options = parser.parse_args(arguments)
    kinds = options.kinds.split(",") if options.kinds else [*SIGN_KINDS, HEALTHY]
    started = time.perf_counter()
    found, alarms = run(kinds, options.pulls, options.seed, options.processes)
    taken = time.perf_counter() - started
    made = page.Run(
        f"python -m simulations.health --pulls {options.pulls} --seed {options.seed}", options.seed, options.pulls
    )
    full = not options.kinds and options.pulls == PULLS and options.seed == SEED
    if full or options.write:
        page.write(DOCS, made, found, alarms)
    print(page.table(made, found, alarms))
    for tally in found:
        print("\n".join(f"{tally.kind} {line}" for line in tally.missed[: options.misses]))
    print("\n".join(alarms.texts[: options.misses]))
    print(f"{taken:.1f} s", file=sys.stderr)
    return 0
