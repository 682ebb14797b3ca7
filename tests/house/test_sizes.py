"""Small files, short functions, names that say what a file holds."""

from __future__ import annotations

import ast
from pathlib import Path
from statistics import median

import pytest

from tests.house.tree import PACKAGE, ROOT, Function, excuses, functions, label, parsed, python_files

CODE_CEILING = 500
TEST_CEILING = 800
MEDIAN_CEILING = 160
FUNCTION_CEILING = 50
HOLDALLS = {"utils", "util", "helpers", "helper", "misc", "common", "tools", "lib"}

CODE = python_files(PACKAGE)
OTHER = [path for folder in ("tests", "tools", "benchmarks", "simulations") for path in python_files(ROOT / folder)]


def line_count(path: Path) -> int:
    return len(path.read_text("utf-8").splitlines())


def function_lines(node: Function) -> int:
    """Lines from `def` to the end, the docstring and lines that hold functions of its own not counted."""
    total = (node.end_lineno or node.lineno) - node.lineno + 1
    first = node.body[0]
    if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant) and isinstance(first.value.value, str):
        total -= (first.end_lineno or first.lineno) - first.lineno + 1
    return total


def overgrown(measured: dict[str, int], ceiling: int, written: dict[str, dict[str, object]]) -> list[str]:
    """What stands above the ceiling without an excuse, grew past its excuse, or is excused for nothing."""
    faults = []
    for name, lines in measured.items():
        excuse = written.get(name)
        if lines > ceiling and excuse is None:
            faults.append(f"{name}: {lines} lines, ceiling {ceiling}")
        elif excuse is not None and lines > int(str(excuse["lines"])):
            faults.append(f"{name}: {lines} lines, grew past its excuse of {excuse['lines']}")
        elif excuse is not None and lines <= ceiling:
            faults.append(f"{name}: {lines} lines needs no excuse any more, take it off the list")
    faults += [f"{name}: excused but gone" for name in written if name not in measured]
    faults += [f"{name}: an excuse without a reason" for name, excuse in written.items() if not excuse.get("why")]
    return faults


def test_no_code_file_is_over_its_ceiling() -> None:
    lines = {label(path): line_count(path) for path in CODE}
    faults = overgrown(lines, CODE_CEILING, excuses()["long-files"])
    assert not faults, "\n".join(faults)


def test_no_test_or_tool_file_is_over_its_ceiling() -> None:
    lines = {label(path): line_count(path) for path in OTHER}
    faults = overgrown(lines, TEST_CEILING, {})
    assert not faults, "\n".join(faults)


def test_the_median_code_file_is_small() -> None:
    lines = [line_count(path) for path in CODE if path.name != "__init__.py"]
    assert median(lines) <= MEDIAN_CEILING


def test_no_function_is_long_without_a_written_excuse() -> None:
    lines = {f"{label(path)}::{name}": function_lines(node) for path in CODE + OTHER for name, node in functions(path)}
    faults = overgrown(lines, FUNCTION_CEILING, excuses()["long-functions"])
    assert not faults, "\n".join(faults)


def test_no_file_is_a_holdall() -> None:
    holdalls = [label(path) for path in CODE + OTHER if path.stem in HOLDALLS]
    assert not holdalls, "\n".join(holdalls)


def test_init_files_only_hand_names_on() -> None:
    """No classes, no loops: imports, __all__, a docstring, and plain functions that import inside."""
    allowed = (ast.Import, ast.ImportFrom, ast.Expr, ast.Assign, ast.AnnAssign, ast.FunctionDef, ast.If)
    written = excuses()["init-files"]
    found = {
        label(path)
        for path in CODE
        if path.name == "__init__.py" and any(not isinstance(node, allowed) for node in parsed(path).body)
    }
    assert found == set(written), "on the list without need, or doing more than handing names on"


@pytest.mark.parametrize(
    ("lines", "written", "word"),
    [
        ({"f": 60}, {}, "ceiling 50"),
        ({"f": 70}, {"f": {"lines": 60, "why": "a table"}}, "grew"),
        ({"f": 40}, {"f": {"lines": 60, "why": "a table"}}, "no excuse any more"),
        ({}, {"f": {"lines": 60, "why": "a table"}}, "gone"),
        ({"f": 60}, {"f": {"lines": 60}}, "without a reason"),
    ],
)
def test_the_rule_itself_bites(lines: dict[str, int], written: dict[str, dict[str, object]], word: str) -> None:
    (fault,) = overgrown(lines, 50, written)
    assert word in fault
