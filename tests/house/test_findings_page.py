"""Every finding and refusal code has its heading in docs/findings.md, and the page is not stale."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest

from tools import findings_page
from tools.finding_codes import Survey, survey


@cache
def of_project() -> Survey:
    return survey()


KEBAB = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")


def test_every_code_has_its_text_and_every_text_its_code() -> None:
    faults = findings_page.faults(of_project(), findings_page.texts())
    assert not faults, "\n".join(faults)


def test_the_page_is_not_stale() -> None:
    fresh = findings_page.page(of_project(), findings_page.texts())
    assert findings_page.PAGE.read_text("utf-8") == fresh, "run 'make docs-write'"


def test_every_code_has_a_heading_of_its_own() -> None:
    headings = re.findall(r"^### (.*)$", findings_page.PAGE.read_text("utf-8"), re.MULTILINE)
    assert sorted(headings) == sorted(of_project().codes)


def test_codes_are_kebab_case() -> None:
    assert [code for code in of_project().codes if not KEBAB.fullmatch(code)] == []


def of_source(tmp_path: Path, text: str) -> Survey:
    package = tmp_path / "planted"
    (package / "room").mkdir(parents=True)
    (package / "room" / "file.py").write_text(text, "utf-8")
    return survey(package)


@pytest.mark.parametrize(
    ("text", "codes"),
    [
        ("Finding('plain', Severity.NOTE, w, t, r)", {"plain"}),
        ("Fault(where=w, code='named', seen=s, remedy=r)", {"named"}),
        ("errors.Fault('dotted', w, s, r)", {"dotted"}),
        ("Finding('one' if x else 'two', Severity.NOTE, w, t, r)", {"one", "two"}),
        ("CODE = 'constant'\ndef f():\n    return Fault(CODE, w, s, r)", {"constant"}),
        ("def f():\n    code, text = 'local', 1\n    return Fault(code, w, s, r)", {"local"}),
        ("def f(code):\n    return Fault(code, w, s, r)\ng = f('handed')", {"handed"}),
        ("def f(w, *, code):\n    return Fault(code, w, s, r)\ng = f(1, code='handed')", {"handed"}),
        (
            "class A:\n    def f(self, code):\n        return Fault(code, w, s, r)\nA().f('method')",
            {"method"},
        ),
        ("def f(w):\n    return Fault(f'unknown-{w}', w, s, r)\ng = f('word')", {"unknown-word"}),
        ("for w in ('a', 'b'):\n    Fault(f'{w}-odd', w, s, r)", {"a-odd", "b-odd"}),
        ("def f(a):\n    return Fault(a, w, s, r)\ndef g(b):\n    return f(b)\nh = g('twice')", {"twice"}),
    ],
)
def test_codes_are_found_however_they_are_written(text: str, codes: set[str], tmp_path: Path) -> None:
    found = of_source(tmp_path, text)
    assert set(found.codes) == codes
    assert found.unread == []


def test_a_code_no_machine_can_read_is_told(tmp_path: Path) -> None:
    found = of_source(tmp_path, "x = 1\nFault(table[x], w, s, r)")
    assert found.unread == ["planted/room/file.py:2"]


def test_a_private_helper_counts_in_its_own_file_only(tmp_path: Path) -> None:
    package = tmp_path / "planted"
    package.mkdir()
    (package / "one.py").write_text("def _f(code):\n    return Fault(code, w, s, r)\ng = _f('mine')\n", "utf-8")
    (package / "two.py").write_text("def _f(text):\n    return text\ng = _f('not a code')\n", "utf-8")
    assert set(survey(package).codes) == {"mine"}


def test_severity_and_room_are_read(tmp_path: Path) -> None:
    found = of_source(tmp_path, "def f(code):\n    return Finding(code, Severity.FAULT, w, t, r)\ng = f('heavy')")
    code = found.codes["heavy"]
    assert (code.rooms, code.kinds, code.severities) == ({"room"}, {"finding"}, {"fault"})


def test_a_code_without_text_and_a_text_without_code_are_told(tmp_path: Path) -> None:
    found = of_source(tmp_path, "Fault('lonely', w, s, r)")
    told = findings_page.faults(found, {"gone": {"means": "x", "do": ""}})
    assert [line.split(":")[0] for line in told] == ["lonely", "gone", "gone"]
