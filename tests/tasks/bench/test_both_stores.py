"""The demo's two days taken straight into PostgreSQL come out as they do in files, to the last digit."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from fairpull.book import Book, open_book
from fairpull.show.jsonface import comparison_to_json
from fairpull.tasks.demo_day import DemoResult, run_demo
from fairpull.terms.bench import KeptPull
from fairpull.terms.comparison import Comparison
from tests.catalogues import Catalogues
from tests.postgres import Server


def lines_of(book: Book) -> list[KeptPull]:
    """All that the catalogue says of every pull, but when it was taken in and where its file lay."""
    return [replace(line, taken_at=0.0, origin=replace(line.origin, path="")) for line in book.pulls(full=True)]


def judgements(book: Book, name: str) -> list[tuple[str, str, float | None]]:
    return [(mark.state, mark.reason, mark.valid_to) for mark in book.marks(name)]


def told(comparison: Comparison) -> dict[str, Any]:
    """The comparison as JSON, its sources by their hashes alone: the two demos lie in two folders."""
    document = comparison_to_json(comparison)
    return {**document, "sources": sorted(document["sources"].values())}


def test_the_demo_is_the_same_on_both_stores(demo_in_files: DemoResult, tmp_path: Path, server: Server) -> None:
    with Catalogues(server).used():
        made = run_demo(tmp_path / "day", 1)
    with open_book(made.book, read_only=True) as kept, open_book(demo_in_files.book, read_only=True) as other:
        assert kept.store.database
        assert lines_of(kept) == lines_of(other)
        for line in kept.pulls():
            assert judgements(kept, line.name) == judgements(other, line.name)
    for one, two in zip(made.verdicts, demo_in_files.verdicts, strict=True):
        assert told(one.comparison) == told(two.comparison)
    assert made.scores == demo_in_files.scores
