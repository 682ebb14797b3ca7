"""Which libraries a room may see, at module level and inside functions; and what a bare import loads."""

from __future__ import annotations

import ast
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from tests.house.tree import PACKAGE, label, parsed, python_files

HEAVY = {
    "polars",
    "pyarrow",
    "fastexcel",
    "scipy",
    "pint",
    "altair",
    "vl_convert",
    "pydantic",
    "typer",
    "rich",
}
HEAVY |= {"fastapi", "starlette", "uvicorn", "argon2", "js_lib_htmx"}
HEAVY |= {"sqlalchemy", "alembic", "psycopg", "pandas", "asammdf", "jsonschema", "jinja2", "numba"}


@dataclass(frozen=True)
class Allowed:
    """Libraries outside the standard library: at the top of a module, and inside functions."""

    top: set[str]
    inside: set[str] = field(default_factory=set)


ROOMS = {
    "": Allowed(set()),  # fairpull/__init__.py and __main__.py
    "terms": Allowed({"numpy"}, {"pint"}),  # pint in units.py, for what its table does not hold
    "air": Allowed({"numpy"}, {"scipy"}),
    "engine": Allowed({"numpy"}, {"scipy", "pydantic", "tomli_w"}),
    "logs": Allowed({"numpy"}, {"polars", "pyarrow", "fastexcel", "pydantic", "asammdf", "scipy"}),
    "pulls": Allowed({"numpy"}, {"scipy"}),
    "compare": Allowed({"numpy"}, {"scipy"}),
    "health": Allowed({"numpy"}, {"scipy"}),
    "tune": Allowed({"numpy"}, {"scipy"}),
    "book": Allowed({"numpy"}, {"sqlalchemy", "alembic", "psycopg", "polars", "pyarrow", "tomli_w"}),
    "demo": Allowed({"numpy"}, {"scipy", "polars", "pyarrow", "openpyxl", "xlsxwriter"}),
    "show": Allowed({"numpy"}, {"altair", "vl_convert", "rich", "polars"}),
    "tasks": Allowed({"numpy"}, {"scipy", "polars", "pydantic", "tomli_w"}),
    "web": Allowed({"fastapi", "starlette", "jinja2", "markupsafe"}, {"vl_convert"}),
    "cli": Allowed({"typer", "rich"}, {"rich"}),
}
# Files that are loaded only when they are needed may hold their library at the top; the first that fits counts.
LATE = {
    "logs/formats/mdf.py": Allowed({"numpy"}, {"asammdf", "isal"}),
    "logs/formats/*.py": Allowed({"numpy", "polars", "pyarrow", "fastexcel"}, {"pyarrow", "fastexcel"}),
    "logs/cells.py": Allowed({"numpy", "polars"}),
    "logs/messy.py": Allowed({"numpy", "polars"}),
    "logs/conditions_model.py": Allowed({"pydantic"}),
    "engine/*_f*.py": Allowed({"numpy", "pydantic", "pydantic_core"}),  # forms and files
    "engine/form_types.py": Allowed({"pydantic", "pydantic_core"}),
    "engine/sheet_*.py": Allowed({"numpy", "pydantic", "pydantic_core"}, {"tomli_w"}),
    "engine/parts/*.py": Allowed({"numpy", "pydantic", "pydantic_core"}),
    "book/migrations/*.py": Allowed({"sqlalchemy", "alembic"}),
    "book/search/*.py": Allowed({"numpy", "sqlalchemy"}, {"polars", "pyarrow"}),
    "book/*.py": Allowed({"numpy", "sqlalchemy"}, {"alembic", "psycopg", "polars", "pyarrow", "tomli_w"}),
    "show/chart*.py": Allowed({"numpy", "altair"}, {"vl_convert"}),
    "tasks/shop/*.py": Allowed(set(), {"argon2", "tomli_w"}),
    "web/static_files.py": Allowed({"fastapi", "js_lib_htmx"}, {"vl_convert"}),
    "web/guard/server.py": Allowed({"fastapi", "starlette", "uvicorn"}),
}


