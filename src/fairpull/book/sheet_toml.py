"""A sheet as the text of a TOML file that a person can read and edit, and back, exactly."""

from __future__ import annotations

import tomllib
from typing import Any

from fairpull.book.json_text import dumps, loads
from fairpull.terms.errors import BookRefused, FairpullError, Fault

HEAD = ("sheet", "name")
AS_JSON = "page_as_json"
"""Entry that holds the whole page as JSON text, where TOML cannot say it exactly (an entry without a value)."""


def to_toml(kind: str, name: str, body: str) -> str:
    """A sheet's TOML file.

    Args:
        kind: of sheet.
        name: of the sheet.
        body: its page, canonical JSON.

    Returns:
        The file's text, with the entries ``sheet`` and ``name`` at its top.
    """
    import tomli_w

    page = loads(body)
    head = dict(zip(HEAD, (kind, name), strict=True))
    if not set(page) & {*HEAD, AS_JSON}:
        for multiline in (True, False):
            try:
                text = tomli_w.dumps({**head, **page}, multiline_strings=multiline)
            except (TypeError, ValueError):
                break
            if _is(text, kind, name, body):
                return text
    return tomli_w.dumps({**head, AS_JSON: body})


def _is(text: str, kind: str, name: str, body: str) -> bool:
    try:
        return from_toml(text, "") == (kind, name, body)
    except FairpullError:
        return False


def from_toml(text: str, where: str) -> tuple[str, str, str]:
    """A sheet from its TOML file.

    Args:
        text: the file's.
        where: the file, for refusals.

    Returns:
        Kind, name, and page as canonical JSON.

    Raises:
        BookRefused: not TOML, no kind or name, or a page that cannot be kept.
    """
    try:
        page: dict[str, Any] = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        remedy = "put the file back as it was exported"
        raise BookRefused(Fault("not-toml", where, str(error), remedy)) from error
    kind, name = page.pop("sheet", None), page.pop("name", None)
    if not isinstance(kind, str) or not isinstance(name, str):
        seen = "it does not say which sheet it is"
        raise BookRefused(Fault("export-sheet", where, seen, 'it begins with sheet = "build" and name = "..."'))
    if isinstance(page.get(AS_JSON), str):
        return kind, name, str(page[AS_JSON])
    return kind, name, dumps(page, where=where)
