"""The pages on sheets and duties: every entry of the code stands there, and every example can be added as it stands."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from benchmarks.book_maker import sheets as made_sheets
from fairpull.book import Book
from fairpull.tasks.bench import check_file, session_file
from fairpull.tasks.bench.builds import Shelf
from fairpull.tasks.bench.door import new_book
from fairpull.tasks.bench.sheet_files import CHECKS, keep_sheets, read_sheets
from fairpull.tasks.duty_file import KEYS as DUTY_KEYS
from fairpull.tasks.duty_file import TOP
from fairpull.tasks.question_file import KEYS as QUESTION_KEYS
from fairpull.terms.bench import Sheet
from tests.engine.test_sheets_page import PAGE, section

PAGES = (PAGE, PAGE.with_name("purpose.md"))
EXAMPLE = re.compile(r"^```toml\n(.*?)^```", re.MULTILINE | re.DOTALL)
ENTRIES = {
    "A session": {*session_file.ENTRIES},
    "A check": {*check_file.ENTRIES},
    "A question": {*QUESTION_KEYS, "builds"},
    "A duty": {*TOP},
}
KINDS_OF_DUTY = ("band", "line", "time", "gears", "cycle")


@pytest.mark.parametrize("heading", ENTRIES)
def test_every_entry_stands_on_the_page(heading: str) -> None:
    assert set(section(heading)) == ENTRIES[heading]


@pytest.mark.parametrize("heading", ENTRIES)
def test_every_example_of_an_entry_is_taken(kept: Book, heading: str) -> None:
    kind = heading.removeprefix("A ")
    rows = section(heading)
    alone = [key for key in rows if kind != "duty" or key in KINDS_OF_DUTY]
    for key in alone if kind == "duty" else [""]:
        chosen = {name: text for name, text in rows.items() if kind != "duty" or name == key or name not in alone}
        body = tomllib.loads("\n".join(f"{name} = {text}" for name, text in chosen.items()))
        CHECKS[kind](Sheet(kind, "x", body), Shelf(kept))


def test_every_table_of_a_duty_stands_on_the_page() -> None:
    text = PAGE.read_text("utf-8")
    rows = dict(re.findall(r"^\| `\[+([\w.]+)\]+` \| (.+?) \|$", text, re.MULTILINE))
    found = {name.rpartition(".")[2]: tuple(re.findall(r"\w+", keys)) for name, keys in rows.items()}
    assert found == dict(DUTY_KEYS)


def examples() -> list[str]:
    return [text for page in PAGES for text in EXAMPLE.findall(page.read_text("utf-8"))]


def test_every_example_can_be_added_as_it_stands(tmp_path: Path) -> None:
    texts = examples()
    assert len(texts) >= 14
    for number, text in enumerate(texts):
        (tmp_path / f"example-{number}.toml").write_text(text, "utf-8")
    read = read_sheets(sorted(tmp_path.glob("*.toml")))
    with new_book(tmp_path / "book") as kept:
        done = keep_sheets(kept, read)
    assert {sheet.kind for sheet in done} == {"engine", "part", "build", "session", "check", "question", "duty"}


def test_the_sheets_of_the_made_up_book_can_be_added(tmp_path: Path) -> None:
    with new_book(tmp_path / "book") as kept:
        assert len(keep_sheets(kept, made_sheets())) == len(made_sheets())
