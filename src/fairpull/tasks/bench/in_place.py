"""A small file beside the book's catalogue, written in one step."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from fairpull.terms.errors import BookRefused, Fault


def write_in_place(place: Path, content: bytes) -> None:
    """Write a file so that a reader meets the old content or the new, never half of one.

    Args:
        place: the file; its folder is there.
        content: all of it.

    Raises:
        BookRefused: the folder cannot be written, or the disk is full.
    """
    making = place.with_name(f".{place.name}-{secrets.token_hex(8)}")
    try:
        with making.open("xb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        os.replace(making, place)
    except OSError as error:
        making.unlink(missing_ok=True)
        remedy = "see that the book's folder may be written and the disk has room"
        raise BookRefused(Fault("book-file-unwritable", place.name, error.strerror or str(error), remedy)) from error
