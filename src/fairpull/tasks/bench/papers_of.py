"""Papers beside something in the book: remarks, and files that can be looked at and copied out."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from fairpull.tasks.bench.one_pull import about_named
from fairpull.terms.errors import Fault, ValueRefused

if TYPE_CHECKING:
    from fairpull.book import Book
    from fairpull.terms.bench import Attachment, Remark


@dataclass(frozen=True, slots=True)
class Papers:
    """What lies beside something.

    Attributes:
        about: (kind, name).
        notes, laid: remarks and attachments, in order of coming.
        places: content hash -> the file's place, below the book's folder.
    """

    about: tuple[str, str]
    notes: tuple[Remark, ...]
    laid: tuple[Attachment, ...]
    places: dict[str, str]

    def __bool__(self) -> bool:
        """Whether there is anything."""
        return bool(self.notes or self.laid)


def papers_of(kept: Book, about: tuple[str, str]) -> Papers:
    """Remarks and attachments about something.

    Args:
        kept: the book.
        about: (kind, name); a pull may be named by its number.

    Returns:
        What there is, perhaps nothing.

    Raises:
        UnknownName: there is nothing of this name.
    """
    about = about_named(kept, about)
    if about[0] != "pull":
        kept.sheet(*about)
    laid = kept.attachments(about)
    places = {one.sha256: _place(kept, kept.original(one.sha256)) for one in laid}
    return Papers(about, kept.remarks(about), laid, places)


def _place(kept: Book, path: Path) -> str:
    return path.relative_to(kept.folder).as_posix() if path.is_relative_to(kept.folder) else str(path)


def copy_out(kept: Book, laid: Sequence[Attachment], folder: Path) -> tuple[Path, ...]:
    """Copy attached files out of the book, each under the name that it came with; nothing is written over.

    Args:
        kept: the book.
        laid: attachments; a file that lies there twice is written once, two files of one name get a number.
        folder: where to; made if missing.

    Returns:
        The files, in order.

    Raises:
        ValueRefused: a file of that name is there already; nothing is written.
    """
    named: dict[str, str] = {}  # file name -> content hash
    for one in laid:
        name, number = Path(one.file_name).name, 1
        while named.get(name, one.sha256) != one.sha256:
            number += 1
            name = f"{Path(one.file_name).stem}-{number}{Path(one.file_name).suffix}"
        named[name] = one.sha256
    targets = {folder / name: sha256 for name, sha256 in named.items()}
    faults = [
        Fault("file-there", str(path), "a file of this name is there", "name another folder")
        for path in targets
        if path.exists()
    ]
    if faults:
        raise ValueRefused(faults)
    folder.mkdir(parents=True, exist_ok=True)
    for path, sha256 in targets.items():
        shutil.copyfile(kept.original(sha256), path)
    return tuple(targets)
