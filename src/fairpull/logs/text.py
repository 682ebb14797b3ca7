"""Bytes to text: which encoding a log was written in, or why it is no text at all."""

from __future__ import annotations

import codecs
from dataclasses import dataclass

_BOMS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
FEW_ZEROS = 0.01  # share of zero bytes that a transmission fault may leave in a text
_CONTROL = bytes(code for code in range(32) if code not in (9, 10, 11, 12, 13, 26, 27))
_MAGIC = (
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"%PDF", "a PDF document"),
    (b"PK\x03\x04", "a zip container"),
    (b"\x1f\x8b", "gzip-compressed data"),
    (b"PAR1", "a Parquet file"),
    (b"MDF ", "an ASAM MDF measurement file"),
    (b"\xd0\xcf\x11\xe0", "an old binary workbook"),
    (b"\x7fELF", "a program"),
    (b"SQLite format 3", "an SQLite database"),
)


@dataclass(frozen=True, slots=True)
class Encoding:
    """How the bytes are to be read: codec name, length of the byte-order mark, and whether it was guessed."""

    name: str
    mark: int = 0
    guessed: bool = False

    @property
    def label(self) -> str:
        """Readable name."""
        return f"{self.name.upper()} with byte-order mark" if self.mark else self.name.upper()


def what_binary(head: bytes) -> str:
    """What a binary file is, or "" when it may be text.

    Args:
        head: the first bytes of the file.

    Returns:
        A phrase such as "a PNG picture", or "".
    """
    for magic, name in _MAGIC:
        if head.startswith(magic):
            return name
    if not head.strip(b"\x00"):
        return "nothing but zero bytes"
    return ""


def encoding_of(head: bytes) -> Encoding | None:
    """The encoding of a text file, judged by its first bytes.

    Args:
        head: the first bytes of the file, at least one.

    Returns:
        The encoding; None when the bytes are no text. Bytes that are not UTF-8 are read as Windows-1252, which
        holds Latin-1's letters.
    """
    if what_binary(head):
        return None
    for mark, name in _BOMS:
        if head.startswith(mark):
            return Encoding(name, len(mark))
    if head.count(0) > FEW_ZEROS * len(head):
        return _without_mark(head)
    head = head.replace(b"\x00", b"")
    if len(head) - len(head.translate(None, _CONTROL)) > len(head) // 500:
        return None
    try:
        codecs.getincrementaldecoder("utf-8")().decode(head, final=False)
    except UnicodeDecodeError:
        return Encoding("cp1252", 0, True)
    return Encoding("utf-8")


def _without_mark(head: bytes) -> Encoding | None:
    even, odd = head[0::2], head[1::2]
    zeros_even, zeros_odd = even.count(0) / max(len(even), 1), odd.count(0) / max(len(odd), 1)
    if zeros_odd > 0.6 and zeros_even < 0.1:
        return Encoding("utf-16-le", 0, True)
    if zeros_even > 0.6 and zeros_odd < 0.1:
        return Encoding("utf-16-be", 0, True)
    return None


def decode(content: bytes, encoding: Encoding) -> str:
    """Text of the bytes; a byte that does not fit becomes the replacement character.

    Args:
        content: file bytes, from the first one.
        encoding: as found by `encoding_of`.

    Returns:
        The text without byte-order mark, line ends as they stood.
    """
    return content[encoding.mark :].decode(encoding.name, errors="replace").replace("\x00", "")
