"""The last check of a book is remembered until the next."""

from __future__ import annotations

from pathlib import Path

import pytest

from fairpull.book import Book
from fairpull.tasks.apart.works import check
from fairpull.tasks.bench.last_check import FILE_NAME, last_check, remember
from fairpull.terms.bench import BookCheck
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.version import VERSION

FOUND = BookCheck(
    (Finding("orphan-file", Severity.WARNING, "traces/\udc80\u202e<b>", "Nothing refers to it.", "Look at it."),),
    {"files": 3, "pulls": 2},
)


def test_findings_and_counts_come_back_and_the_next_goes_before(tmp_path: Path) -> None:
    assert last_check(tmp_path) is None
    remember(tmp_path, FOUND, whole=True, now=1e9)
    again = last_check(tmp_path)
    assert again is not None
    assert (again.at, again.version, again.whole) == (1e9, VERSION, True)
    assert again.found.looked_at == FOUND.looked_at
    assert again.found.findings[0].where == "traces/?\u202e<b>"
    assert again.found.findings[0].severity is Severity.WARNING
    remember(tmp_path, BookCheck((), {"files": 3}), whole=False)
    newer = last_check(tmp_path)
    assert newer is not None
    assert (newer.found.findings, newer.whole) == ((), False)
    assert newer.at > 1e9
    assert [path.name for path in tmp_path.iterdir()] == [FILE_NAME]


@pytest.mark.parametrize(
    "text", ["", "{", "[]", "7", '{"at": 1}', "[" * 100_000, '{"findings": [[1]], "looked_at": {}, "at": 1}', "\x00"]
)
def test_a_file_that_is_none_of_ours_is_no_check(tmp_path: Path, text: str) -> None:
    (tmp_path / FILE_NAME).write_text(text, "utf-8")
    assert last_check(tmp_path) is None


def test_the_work_remembers_what_it_found(kept: Book) -> None:
    told: list[str] = []
    result = check.work({"book": str(kept.folder)}, lambda done, total, saying: told.append(saying))
    again = last_check(kept.folder)
    assert again is not None
    assert result["check"]["looked_at"] == dict(again.found.looked_at)
    assert again.whole
    assert last_check(kept.folder) == again
    check.work({"book": str(kept.folder), "recompute": False}, lambda done, total, saying: None)
    shorter = last_check(kept.folder)
    assert shorter is not None
    assert not shorter.whole
