"""Runs the blocks of a Markdown page as its reader would, and compares what is shown with what comes out.

- ```` ```console ```` and ```` ```sh ````: lines that begin with ``$ `` are commands (a line that ends in a
  backslash goes on in the next); the lines below a command are its output, where any are shown. In what is shown
  ``...`` stands for anything: alone on a line for any number of lines, inside a line for any text.
- ```` ```console exit=2 ````: the block's last command ends with that code. Every other command ends with 0.
- ```` ```console no-run: reason ````: not run, and the reason is for the reader of the page's source.
- ```` ```python ````: executed, all blocks of a page in one namespace; with ``>>>`` lines as a doctest.
- Commands that begin with ``make`` or ``git`` are not run; a ``make`` recipe must exist.

All blocks of a page share one folder, in order, in which the demo's raw logs stand as ``demo-day``.
"""

from __future__ import annotations

import contextlib
import doctest
import io
import os
import re
import stat
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

RUN = {"fairpull", "cat", "ls", "mkdir", "cp", "mv", "head", "tail", "echo", "printf", "cd", "python"}
NOT_RUN = {"make", "git"}
SHELLS = {"console", "sh"}
FENCE = re.compile(r"^(?P<indent> *)(?P<ticks>```+) *(?P<info>[^`]*)$")
SECONDS = 120


@dataclass(frozen=True)
class Block:
    """One fenced block: its language, the rest of its info line, its text, and the line it starts on."""

    language: str
    options: str
    text: str
    line: int

    @property
    def runs(self) -> bool:
        """Whether the runner has anything to do with it."""
        return self.language in SHELLS | {"python"} and not self.options.startswith("no-run:")


@dataclass(frozen=True)
class Step:
    """One command of a block, with the output shown below it and the exit code it must have."""

    command: str
    shown: str
    exit_code: int


def blocks(page: str) -> Iterator[Block]:
    """All fenced blocks of a page, in order. A fence that is never closed is an error."""
    opened: re.Match[str] | None = None
    started, inside = 0, []  # type: int, list[str]
    for number, line in enumerate(page.splitlines(), 1):
        match = FENCE.match(line)
        if opened is None and match:
            opened, started, inside = match, number, []
        elif opened is not None and match and not match["info"] and len(match["ticks"]) >= len(opened["ticks"]):
            language, _, options = opened["info"].strip().partition(" ")
            yield Block(language, options.strip(), "\n".join(inside), started)
            opened = None
        elif opened is not None:
            inside.append(line.removeprefix(opened["indent"]))
    if opened is not None:
        raise ValueError(f"the block that opens on line {started} is never closed")


def steps(block: Block) -> list[Step]:
    """The commands of a console block. A `sh` block without any ``$`` is a script: each line a command."""
    lines = block.text.splitlines()
    if block.language == "sh" and not any(line.startswith("$ ") for line in lines):
        lines = [f"$ {line}" for line in lines if line.strip() and not line.startswith("#")]
    found: list[tuple[str, list[str]]] = []
    more = False
    for line in lines:
        if more:
            found[-1] = (f"{found[-1][0]}\n{line.removeprefix('> ')}", [])
        elif line.startswith("$ "):
            found.append((line[2:], []))
        elif found:
            found[-1][1].append(line)
        more = (more or line.startswith("$ ")) and line.endswith("\\")
    wanted = re.fullmatch(r"exit=(\d+)", block.options)
    if block.options and not wanted:
        raise ValueError(f"line {block.line}: the block's option {block.options!r} is not known")
    last = len(found) - 1
    return [
        Step(command, "\n".join(shown).rstrip(), int(wanted[1]) if wanted and number == last else 0)
        for number, (command, shown) in enumerate(found)
    ]


def same_output(shown: str, came: str) -> bool:
    """Does what came out read as shown? ``...`` stands for anything, spaces at line ends do not count."""
    pattern = ""
    for line in shown.strip().splitlines():
        if line.strip() == "...":
            pattern += r"(?:.*\n)*?"
        else:
            pattern += ".*".join(re.escape(part) for part in line.rstrip().split("...")) + "\n"
    tidy = "\n".join(line.rstrip() for line in came.strip().splitlines()) + "\n"
    return re.fullmatch(pattern, tidy) is not None


def environment(folder: Path) -> dict[str, str]:
    """A plain screen, a home of its own, `fairpull` and `python` of this interpreter first on the path."""
    programs = folder / ".programs"
    if not programs.exists():
        programs.mkdir()
        _program(programs / "fairpull", "-m fairpull")
        _program(programs / "python", "")
    path = f"{programs}{os.pathsep}{os.environ.get('PATH', os.defpath)}"
    return dict(os.environ) | {
        "PATH": path,
        "HOME": str(folder),
        "COLUMNS": "80",
        "NO_COLOR": "1",
        "TERM": "dumb",
    }


def _program(path: Path, arguments: str) -> None:
    path.write_text(f'#!/bin/sh\nexec "{sys.executable}" {arguments} "$@"\n', "utf-8")
    path.chmod(path.stat().st_mode | stat.S_IXUSR)


def run_step(step: Step, folder: Path, recipes: set[str]) -> str:
    """Run one command of a page; what is wrong with it, or nothing."""
    words = step.command.split()
    if words[0] in NOT_RUN:
        targets = [word for word in words[1:] if word.islower() and "=" not in word] if words[0] == "make" else []
        return "; ".join(f"make {target}: no such recipe" for target in targets if target not in recipes)
    if words[0] not in RUN:
        return f"'{words[0]}' is not among the commands that pages may use: {', '.join(sorted(RUN | NOT_RUN))}"
    done = subprocess.run(
        ["sh", "-c", step.command],
        cwd=folder,
        env=environment(folder),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        timeout=SECONDS,
    )
    if done.returncode != step.exit_code:
        return f"ended with {done.returncode}, the page says {step.exit_code}:\n{done.stdout}"
    if step.shown and not same_output(step.shown, done.stdout):
        return f"the page shows\n{step.shown}\nand what came is\n{done.stdout}"
    return ""


def run_python(block: Block, folder: Path, names: dict[str, Any]) -> str:
    """Execute one Python block in the page's folder and namespace; what is wrong with it, or nothing."""
    out = io.StringIO()
    with contextlib.chdir(folder):
        if ">>>" not in block.text:
            with contextlib.redirect_stdout(out):
                exec(compile(block.text, f"python block on line {block.line}", "exec"), names)
            return ""
        test = doctest.DocTestParser().get_doctest(block.text + "\n", names, "page", None, block.line)
        flags = doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE
        result = doctest.DocTestRunner(optionflags=flags).run(test, out=out.write, clear_globs=False)
        names.update(test.globs)
        return out.getvalue() if result.failed else ""


def run_page(page: str, folder: Path, recipes: set[str]) -> list[str]:
    """Run every block of a page in a folder.

    Args:
        page: the page's text.
        folder: where its commands run; the demo's raw logs stand in it as ``demo-day``.
        recipes: the Makefile's recipes.

    Returns:
        One text for each thing that is not as the page says.
    """
    faults = []
    names: dict[str, Any] = {"__name__": "page"}
    for block in blocks(page):
        if not block.runs:
            continue
        if block.language == "python":
            told = [("python", run_python(block, folder, names))]
        else:
            told = [(step.command, run_step(step, folder, recipes)) for step in steps(block)]
        faults += [f"line {block.line}: {what}: {fault}" for what, fault in told if fault]
    return faults