def imported(tree: ast.Module) -> list[tuple[str, int, bool]]:
    """(library, line, at module level) of every import outside the standard library and fairpull itself.

    Imports that only type checkers follow count too: a word needed elsewhere belongs in `terms`.
    """
    inside = {
        id(node)
        for function in ast.walk(tree)
        if isinstance(function, ast.FunctionDef | ast.AsyncFunctionDef)
        for node in ast.walk(function)
    }
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
            names = [node.module]
        else:
            continue
        libraries = {name.split(".")[0] for name in names} - sys.stdlib_module_names - {"fairpull"}
        found += [(library, node.lineno, id(node) not in inside) for library in sorted(libraries)]
    return found


def type_only(tree: ast.Module) -> set[int]:
    """Lines under `if TYPE_CHECKING:`, which no running program reaches."""
    lines: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.If) and ast.unparse(node.test).endswith("TYPE_CHECKING"):
            lines |= {line for child in node.body for line in range(child.lineno, (child.end_lineno or 0) + 1)}
    return lines


def trespasses(tree: ast.Module, allowed: Allowed) -> list[str]:
    """Imports of one file that its room does not allow."""
    never_run = type_only(tree)
    faults = []
    for library, line, top in imported(tree):
        lazy = not top or line in never_run
        if library not in (allowed.top | allowed.inside if lazy else allowed.top):
            faults.append(f"{line}: {library} {'inside a function' if lazy else 'at module level'}")
    return faults


def room_of(path: Path) -> str:
    parts = path.relative_to(PACKAGE).parts
    return parts[0] if len(parts) > 1 else ""


def rules_for(path: Path) -> Allowed:
    inner = path.relative_to(PACKAGE)
    late = (allowed for pattern, allowed in LATE.items() if path.name != "__init__.py" and inner.match(pattern))
    return next(late, ROOMS[room_of(path)])


def test_every_room_has_its_list() -> None:
    assert {room_of(path) for path in python_files(PACKAGE)} == set(ROOMS)


def test_rooms_see_only_the_libraries_on_their_list() -> None:
    faults = [
        f"{label(path)}:{fault}"
        for path in python_files(PACKAGE)
        for fault in trespasses(parsed(path), rules_for(path))
    ]
    assert not faults, "\n".join(faults)


@pytest.mark.parametrize(
    ("text", "faults"),
    [
        ("import numpy as np\nimport math\n", 0),
        ("import scipy.linalg\n", 1),
        ("from scipy import linalg\n", 1),
        ("def late():\n    from scipy import linalg\n", 0),
        ("def late():\n    import polars\n", 1),
        ("from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    import scipy\n", 0),
        ("from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    import polars\n", 1),
    ],
)
def test_the_list_itself_bites(text: str, faults: int) -> None:
    assert len(trespasses(ast.parse(text), Allowed({"numpy"}, {"scipy"}))) == faults


def loaded_by(statement: str) -> set[str]:
    """Top-level libraries that a fresh interpreter loads for one statement, by its own import clock."""
    done = subprocess.run(
        [sys.executable, "-X", "importtime", "-c", statement], capture_output=True, text=True, timeout=120
    )
    assert done.returncode == 0, done.stderr
    rows = (line.rsplit("|", 1)[-1].strip() for line in done.stderr.splitlines() if line.startswith("import time:"))
    return {name.split(".")[0] for name in rows}


def test_a_bare_import_loads_nothing_heavy() -> None:
    assert loaded_by("import fairpull") & (HEAVY | {"numpy"}) == set()


LIGHT = (
    *("terms.units", "logs", "air", "engine", "pulls", "compare", "health", "tune"),
    *("book", "show", "demo", "tasks", "tasks.bench.take"),
)


@pytest.mark.parametrize("room", LIGHT)
def test_a_room_loads_nothing_heavy(room: str) -> None:
    assert loaded_by(f"import fairpull.{room}") & HEAVY == set()


def test_the_import_clock_is_read_rightly() -> None:
    assert "polars" in loaded_by("import polars")
