"""What no file of the project may hold: registry hosts, paths of one machine, words of how it was made."""

from __future__ import annotations

import re

import pytest

from tests.house.tree import label, project_files, text_of

# Put together here, so that this file does not hold them itself.
HOSTS = (
    "py" + "pi.org",
    "python" + "hosted",
    "npm" + "js",
    "deb." + "debian",
    "file" + "s.pyth",
    "ana" + "conda.org",
)
WORDS = (
    "tran" + "script",
    "seed " + "document",
    "language " + "model",
    "Clau" + "de",
    "Anthr" + "opic",
    "Chat" + "GPT",
)
MACHINE = re.compile(
    r"(?<![\w.~/:-])/(?:" + "|".join(("wo" + "rk", "ro" + "ot", "ho" + "me", "Us" + "ers", "op" + "t")) + r")/"
)


def faults_in(text: str) -> list[str]:
    """Forbidden things in one text, by line."""
    faults = []
    for number, line in enumerate(text.splitlines(), 1):
        lower = line.lower()
        faults += [f"{number}: {host}" for host in HOSTS if host in lower]
        faults += [f"{number}: {word}" for word in WORDS if re.search(rf"\b{word}s?\b", line, re.IGNORECASE)]
        faults += [f"{number}: {found}" for found in MACHINE.findall(line)]
    return faults


def test_no_file_holds_a_forbidden_word() -> None:
    faults = []
    for path in project_files():
        text = text_of(path)
        if text is not None and path.name != "LICENSE":
            faults += [f"{label(path)}:{fault}" for fault in faults_in(text)]
    assert not faults, "\n".join(faults)


def test_no_file_name_holds_a_forbidden_word() -> None:
    assert [label(path) for path in project_files() if faults_in(label(path))] == []


@pytest.mark.parametrize(
    "text",
    ["see /wo" + "rk/main", "x = '/ro" + "ot/.cache'", "a Tran" + "script", "https://py" + "pi.org/simple"],
)
def test_the_rule_itself_bites(text: str) -> None:
    assert faults_in(text)


def test_plain_words_pass() -> None:
    assert faults_in("work/main, ../shared/data, half/work, https://example.org/home/x") == []
