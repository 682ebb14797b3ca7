"""Every class of options has a test that turns each of its knobs and sees something change."""

from __future__ import annotations

import ast
import re

from tests.house.tree import PACKAGE, ROOT, parsed, python_files

TURNED_IN = {
    "PullOptions": "tests/house/test_knobs_pulls.py",
    "ReadOptions": "tests/house/test_knobs_read.py",
    "Question": "tests/house/test_knobs_question.py",
    "CompareRequest": "tests/house/test_knobs_request.py",
    "TakeOptions": "tests/house/test_knobs_bench.py",
}


def option_classes() -> set[str]:
    """Dataclasses whose name says that a person fills them in."""
    return {
        node.name
        for path in python_files(PACKAGE)
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.ClassDef)
        and node.decorator_list
        and re.search(r"(Options|Request|Question)$", node.name)
    }


def test_every_class_of_options_is_on_the_list() -> None:
    assert option_classes() == set(TURNED_IN)


def test_every_list_is_held_against_the_class_itself() -> None:
    """The test compares its cases with `fields(Class)`, so that a new field without a case fails."""
    for name, place in TURNED_IN.items():
        text = (ROOT / place).read_text("utf-8")
        assert re.search(rf"set\(KNOBS\) == \{{field\.name for field in fields\({name}\)\}}", text), place
