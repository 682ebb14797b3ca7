"""Every command block of README and docs is run and does what the page says."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from tests.house.docs_runner import Block, blocks, run_page, same_output, steps
from tests.house.tree import ROOT, label

PAGES = sorted([*ROOT.glob("*.md"), *ROOT.glob("docs/**/*.md")])
MOST_NOT_RUN = 2  # blocks that say "no-run", all pages together; may only shrink


def recipes() -> set[str]:
    return set(re.findall(r"^([a-z][a-z-]*):", (ROOT / "Makefile").read_text("utf-8"), re.MULTILINE))


@pytest.mark.parametrize("page", PAGES, ids=label)
def test_every_block_of_a_page_runs(page: Path, tmp_path: Path, request: pytest.FixtureRequest) -> None:
    text = page.read_text("utf-8")
    if any(block.runs and "demo-day" in block.text for block in blocks(text)):
        shutil.copytree(request.getfixturevalue("demo_day"), tmp_path / "demo-day")
    assert run_page(text, tmp_path, recipes()) == []


def test_few_blocks_ask_not_to_be_run() -> None:
    asking = [block for page in PAGES for block in blocks(page.read_text("utf-8")) if "no-run" in block.options]
    assert len(asking) <= MOST_NOT_RUN
    assert all(re.fullmatch(r"no-run: .{5,}", block.options) for block in asking)


def test_every_command_shown_in_a_page_is_in_a_block_that_runs() -> None:
    """A `$ fairpull` line in a block of another language would look run and is not."""
    hidden = [
        f"{label(page)}:{block.line}"
        for page in PAGES
        for block in blocks(page.read_text("utf-8"))
        if block.language not in {"console", "sh"} and re.search(r"^\$ ", block.text, re.MULTILINE)
    ]
    assert not hidden, "\n".join(hidden)


def page_of(block: str, info: str = "console") -> str:
    return f"# A page\n\n```{info}\n{block}\n```\n"


@pytest.mark.parametrize(
    "page",
    [
        page_of("$ echo one two\none two"),
        page_of("$ echo one\none\n$ echo two > made.txt\n$ cat made.txt\ntwo"),
        page_of("$ printf 'a\\nb\\nc\\n'\na\n...\nc"),
        page_of("$ echo it took 12.3 s\nit took ... s"),
        page_of("$ echo one \\\n    two\none two"),
        page_of("$ cat missing.txt", "console exit=1"),
        page_of("$ fairpull read missing.csv", "console exit=2"),
        page_of("$ nonsense", "console no-run: only an example"),
        page_of("$ make test\n3 passed"),
        page_of("echo one\n# a comment", "sh"),
        page_of("a = 1 + 1\nassert a == 2", "python"),
        page_of(">>> 1 + 1\n2\n>>> print('ab...yz')\nab...yz", "python"),
        page_of("a = 2", "python") + page_of(">>> a\n2", "python"),
        page_of("$ anything", "text"),
    ],
)
def test_a_page_that_tells_the_truth_passes(page: str, tmp_path: Path) -> None:
    assert run_page(page, tmp_path, {"test"}) == []


@pytest.mark.parametrize(
    ("page", "word"),
    [
        (page_of("$ echo one\ntwo"), "the page shows"),
        (page_of("$ printf 'a\\nb\\n'\na"), "the page shows"),
        (page_of("$ cat missing.txt"), "ended with 1"),
        (page_of("$ echo one\none", "console exit=2"), "ended with 0"),
        (page_of("$ fairpull read missing.csv"), "ended with 2"),
        (page_of("$ curl somewhere"), "not among the commands"),
        (page_of("$ make nothing"), "no such recipe"),
        (page_of("echo one; exit 3", "sh"), "ended with 3"),
        (page_of(">>> 1 + 1\n3", "python"), "Expected"),
    ],
)
def test_a_page_that_lies_fails(page: str, word: str, tmp_path: Path) -> None:
    (fault,) = run_page(page, tmp_path, {"test"})
    assert word in fault


def test_a_python_block_that_fails_is_not_swallowed(tmp_path: Path) -> None:
    with pytest.raises(ZeroDivisionError):
        run_page(page_of("1 / 0", "python"), tmp_path, set())


def test_an_unclosed_block_and_an_unknown_option_are_told(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="never closed"):
        run_page("```console\n$ echo one\n", tmp_path, set())
    with pytest.raises(ValueError, match="not known"):
        run_page(page_of("$ echo one", "console often"), tmp_path, set())


def test_parts_of_a_page_are_read_rightly() -> None:
    (block,) = blocks("text\n\n  ```console exit=2\n  $ a \\\n    b\n  out\n  ```\n")
    assert block == Block("console", "exit=2", "$ a \\\n  b\nout", 3)
    (step,) = steps(block)
    assert (step.command, step.shown, step.exit_code) == ("a \\\n  b", "out", 2)
    assert same_output("a ... c\n...\nz", "a b c  \nx\ny\nz\n")
    assert not same_output("a\nz", "a\nb\nz")
