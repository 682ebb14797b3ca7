"""The page of sheets holds every entry of every form, and each of its examples is taken."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from fairpull import engine
from fairpull.engine.build_form import BuildForm
from fairpull.engine.file_form import EngineForm
from fairpull.engine.parts import forms
from fairpull.engine.parts.base import NOT_DATA
from fairpull.terms.build import PART_KINDS
from fairpull.terms.errors import FairpullError
from tests.engine.sheets import part

PAGE = Path(__file__).resolve().parents[2] / "docs" / "sheets.md"
ROW = re.compile(r"^\| `(\w+)` \| `(.+?)` \|", re.MULTILINE)


def section(heading: str) -> dict[str, str]:
    """Entries and examples of the table below a heading."""
    text = PAGE.read_text("utf-8")
    begins = re.search(rf"^##+ {re.escape(heading)}$", text, re.MULTILINE)
    assert begins, heading
    rest = text[begins.end() :]
    ends = re.search(r"^##+ ", rest, re.MULTILINE)
    return dict(ROW.findall(rest[: ends.start()] if ends else rest))


@pytest.mark.parametrize("kind", PART_KINDS)
def test_every_entry_of_a_part_stands_on_the_page(kind: str) -> None:
    assert set(section(f"`{kind}`")) == set(forms()[kind].model_fields) - NOT_DATA


@pytest.mark.parametrize("kind", [kind for kind in PART_KINDS if kind != "other"])
def test_every_example_is_taken(kind: str) -> None:
    """Each example alone: faults of other entries (that it needs another one) do not count."""
    faults = []
    for entry, example in section(f"`{kind}`").items():
        try:
            part(f'kind = "{kind}"\n{entry} = {example}\n', "x")
        except FairpullError as refusal:
            faults += [fault.line() for fault in refusal.faults if fault.where.split(", ")[1] == entry]
    assert not faults, "\n".join(faults)


def test_every_entry_of_an_engine_and_of_a_build_stands_on_the_page() -> None:
    assert set(section("An engine")) == set(EngineForm.model_fields)
    assert set(section("A build")) == set(BuildForm.model_fields)


def test_the_examples_of_an_engine_and_of_a_build_make_one_of_each() -> None:
    lines = [
        f"{entry} = {example}"
        for entry, example in section("An engine").items()
        if entry not in {"volumes", "compression_ratio"}
    ]
    bare = engine.engine_from_table(tomllib.loads("\n".join(lines)), where="x", name="x")
    assert bare.name == "Anvil"
    raw = tomllib.loads("\n".join(f"{entry} = {example}" for entry, example in section("A build").items()))
    shelf = {
        "cam-b": part('kind = "camshaft"', "cam-b"),
        "tube-header": part('kind = "exhaust"', "tube-header"),
    }
    made = engine.build_from_table(raw, where="x", name="x", engine=bare, parts=shelf)
    assert (made.name, made.gear, made.settings["main_jet"]) == ("anvil-cam-b", 1.6, "72")
