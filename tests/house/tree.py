"""What the house tests share: where the code stands, its files, its functions, its written excuses."""

from __future__ import annotations

import ast
import subprocess
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "fairpull"
Function = ast.FunctionDef | ast.AsyncFunctionDef

_MADE = {
    ".git",
    ".venv",
    "__pycache__",
    "demo-day",
    "build",
    "dist",
    ".mypy_cache",
    ".ruff_cache",
    ".hypothesis",
}
_MADE |= {".pytest_cache", ".import_linter_cache"}


@cache
def pyproject() -> dict[str, Any]:
    """The project file as data."""
    return tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))


@cache
def excuses() -> dict[str, Any]:
    """Written excuses, by house rule. Every list in it may only shrink."""
    return tomllib.loads((ROOT / "tests" / "house" / "excuses.toml").read_text("utf-8"))


def python_files(folder: Path) -> list[Path]:
    """All Python files below a folder, sorted."""
    return sorted(path for path in folder.rglob("*.py") if "__pycache__" not in path.parts)


@cache
def parsed(path: Path) -> ast.Module:
    """The syntax tree of a file."""
    return ast.parse(path.read_text("utf-8"), str(path))


def label(path: Path) -> str:
    """The file's name as reports and excuses write it."""
    return path.relative_to(ROOT).as_posix()


def functions(path: Path) -> Iterator[tuple[str, Function]]:
    """Every function of a file with its qualified name, methods and inner functions included."""
    yield from _below(parsed(path), "")


def _below(node: ast.AST, prefix: str) -> Iterator[tuple[str, Function]]:
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef):
            yield prefix + child.name, child
            yield from _below(child, f"{prefix}{child.name}.")
        elif isinstance(child, ast.ClassDef):
            yield from _below(child, f"{prefix}{child.name}.")
        else:
            yield from _below(child, prefix)


@cache
def project_files() -> tuple[Path, ...]:
    """Every file of the project: what git would keep, or in a plain copy all that is not made."""
    try:
        listed = subprocess.run(
            ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
            cwd=ROOT,
            capture_output=True,
            check=True,
            timeout=60,
        ).stdout.decode()
        names = [name for name in listed.split("\0") if name]
    except (OSError, subprocess.SubprocessError):
        names = []
    if names:
        return tuple(sorted(path for name in names if (path := ROOT / name).is_file()))
    every = (path for path in ROOT.rglob("*") if path.is_file())
    return tuple(sorted(path for path in every if not _MADE & set(path.relative_to(ROOT).parts)))


def text_of(path: Path) -> str | None:
    """A file as text; None when it is not text (sample logs in odd encodings, pictures)."""
    try:
        return path.read_bytes().decode("utf-8")
    except UnicodeDecodeError:
        return None
