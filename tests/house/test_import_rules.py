"""Every import contract of pyproject.toml bites: a planted bad edit breaks its contract alone."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.house.tree import PACKAGE, ROOT, pyproject

CONTRACTS = {contract["id"]: contract["name"] for contract in pyproject()["tool"]["importlinter"]["contracts"]}

LINTER = "from importlinter.cli import lint_imports_command; lint_imports_command()"


@dataclass(frozen=True)
class Plant:
    """A bad edit: new files of the package with their text, and the contract that must break."""

    breaks: str
    edits: dict[str, str]
    what: str


PLANTS = (
    Plant("floors", {"air/planted.py": "import fairpull.engine\n"}, "a room sees its neighbour"),
    Plant("floors", {"logs/planted.py": "def late():\n    import fairpull.compare\n"}, "a late import upwards"),
    Plant("floors", {"attic/__init__.py": ""}, "a room without a floor"),
    Plant(
        "no-cycles",
        {
            "terms/planted.py": "import fairpull.terms.grown\n",
            "terms/grown.py": "import fairpull.terms.planted\n",
        },
        "two siblings need each other",
    ),
    Plant("pure-science", {"air/planted.py": "import polars\n"}, "a science room reads tables"),
    Plant(
        "pure-science",
        {"pulls/planted.py": "def late():\n    import pint\n"},
        "a science room converts units",
    ),
    Plant("sql-in-one-room", {"terms/planted.py": "import sqlite3\n"}, "SQL where no store is"),
    Plant("sql-in-one-room", {"tasks/planted.py": "def late():\n    import sqlalchemy\n"}, "and a late one"),
    Plant("book-knows-records", {"book/planted.py": "import fairpull.engine\n"}, "the store does science"),
    Plant(
        "signs-apart",
        {"health/signs/planted.py": "import fairpull.health.signs.grown\n", "health/signs/grown.py": ""},
        "a detector leans on another",
    ),
    Plant("demo-knows-no-judges", {"demo/planted.py": "import fairpull.compare\n"}, "the demo sees its judge"),
    Plant(
        "formats-apart",
        {"logs/formats/planted.py": "import fairpull.logs.formats.grown\n", "logs/formats/grown.py": ""},
        "a format leans on another",
    ),
    Plant(
        "standards-apart",
        {"air/standards/planted.py": "import fairpull.air.standards.grown\n", "air/standards/grown.py": ""},
        "a standard leans on another",
    ),
    Plant(
        "commands-apart",
        {"cli/commands/planted.py": "import fairpull.cli.commands.grown\n", "cli/commands/grown.py": ""},
        "a command leans on another",
    ),
    Plant("doors-call-tasks", {"cli/planted.py": "import fairpull.pulls\n"}, "the command line does science"),
    Plant("doors-call-tasks", {"web/planted.py": "import fairpull.book\n"}, "a page opens the store by itself"),
    Plant(
        "pages-apart",
        {"web/pages/planted.py": "import fairpull.web.pages.grown\n", "web/pages/grown.py": ""},
        "a page leans on another",
    ),
    Plant("no-hidden-doors", {"terms/planted.py": "import importlib\n"}, "an import the linter cannot see"),
    Plant("no-hidden-doors", {"show/planted.py": "def late():\n    import runpy\n"}, "and a late one"),
)


def broken_contracts(tree: Path) -> list[str]:
    """Run the linter on a copy of the tree and name the contracts that it finds broken."""
    environment = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    environment |= {"PYTHONPATH": str(tree / "src"), "NO_COLOR": "1", "COLUMNS": "200"}
    done = subprocess.run(
        [sys.executable, "-c", LINTER, "--no-cache", "--no-logo", "pyproject.toml"],
        cwd=tree,
        env=environment,
        capture_output=True,
        text=True,
        timeout=120,
    )
    verdicts = dict(re.findall(r"^(.+) (KEPT|BROKEN)\b", done.stdout, re.MULTILINE))
    assert set(verdicts) == set(CONTRACTS.values()), done.stdout + done.stderr
    broken = sorted(identity for identity, name in CONTRACTS.items() if verdicts[name] == "BROKEN")
    assert (done.returncode != 0) == bool(broken), done.stdout + done.stderr
    return broken


@pytest.fixture
def tree(tmp_path: Path) -> Path:
    shutil.copytree(PACKAGE, tmp_path / "src" / "fairpull", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    return tmp_path


def test_the_tree_as_it_stands_keeps_every_contract(tree: Path) -> None:
    assert broken_contracts(tree) == []


@pytest.mark.parametrize("plant", PLANTS, ids=lambda plant: f"{plant.breaks}: {plant.what}")
def test_a_planted_bad_edit_breaks_its_contract_and_no_other(plant: Plant, tree: Path) -> None:
    for name, text in plant.edits.items():
        path = tree / "src" / "fairpull" / name
        path.parent.mkdir(exist_ok=True)
        assert not path.exists(), f"{name} is a real file now; plant elsewhere"
        path.write_text(text, "utf-8")
    assert broken_contracts(tree) == [plant.breaks]


def test_every_contract_has_a_planted_case() -> None:
    assert {plant.breaks for plant in PLANTS} == set(CONTRACTS)


def test_contract_ids_and_names_are_unique() -> None:
    contracts = pyproject()["tool"]["importlinter"]["contracts"]
    assert len(CONTRACTS) == len(contracts) == len(set(CONTRACTS.values()))
