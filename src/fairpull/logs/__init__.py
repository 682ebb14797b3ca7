"""Logs: one door, formats found by sniffers that give reasons, columns recognised from the glossary."""

from __future__ import annotations

from pathlib import Path

from fairpull.logs.join import join
from fairpull.logs.options import ReadOptions
from fairpull.terms.recording import Recording

__all__ = ["ReadOptions", "join", "read"]


def read(path: Path | str, options: ReadOptions | None = None) -> tuple[Recording, ...]:
    """Read a log file; see `fairpull.logs.door.read`.

    Args:
        path: the file.
        options: what the person says of it.

    Returns:
        One recording, or one for each curve of a long table.

    Raises:
        ReadRefused: with all faults of the file.
        UnknownName: a format that does not exist.
    """
    from fairpull.logs.door import read as read_file

    return read_file(path, options)
