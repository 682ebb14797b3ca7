"""Formulas say what they take, give and rest on: docstring sections of the science rooms' public functions.

The rules, for each public function at the top of a module of air, engine, pulls and compare:

- ``Args:`` names every parameter, ``Returns:`` stands where something is returned, ``Raises:`` where a ``raise`` is;
- a number or an array of numbers has its unit: ``[Pa]``, ``[1]``, ``rpm``, fraction, probability, "any unit" ...;
- a formula (numbers in, numbers out) has a ``Source:`` line, which names a key of terms/sources.py, or says "common
  practice", "definition" or "own derivation"; where any other function has such a line, the same holds for it.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from fairpull.terms.sources import SOURCES
from tests.house.tree import PACKAGE, Function, excuses, label, parsed, python_files

ROOMS = ("air", "engine", "pulls", "compare", "health", "tune")
NUMBERS = {"float", "FloatArray", "Number"}
NO_SOURCE = re.compile(r"\bpractice\b|\bdefinition\b|\bown (derivation|model|choice|wording)\b", re.IGNORECASE)
PLAIN = (
    r"rpm|fractions?|ratio|level|weights?|factors?|probability|share|log|degrees of freedom"
    r"|(any|own|same|whatever|its) units?|units? of"
)
UNIT = re.compile(rf"\[[^\]]+\]|\b({PLAIN})\b", re.IGNORECASE)
SECTION = re.compile(r"^(Args|Returns|Raises|Source|Valid|Attributes|Yields|Note|Range)\b[^:\n]{0,20}:", re.MULTILINE)


def public_functions(path: Path) -> Iterator[Function]:
    if not path.name.startswith("_") or path.name == "__init__.py":
        for node in parsed(path).body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                yield node


def sections(docstring: str) -> dict[str, str]:
    """The docstring's parts by their heading."""
    marks = list(SECTION.finditer(docstring))
    if not marks:
        return {}
    ends = [mark.start() for mark in marks[1:]] + [len(docstring)]
    return {mark[1]: docstring[mark.end() : end] for mark, end in zip(marks, ends, strict=True)}


def words_of(annotation: ast.expr | None) -> set[str]:
    """Names in an annotation; text annotations are read too."""
    if annotation is None:
        return set()
    return set(re.findall(r"\w+", ast.unparse(annotation)))


def is_number(annotation: ast.expr | None) -> bool:
    """Only numbers and arrays of numbers, or nothing: no records, texts or collections of them."""
    words = words_of(annotation)
    return bool(words & NUMBERS) and words <= NUMBERS | {"None", "tuple", "int"}


def parameters(node: Function) -> list[ast.arg]:
    return [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]


def is_formula(node: Function) -> bool:
    """Numbers in, numbers out."""
    return is_number(node.returns) and any(is_number(parameter.annotation) for parameter in parameters(node))


def raises(node: Function) -> bool:
    return any(isinstance(part, ast.Raise) for part in ast.walk(node))


def entries(section: str) -> dict[str, str]:
    """Parameter name -> its text; "a, b: ..." speaks for both."""
    found: dict[str, str] = {}
    current: list[str] = []
    for line in section.splitlines():
        match = re.match(r"\s{4,8}(\w+(?:, \w+)*):(?=\s|$)", line) or re.match(r"\s{4,8}(\w+(?: and \w+)+):", line)
        if match:
            current = re.findall(r"\w+", match[1])
        for name in current:
            found[name] = f"{found.get(name, '')} {line.strip()}"
    return found


def cites(text: str) -> bool:
    return bool(NO_SOURCE.search(text)) or bool(set(re.findall(r"[a-z0-9]+(?:-[a-z0-9]+)*", text)) & set(SOURCES))


def missing(node: Function) -> list[str]:
    """What a function's docstring leaves unsaid."""
    docstring = ast.get_docstring(node)
    if not docstring:
        return ["a docstring"]
    parts = sections(docstring)
    told = entries(parts.get("Args", ""))
    faults = [f"Args: {parameter.arg}" for parameter in parameters(node) if parameter.arg not in told]
    faults += [
        f"unit of {parameter.arg}"
        for parameter in parameters(node)
        if is_number(parameter.annotation) and parameter.arg in told and not UNIT.search(told[parameter.arg])
    ]
    if words_of(node.returns) - {"None"} and not {"Returns", "Yields"} & set(parts):
        faults.append("Returns")
    if raises(node) and "Raises" not in parts:
        faults.append("Raises")
    if is_formula(node) and "Source" not in parts:
        faults.append("Source")
    if "Source" in parts and not cites(parts["Source"]):
        faults.append("Source: no key of terms/sources.py, nor 'common practice' or 'definition'")
    return faults


def offences() -> dict[str, str]:
    return {
        f"{label(path)}::{node.name}": "; ".join(faults)
        for room in ROOMS
        for path in python_files(PACKAGE / room)
        for node in public_functions(path)
        if (faults := missing(node))
    }


def test_public_functions_of_science_rooms_say_what_they_must() -> None:
    written = excuses()["docstrings"]
    faults = [f"{name}: {fault}" for name, fault in offences().items() if name not in written]
    assert not faults, "\n".join(faults)


def test_excuses_are_still_needed() -> None:
    found = offences()
    assert {name: why for name, why in excuses()["docstrings"].items() if found.get(name) != why} == {}


def test_sources_have_a_key_a_title_and_a_known_status() -> None:
    for key, source in SOURCES.items():
        assert key == source.key
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", key)
        assert source.title
        assert source.status in {"read", "second-hand", "memory", "practice"}


def planted(text: str) -> list[str]:
    (node,) = ast.parse(text).body
    assert isinstance(node, ast.FunctionDef)
    return missing(node)


GOOD = '''
def density(pressure: Number, temperature: Number) -> Number:
    """Density.

    Args:
        pressure: absolute [Pa].
        temperature: of the air
            [K].

    Returns:
        Density [kg/m3].

    Source: practice.
    """
    return pressure / temperature
'''


def test_a_complete_docstring_passes() -> None:
    assert planted(GOOD) == []


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("        pressure: absolute [Pa].\n", "", "Args: pressure"),
        ("absolute [Pa]", "absolute", "unit of pressure"),
        ("    Returns:\n        Density [kg/m3].\n", "", "Returns"),
        ("    Source: practice.\n", "", "Source"),
        ("practice.", "some book.", "Source: no key of terms/sources.py, nor 'common practice' or 'definition'"),
        ("    return", "    if not pressure:\n        raise ValueError\n    return", "Raises"),
    ],
)
def test_the_rule_itself_bites(old: str, new: str, fault: str) -> None:
    assert old in GOOD
    assert planted(GOOD.replace(old, new)) == [fault]
