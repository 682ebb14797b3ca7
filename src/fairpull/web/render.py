"""Templates to HTML: all text escaped, control characters dropped."""

from __future__ import annotations

from collections.abc import Mapping
from contextvars import ContextVar
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol
from urllib.parse import quote

import jinja2
from markupsafe import Markup

from fairpull.show.facts import remarks, words
from fairpull.terms.version import VERSION
from fairpull.web.static_files import address

if TYPE_CHECKING:
    from collections.abc import Iterable

    from fairpull.show.facts.remarks import Entry
    from fairpull.terms.findings import Finding

TEMPLATES = Path(__file__).parent / "templates"


class Asking(Protocol):
    """What drawing needs of a request."""

    @property
    def theme(self) -> str:
        """ "auto", "light" or "dark"."""

    def token(self) -> str:
        """What a form on this page must carry."""


_ASKED: ContextVar[Asking] = ContextVar("asked")
"""The request being answered: macros of imported templates see it too."""


def _plain(value: Any) -> Any:
    """Text without control characters; line ends stay, for text areas."""
    if isinstance(value, str) and not value.isprintable():
        return type(value)("\n".join(words.plain(line) for line in value.split("\n")))
    return "" if value is None else value


def part(name: str) -> str:
    """A name as one part of a path.

    Args:
        name: any text.

    Returns:
        It, quoted.
    """
    return quote(name, safe="", errors="replace")


def entries(findings: Iterable[Finding]) -> tuple[Entry, ...]:
    """Findings as a person reads them, faults first.

    Args:
        findings: any.

    Returns:
        One for each kind.
    """
    return remarks.entries(findings)


def _token() -> Markup:
    """The hidden field that every form which changes something carries."""
    return Markup('<input type="hidden" name="token" value="{}">').format(_ASKED.get().token())


def _theme() -> str:
    """The theme of the page being drawn."""
    return _ASKED.get().theme


@cache
def environment() -> jinja2.Environment:
    """The templates, read once.

    Returns:
        The environment.
    """
    made = jinja2.Environment(
        loader=jinja2.FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        finalize=_plain,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    made.filters["part"] = part
    made.filters["entries"] = entries
    made.globals.update(
        static=address, token=_token, form_token=_token, theme=_theme, version=VERSION, cautions=words.CAUTIONS
    )
    return made


def rendered(template: str, asked: Asking, values: Mapping[str, Any]) -> str:
    """One template as HTML.

    Args:
        template: name of its file.
        asked: the request.
        values: more names for the template.

    Returns:
        The HTML.
    """
    mark = _ASKED.set(asked)
    try:
        return environment().get_template(template).render({"asked": asked, **values})
    finally:
        _ASKED.reset(mark)
