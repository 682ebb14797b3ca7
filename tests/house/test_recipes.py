"""One way to check: hooks and the CI script name recipes of the Makefile and nothing else."""

from __future__ import annotations

import re
import shlex
import subprocess
from pathlib import Path
from typing import Any

import pytest
import yaml

from tests.house.tree import ROOT, pyproject

PROMISED = {"demo", "test", "check", "format", "lint", "types", "imports", "docs", "simulate", "bench"}


def makefile() -> str:
    return (ROOT / "Makefile").read_text("utf-8")


def recipes() -> set[str]:
    return set(re.findall(r"^([a-z][a-z-]*):", makefile(), re.MULTILINE))


def is_recipe(command: str) -> bool:
    """A command that calls `make` for one recipe, and does nothing else."""
    words = shlex.split(command)
    return len(words) == 2 and words[0] == "make" and words[1] in recipes()


def stray_lines(script: str) -> list[str]:
    """Lines of the CI script that are neither a recipe nor the script's own footing."""
    footing = re.compile(r'set -eu|cd "\$\(dirname "\$0"\)/\.\."')
    lines = [line.strip() for line in script.splitlines() if line.strip() and not line.lstrip().startswith("#")]
    return [line for line in lines if not footing.fullmatch(line) and not is_recipe(line.removesuffix("</dev/null"))]


def hooks() -> list[dict[str, Any]]:
    config = yaml.safe_load((ROOT / ".pre-commit-config.yaml").read_text("utf-8"))
    return [hook | {"repo": repo["repo"]} for repo in config["repos"] for hook in repo["hooks"]]


def test_every_promised_recipe_exists() -> None:
    assert recipes() >= PROMISED


def test_recipes_are_phony() -> None:
    (phony,) = re.findall(r"^\.PHONY: (.*)$", makefile(), re.MULTILINE)
    assert set(phony.split()) == recipes()


def test_hooks_call_recipes_only() -> None:
    assert hooks()
    for hook in hooks():
        assert hook["repo"] == "local"
        assert is_recipe(hook["entry"]), hook["entry"]


def test_the_ci_script_calls_make_test_only() -> None:
    script = (ROOT / ".ci" / "run").read_text("utf-8")
    assert stray_lines(script) == []
    assert re.findall(r"^make (\S+)", script, re.MULTILINE) == ["test"]
    assert (ROOT / ".ci" / "run").stat().st_mode & 0o111


@pytest.mark.parametrize("line", ["pytest", "make test || true", "make test | tail", "make nothing", "pip install x"])
def test_the_rule_itself_bites(line: str) -> None:
    assert stray_lines(f"set -eu\n{line}\n") == [line]


def test_check_is_made_of_its_promised_parts() -> None:
    (parts,) = re.findall(r"^check: (.*?) ##", makefile(), re.MULTILINE)
    assert set(parts.split()) == {"format-check", "lint", "types", "imports", "test", "docs"}
    assert parts.split()[-1] == "test", "the runner's own closing line comes last"


@pytest.mark.parametrize("recipe", ["types", "lint", "format-check"])
def test_no_folder_of_code_is_excused(recipe: str) -> None:
    (code,) = re.findall(r"^CODE +:= \$\(foreach folder,([a-z ]+),", makefile(), re.MULTILINE)
    with_code = {path.relative_to(ROOT).parts[0] for path in ROOT.glob("*/**/*.py") if ".venv" not in path.parts}
    assert with_code - {"demo-day", "build", "dist"} <= set(code.split())
    (body,) = re.findall(rf"^{recipe}:.*\n\t(.*)$", makefile(), re.MULTILINE)
    assert "$(CODE)" in body


def test_make_test_ends_with_the_runner() -> None:
    body = re.findall(r"^test:.*\n((?:\t.*\n)+)", makefile(), re.MULTILINE)[0].strip().splitlines()
    assert len(body) == 1
    assert "-m pytest" in body[0]
    assert not set("|;&>") & set(body[0]), "nothing may hide the runner's closing line or its exit code"


def test_the_shell_scripts_are_sound() -> None:
    for script in [*ROOT.glob("tools/*.sh")]:
        subprocess.run(["sh", "-n", str(script)], check=True, timeout=60)


def stub_python(folder: Path, too_old: bool) -> Path:
    """A Python that is too old, or one of a system that ships venv and ensurepip apart."""
    program = folder / "python-stub"
    fails_on = "version_info" if too_old else "ensurepip"
    program.write_text(f'#!/bin/sh\ncase "$*" in *{fails_on}*) exit 1;; esac\nexit 0\n', "utf-8")
    program.chmod(0o755)
    return program


@pytest.mark.parametrize(
    ("too_old", "remedy"), [(True, "Python 3.11 or newer"), (False, "apt-get install python3-venv")]
)
def test_a_machine_without_what_is_needed_is_told_what_to_install(too_old: bool, remedy: str, tmp_path: Path) -> None:
    stub = stub_python(tmp_path, too_old)
    script = str(ROOT / "tools" / "make_venv.sh")
    done = subprocess.run(["sh", script, str(tmp_path / "made"), str(stub)], capture_output=True, text=True, timeout=60)
    assert done.returncode == 1
    assert remedy in done.stderr
    assert not (tmp_path / "made").exists()


def test_type_checks_are_strict_and_warnings_are_errors() -> None:
    tools = pyproject()["tool"]
    assert tools["mypy"]["strict"] is True
    assert "exclude" not in tools["mypy"]
    assert tools["pytest"]["ini_options"]["filterwarnings"][0] == "error"
    assert tools["ruff"]["lint"]["mccabe"]["max-complexity"] <= 10
    assert {"BLE", "C90", "E", "F"} <= set(tools["ruff"]["lint"]["select"])


def test_the_builder_is_pinned_the_same_twice() -> None:
    """The project is installed without a network the second time: its builder must be the locked one."""
    (builder,) = pyproject()["build-system"]["requires"]
    assert builder in pyproject()["dependency-groups"]["build"]
    assert f"\n{builder} " in "\n" + (ROOT / "lock" / "run.txt").read_text("utf-8")
