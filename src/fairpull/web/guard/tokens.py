"""Signs that only this process can make: a visit's cookie, and the token that a form of that visit carries."""

from __future__ import annotations

import hmac
import re
import secrets
from base64 import urlsafe_b64encode
from hashlib import sha256

NAME_BYTES = 18
_NAME = re.compile(r"[A-Za-z0-9_-]{24}")


def new_name() -> str:
    """A name that nobody can guess.

    Returns:
        24 characters.
    """
    return secrets.token_urlsafe(NAME_BYTES)


class Seal:
    """Makes and checks signs with a secret that lives as long as the process."""

    def __init__(self, secret: bytes | None = None) -> None:
        """With a new secret, or a test's."""
        self._secret = secret or secrets.token_bytes(32)

    def cookie(self, visit: str) -> str:
        """The value of a visit's cookie.

        Args:
            visit: its name.

        Returns:
            Name and sign.
        """
        return f"{visit}.{self._sign('visit', visit)}"

    def visit(self, cookie: str) -> str:
        """The visit that a cookie names.

        Args:
            cookie: its value, from outside.

        Returns:
            The visit's name; "" where the cookie is not of our making.
        """
        name, _, sign = cookie.partition(".")
        good = _NAME.fullmatch(name) is not None and _same(sign, self._sign("visit", name))
        return name if good else ""

    def token(self, visit: str, session: str = "") -> str:
        """The token that forms of a visit carry.

        Args:
            visit: its name.
            session: of whoever is logged in.

        Returns:
            The token.
        """
        return self._sign("token", f"{visit} {session}")

    def good_token(self, given: str, visit: str, session: str = "") -> bool:
        """Whether a token is the one of this visit.

        Args:
            given: from outside.
            visit: its name.
            session: of whoever is logged in.

        Returns:
            True where it is; it takes as long either way.
        """
        return bool(visit) and _same(given, self.token(visit, session))

    def _sign(self, kind: str, text: str) -> str:
        mac = hmac.new(self._secret, f"{kind} {text}".encode(), sha256).digest()
        return urlsafe_b64encode(mac).decode("ascii").rstrip("=")


def _same(given: str, made: str) -> bool:
    return hmac.compare_digest(given.encode("utf-8", "surrogatepass"), made.encode("ascii"))
