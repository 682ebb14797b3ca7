"""Looking at files without keeping them: what is shown is what taking in would keep."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from fairpull.book import Book
from fairpull.tasks.bench.keep_files import keep_files
from fairpull.tasks.bench.look_at_files import look_at_files
from fairpull.tasks.bench.look_preview import POINTS, thinned
from fairpull.terms.offered import OfferedFile, Typed, TypedFile
from tests.tasks.bench.shop import HEADER, Shop


def look(kept: Book, path: Path, typed: Typed) -> OfferedFile:
    (one,) = look_at_files(kept, [path], typed, {}, lambda done: None)
    return one


def test_thinning_keeps_the_spikes() -> None:
    torque = np.sin(np.linspace(0, 9, 50_000))
    torque[31_234], torque[77] = 9.0, np.nan
    rows = thinned(torque, torque, POINTS)
    assert len(rows) <= POINTS
    assert 31_234 in rows
    assert rows == sorted(set(rows))
    assert thinned(torque[:50], torque[:50], POINTS) == list(range(50))
