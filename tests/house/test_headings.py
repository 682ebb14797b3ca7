"""Whatever a person can name has its place in the docs: commands, correction standards, log formats, extras.

A place is a heading, or the first cell of a row in a table.
"""

from __future__ import annotations

import ast
import re

import pytest

from fairpull import air
from tests.house.tree import PACKAGE, ROOT, parsed, pyproject


def headings() -> list[str]:
    pages = [ROOT / "README.md", *sorted(ROOT.glob("docs/**/*.md"))]
    lines = [line for page in pages for line in page.read_text("utf-8").splitlines()]
    return [line for line in lines if re.match(r"#{1,4} ", line)] + [
        cell[1] for line in lines if (cell := re.match(r"\| (`[^`|]+`) \|", line))
    ]


def has_heading(word: str, lines: list[str]) -> bool:
    """Stands the word in a heading, as a word of its own?"""
    return any(re.search(rf"(?<![\w-]){re.escape(word)}(?![\w-])", line, re.IGNORECASE) for line in lines)


def commands() -> list[str]:
    files = sorted((PACKAGE / "cli" / "commands").glob("*.py"))
    return [f"fairpull {path.stem.replace('_', '-')}" for path in files if path.stem != "__init__"]


def formats() -> list[str]:
    """The NAME of every format, read without loading it."""
    files = sorted((PACKAGE / "logs" / "formats").glob("*.py"))
    named = [node for path in files for node in parsed(path).body if isinstance(node, ast.Assign)]
    return [str(ast.literal_eval(node.value)) for node in named if ast.unparse(node.targets[0]) == "NAME"]


@pytest.mark.parametrize("word", [*commands(), *sorted(air.STANDARDS), *formats()])
def test_what_can_be_named_has_a_heading(word: str) -> None:
    assert has_heading(word, headings())


def test_every_extra_is_told_how_to_install() -> None:
    texts = "".join(path.read_text("utf-8") for path in [ROOT / "README.md", *sorted(ROOT.glob("docs/**/*.md"))])
    for extra in pyproject()["project"]["optional-dependencies"]:
        assert f"fairpull[{extra}]" in texts


def test_there_is_something_to_name() -> None:
    assert commands()
    assert len(formats()) >= 5


@pytest.mark.parametrize(
    ("line", "found"),
    [("## iso-3046", True), ("### ISO-3046: power", True), ("## `iso-3046`", True), ("## iso-3046-2", False)],
)
def test_a_heading_is_found_by_whole_words(line: str, found: bool) -> None:
    assert has_heading("iso-3046", [line]) is found
