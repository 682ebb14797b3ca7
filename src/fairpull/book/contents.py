"""What an open book holds: all that is kept, found and judged. ``Book`` adds the tools that work on the whole of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Self

from fairpull.book import (
    days,
    finding,
    listing,
    marks,
    moving,
    originals,
    papers,
    pulls,
    results,
    retaking,
    settings,
    sheets,
    summaries,
    take,
)
from fairpull.book.store import Store
from fairpull.terms.bench import Attachment, KeptPull, Mark, NewPull, Remark, Resummary, Sheet, StoredResult, Taken
from fairpull.terms.looking import HitGroup
from fairpull.terms.pull import Pull

if TYPE_CHECKING:
    from fairpull.book.search import Where


class Contents:
    """An open book's contents. Every method that writes is one transaction: all of it is kept, or nothing.

    Attributes:
        store: folder, catalogue and transactions underneath.
    """

    def __init__(self, store: Store) -> None:
        """Open over a store.

        Args:
            store: whose schema is up to date.
        """
        self.store = store

    @property
    def folder(self) -> Path:
        """The book's folder."""
        return self.store.folder

    @property
    def read_only(self) -> bool:
        """Whether nothing may be written."""
        return self.store.read_only

    def close(self) -> None:
        """Let go of the catalogue."""
        self.store.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def settings(self) -> dict[str, str]:
        """What the house prefers, key -> value; see ``settings.settings``."""
        return settings.settings(self.store)

    def set(self, key: str, value: str) -> None:
        """Write one setting; "" takes it away; see ``settings.set_value``."""
        settings.set_value(self.store, key, value)

    def keep(self, sheets_: Sequence[Sheet]) -> tuple[Sheet, ...]:
        """Keep sheets, all or none; see ``sheets.keep``."""
        return sheets.keep(self.store, sheets_)

    def sheet(self, kind: str, name: str, version: int | None = None) -> Sheet:
        """One sheet, its newest version unless one is named; see ``sheets.sheet``."""
        return sheets.sheet(self.store, kind, name, version)

    def sheets(self, kind: str, *, all_versions: bool = False) -> tuple[Sheet, ...]:
        """All sheets of a kind, by name; see ``sheets.sheets``."""
        return sheets.sheets(self.store, kind, all_versions=all_versions)

    def take(self, pulls_: Sequence[NewPull], files: Mapping[str, Path]) -> Taken:
        """Take pulls in, all or none, each once; see ``take.take``."""
        return take.take(self.store, pulls_, files)

    def pull(self, name: str) -> KeptPull:
        """One kept pull, in full; see ``pulls.pull``."""
        return pulls.pull(self.store, name)

    def pulls(
        self,
        where: Where | None = None,
        *,
        builds: Sequence[str] = (),
        states: Sequence[str] = (),
        full: bool = False,
    ) -> tuple[KeptPull, ...]:
        """Kept pulls in order of their numbers; see ``pulls.pulls``."""
        return pulls.pulls(self.store, where, builds=builds, states=states, full=full)

    def names_of(self, sha256: str) -> tuple[str, ...]:
        """Names of the pulls that a file gave, by its content hash; see ``pulls.names_of``."""
        return pulls.names_of(self.store, sha256)

    def pulls_between(
        self, start: float, end: float, *, offset: float = 0.0, most: int = 100
    ) -> tuple[tuple[KeptPull, ...], int]:
        """Pulls of a stretch of time in full, newest first, and how many there are; see ``days.pulls_between``."""
        return days.pulls_between(self.store, start, end, offset=offset, most=most)

    def neighbours(self, start: float, end: float, *, offset: float = 0.0) -> tuple[float | None, float | None]:
        """When the nearest pulls before and after a stretch of time began; see ``days.neighbours``."""
        return days.neighbours(self.store, start, end, offset=offset)

    def pulls_page(
        self,
        where: Where | None = None,
        *,
        builds: Sequence[str] = (),
        states: Sequence[str] = (),
        most: int = 50,
        skip: int = 0,
    ) -> tuple[tuple[KeptPull, ...], int]:
        """One page of the pulls that fit in full, newest first, and how many fit; see ``listing.page``."""
        return listing.page(self.store, where, builds=builds, states=states, most=most, skip=skip)

    def count(self, where: Where) -> int | None:
        """How many pulls a search finds; see ``listing.count``."""
        return listing.count(self.store, where)

    def mark_of_change(self) -> str:
        """A short text that changes when anything on a list of pulls may; see ``days.mark``."""
        return days.mark(self.store)

    def find(self, words: Sequence[str], most: int = 20) -> tuple[HitGroup, ...]:
        """Everything that holds all of these words; see ``finding.find``."""
        return finding.find(self.store, words, most)

    def all_names(self) -> list[tuple[str, str]]:
        """Kind and name of every pull, sheet and result; see ``finding.names``."""
        return finding.names(self.store)

    def trace(self, name: str) -> Pull:
        """A kept pull with its channels, exact and verified; see ``pulls.trace``."""
        return pulls.trace(self.store, name)

    def mark(self, name: str, state: str, reason: str, *, valid_to: float | None = None, by: str = "") -> KeptPull:
        """Judge a pull; see ``marks.mark``. Returns its line as it stands then."""
        marks.mark(self.store, name, state, reason, valid_to=valid_to, by=by)
        return pulls.pull(self.store, name)

    def move(self, name: str, build: str, reason: str, *, by: str = "") -> KeptPull:
        """Say that a pull ran with another build; see ``moving.move``. Returns its line as it stands then."""
        moving.move(self.store, name, build, reason, by)
        return self.pull(name)

    def retake(self, name: str, new: NewPull, reason: str, *, by: str = "") -> KeptPull:
        """Put a pull that was read again in its place; see ``retaking.retake``. Returns its line as it stands then."""
        retaking.retake(self.store, name, new, reason, by)
        return self.pull(name)

    def resummarise(self, again: Sequence[Resummary], settings_: Mapping[str, str]) -> None:
        """Write summary figures anew, with the settings that they follow from; see ``summaries.resummarise``."""
        summaries.resummarise(self.store, again, settings_)

    def marks(self, name: str) -> tuple[Mark, ...]:
        """Every judgement of a pull, oldest first; see ``marks.marks``."""
        return marks.marks(self.store, name)

    def original(self, sha256: str) -> Path:
        """Where an original lies; see ``originals.original``."""
        return originals.original(self.store, sha256)

    def attach(self, path: Path, about: tuple[str, str], note: str = "") -> Attachment:
        """Keep a file beside something; see ``papers.attach``."""
        return papers.attach(self.store, path, about, note)

    def attachments(self, about: tuple[str, str] | None = None) -> tuple[Attachment, ...]:
        """Files beside something, or all; see ``papers.attachments``."""
        return papers.attachments(self.store, about)

    def remark(self, about: tuple[str, str], text: str, by: str = "") -> Remark:
        """Write a note about something; see ``papers.remark``."""
        return papers.remark(self.store, about, text, by)

    def remarks(self, about: tuple[str, str] | None = None) -> tuple[Remark, ...]:
        """Notes about something, or all; see ``papers.remarks``."""
        return papers.remarks(self.store, about)

    def keep_result(self, result: StoredResult) -> None:
        """Keep a result with everything that decides it; see ``results.keep_result``."""
        results.keep_result(self.store, result)

    def result(self, name: str) -> StoredResult:
        """One stored result; see ``results.result``."""
        return results.result(self.store, name)

    def results(self, kind: str = "") -> tuple[StoredResult, ...]:
        """Stored results, oldest first; see ``results.results``."""
        return results.results(self.store, kind)

    def look(self, reference: str, build: str) -> int:
        """Count one more look at a build against its reference; see ``results.look``."""
        return results.look(self.store, reference, build)

    def looks(self, reference: str, build: str) -> int:
        """How many looks there were; see ``results.looks``."""
        return results.looks(self.store, reference, build)
