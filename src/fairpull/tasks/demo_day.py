"""The demo: raw logs of the invented scenario, judged like anybody's."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from fairpull import demo
from fairpull.tasks.compare_files import compare_files
from fairpull.tasks.request import CompareRequest
from fairpull.terms.comparison import Comparison


@dataclass(frozen=True, slots=True)
class DemoResult:
    """The folder of raw logs, and what comparing header against log manifold gave."""

    folder: Path
    comparison: Comparison


def run_demo(folder: Path, seed: int) -> DemoResult:
    """Write the raw logs and compare tube header against log manifold, A-B-A.

    Args:
        folder: where the logs go; made if missing.
        seed: of the logs.

    Returns:
        The folder and the comparison.
    """
    day = demo.write_day(folder, seed)
    groups = [f"{name}={day.groups[name]}" for name in ("anvil-log", "anvil-header")]
    request = CompareRequest(question_file=day.question, engine_files={"": day.engines["anvil"]})
    return DemoResult(folder, compare_files(groups, request))
