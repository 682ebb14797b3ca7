"""The lock: everything pinned with hashes, both files agree, no word on where packages come from."""

from __future__ import annotations

import re

import pytest

from tests.house.tree import ROOT, pyproject

LOCKS = ("run.txt", "dev.txt")


def lines(name: str) -> list[str]:
    return (ROOT / "lock" / name).read_text("utf-8").splitlines()


def pins(name: str) -> dict[str, set[str]]:
    """Package name -> its pinned lines, markers included."""
    found: dict[str, set[str]] = {}
    for line in lines(name):
        if match := re.match(r"([A-Za-z0-9._-]+)==", line):
            found.setdefault(normal(match[1]), set()).add(line.rstrip(" \\"))
    return found


def normal(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def wanted(requirements: list[str]) -> set[str]:
    return {normal(re.split(r"[<>=!~;\[ ]", requirement)[0]) for requirement in requirements}


@pytest.mark.parametrize("name", LOCKS)
def test_every_line_is_a_pin_or_a_hash(name: str) -> None:
    pin = re.compile(r"[A-Za-z0-9._-]+==[A-Za-z0-9.+!_-]+( ; [^\\]+)? \\")
    a_hash = re.compile(r"    --hash=sha256:[0-9a-f]{64}( \\)?")
    assert [line for line in lines(name) if not pin.fullmatch(line) and not a_hash.fullmatch(line)] == []


def test_the_run_lock_holds_what_the_project_needs() -> None:
    assert wanted(pyproject()["project"]["dependencies"]) <= set(pins("run.txt"))


def test_the_dev_lock_holds_every_group_and_extra() -> None:
    groups = [requirement for group in pyproject()["dependency-groups"].values() for requirement in group]
    extras = [
        requirement for extra in pyproject()["project"]["optional-dependencies"].values() for requirement in extra
    ]
    assert wanted(groups + extras) <= set(pins("dev.txt"))


def test_the_locks_agree() -> None:
    run, dev = pins("run.txt"), pins("dev.txt")
    assert {name: dev.get(name) for name in run} == run
