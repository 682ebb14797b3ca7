"""What tests of the tasks share: comparisons of the invented day, and the demo's book, made once."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from fairpull.tasks.compare_files import compare_files
from fairpull.tasks.demo_day import DemoResult
from fairpull.tasks.request import CompareRequest
from fairpull.terms.comparison import Comparison

BAND = (1800.0, 4600.0)


@pytest.fixture(scope="session")
def judge(demo_day: Path) -> Callable[..., Comparison]:
    """Compare groups of the demo day: names of folders, or NN for the log of pull NN, with NAME= before it or not."""

    def place(word: str) -> str:
        name, mark, what = word.rpartition("=")
        found = next(demo_day.glob(f"*/{what}-*")) if what.isdigit() else demo_day / what
        return f"{name}{mark}{found}"

    def run(*groups: str, **request: Any) -> Comparison:
        return compare_files([place(group) for group in groups], CompareRequest(**request))

    return run


@pytest.fixture(scope="session")
def header(judge: Callable[..., Comparison], demo_day: Path) -> Comparison:
    """Tube header against log manifold, log-header-log in one day, with the engine file and the declared question."""
    return judge(
        "anvil-log",
        "anvil-header",
        question_file=demo_day / "question.toml",
        engine_files={"": demo_day / "engine-anvil.toml"},
    )


@pytest.fixture(scope="session")
def demo_result(demo_in_files: DemoResult) -> DemoResult:
    """The demo's result; tests of the bench have it on each store."""
    return demo_in_files
