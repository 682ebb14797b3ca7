"""What a request asks for, beyond its page: the book, units, theme, and who asks."""

from collections.abc import Mapping
from functools import cached_property
from typing import TYPE_CHECKING, Annotated, Any
from urllib.parse import urlencode

from fastapi import Depends, Request
from fastapi.responses import HTMLResponse, RedirectResponse

from fairpull.tasks.bench.door import house_settings, the_book
from fairpull.terms.errors import Fault, ValueRefused
from fairpull.web.guard.visits import need_token, token_of, visit_of
from fairpull.web.render import rendered
from fairpull.web.shop import Shop

if TYPE_CHECKING:
    from fairpull.tasks.apart.limits import Limits
    from fairpull.tasks.bench.door import Book

SYSTEMS = ("us", "metric")
THEMES = ("auto", "light", "dark")
READING = frozenset({"GET", "HEAD", "OPTIONS"})
THEME_COOKIE = "fairpull-theme"


class NoBook(Exception):
    """There is no book yet: the first page offers one."""


class Ask:
    """One request with what its page needs."""

    def __init__(self, request: Request) -> None:
        self.request = request
        self.shop: Shop = request.app.state.shop

    def book(self, write: bool = False) -> "Book":
        """The book, opened; a context manager.

        Args:
            write: something is to be changed.

        Returns:
            The open book.

        Raises:
            NoBook: there is none yet.
        """
        if self.shop.folder is None:
            raise NoBook
        return the_book(self.shop.folder, read_only=not write)

    @cached_property
    def house(self) -> dict[str, str]:
        """The house's settings; empty while there is no book, or nobody is logged in."""
        if self.shop.folder is None or not self.role:
            return {}
        with self.book() as kept:
            return house_settings(kept)

    @cached_property
    def system(self) -> str:
        """ "us" or "metric": of the address, else of the house.

        Raises:
            ValueRefused: another word.
        """
        given = self.request.query_params.get("units", "")
        if given and given not in SYSTEMS:
            raise ValueRefused(Fault("units", "units", repr(given[:40]), "use us or metric"))
        return given or self.house.get("units", "") or "us"

    @property
    def theme(self) -> str:
        """ "auto", "light" or "dark": of the address, else as chosen on this screen."""
        given = self.request.query_params.get("theme", "") or self.request.cookies.get(THEME_COOKIE, "")
        return given if given in THEMES else "auto"

    @property
    def role(self) -> str:
        """ "reads", "writes", or "" where nobody is logged in and somebody should be."""
        return visit_of(self.request).role

    @property
    def part(self) -> bool:
        """Whether only a fragment of the page is wanted."""
        return self.request.headers.get("hx-request", "") == "true"

    @property
    def path(self) -> str:
        """Path of this page."""
        return self.request.url.path

    @property
    def query(self) -> str:
        """The address's query, for charts that show the same; without the theme, which the browser knows."""
        kept = [(key, value) for key, value in self.request.query_params.multi_items() if key not in ("theme", "size")]
        return urlencode(kept)

    def token(self) -> str:
        """What a form on this page must carry."""
        return token_of(self.request)

    def url(self, **changes: str | list[str] | None) -> str:
        """This address with some values of its query changed.

        Args:
            changes: name -> value or values; None drops the name.

        Returns:
            Path and query.
        """
        kept = [(key, value) for key, value in self.request.query_params.multi_items() if key not in changes]
        for key, value in changes.items():
            if value is not None:
                kept += [(key, one) for one in ([value] if isinstance(value, str) else value)]
        return f"{self.path}?{urlencode(kept)}" if kept else self.path

    def page(self, template: str, status: int = 200, **values: Any) -> HTMLResponse:
        """A page or fragment.

        Args:
            template: name of its file.
            status: of the answer.
            values: for the template.

        Returns:
            The answer.
        """
        return HTMLResponse(rendered(template, self, values), status)

    def away(self, url: str) -> RedirectResponse:
        """On to another page, after a change.

        Args:
            url: path of this server.

        Returns:
            The answer.
        """
        return RedirectResponse(url, 303)

    def start(
        self, work: str, given: Mapping[str, Any], title: str, then: str = "/", limits: "Limits | None" = None
    ) -> RedirectResponse:
        """Start long work and go to the page that shows its progress.

        Args:
            work: its name in ``tasks.apart``.
            given: what is asked of it, as plain data.
            title: what it does, in a person's words.
            then: path of the page that shows what came of it.
            limits: what it may use; None takes what is usual for it.

        Returns:
            The answer.

        Raises:
            FairpullError: too many run already.
        """
        return self.away(f"/works/{self.shop.works.start(work, given, title, then, limits)}")


async def ask(request: Request) -> Ask:
    """The request as pages see it. A change without its visit's token is refused here, for every page.

    Args:
        request: as it came.

    Returns:
        It, with what pages need.

    Raises:
        HTTPException: 403, a change without its token.
    """
    if request.method not in READING:
        await need_token(request)
    return Ask(request)


Asked = Annotated[Ask, Depends(ask)]
