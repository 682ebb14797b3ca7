"""What the pages of sheets share: names from outside, addresses, and what a form sent."""

from typing import Annotated
from urllib.parse import quote

from fastapi import Depends, Path, Query, Request

from fairpull.show.facts.words import plain
from fairpull.terms.bench import SHEET_KINDS
from fairpull.terms.build import PART_KINDS
from fairpull.terms.errors import Fault, UnknownName

LONGEST = 400
MOST_FIELDS = 400
LONGEST_FIELD = 20_000

Kind = Annotated[str, Path(max_length=20)]
Name = Annotated[str, Path(max_length=LONGEST)]
Told = Annotated[str, Query(max_length=LONGEST)]


def known_kind(kind: str) -> str:
    """A kind of sheet.

    Args:
        kind: from the address.

    Returns:
        The kind.

    Raises:
        UnknownName: there is none of this name.
    """
    if kind not in SHEET_KINDS:
        raise UnknownName(Fault("sheet-kind", "sheet", repr(plain(kind)), f"one of: {', '.join(SHEET_KINDS)}"))
    return kind


def known_part(part: str) -> str:
    """A kind of part.

    Args:
        part: from the address.

    Returns:
        The kind.

    Raises:
        UnknownName: there is none of this name.
    """
    if part not in PART_KINDS:
        raise UnknownName(Fault("unknown-word", "kind of part", repr(plain(part)), f"one of: {', '.join(PART_KINDS)}"))
    return part


def number(text: str) -> int | None:
    """A version from the address.

    Args:
        text: as sent; "" for none.

    Returns:
        The number; None where none was asked for.

    Raises:
        UnknownName: no number of a version.
    """
    if not text:
        return None
    if not (text.isascii() and text.isdigit() and len(text) < 9):
        raise UnknownName(Fault("not-in-book", "version", repr(plain(text[:40])), "ask for a whole number from 1"))
    return int(text)


def address(kind: str, name: str, more: str = "") -> str:
    """The path of a sheet's page.

    Args:
        kind: of sheet.
        name: of the sheet.
        more: after it.

    Returns:
        The path.
    """
    return f"/sheets/{kind}/{quote(name, safe='')}{more}"


def attached(file_name: str) -> dict[str, str]:
    """Headers of a file to keep: its name without any folder, and no guess at what it is.

    Args:
        file_name: as it came.

    Returns:
        Headers.
    """
    bare = plain(file_name).replace("\\", "/").rpartition("/")[2].strip(". ") or "sheet"
    disposition = f"attachment; filename*=UTF-8''{quote(bare, safe='')}"
    return {"content-disposition": disposition, "x-content-type-options": "nosniff"}


async def _typed(request: Request) -> dict[str, str]:
    """Every field of the form, without control characters; what is too long for a sheet is cut."""
    form = await request.form()
    found: dict[str, str] = {}
    for key, value in list(form.multi_items())[:MOST_FIELDS]:
        if isinstance(value, str) and key != "token":
            said = value.replace("\r\n", "\n").replace("\r", "\n")
            found[plain(key)] = "\n".join(plain(line) for line in said.split("\n"))[:LONGEST_FIELD]
    return found


Typed = Annotated[dict[str, str], Depends(_typed)]
