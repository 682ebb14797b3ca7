"""Passwords of the shop: one for each role, kept as argon2id hashes in the book's folder."""

from __future__ import annotations

import hashlib
import os
import tomllib
import unicodedata
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from fairpull.terms.errors import BookRefused, Fault, MissingExtra, UnknownName, ValueRefused

if TYPE_CHECKING:
    from argon2 import PasswordHasher

FILE = "shop.toml"
READS = "reads"
WRITES = "writes"
ROLES = (READS, WRITES)
SHORTEST = 10
LONGEST = 200
OURS_ONLY = 0o600
NOTE = "# Passwords of the shop, as argon2id hashes. Made by fairpull book password; keep it to yourself.\n"
EXTRA = 'type: pip install "fairpull[shop]"'


@dataclass(frozen=True, slots=True)
class Passwords:
    """The shop's passwords.

    Attributes:
        hashes: role -> argon2id hash.
    """

    hashes: Mapping[str, str]

    def stamp(self, role: str) -> str:
        """What changes when the password of a role changes.

        Args:
            role: "reads" or "writes".

        Returns:
            A digest; "" where the role has no password.
        """
        kept = self.hashes.get(role, "")
        return hashlib.sha256(kept.encode("utf-8")).hexdigest()[:32] if kept else ""


NONE = Passwords({})


def known_role(role: str) -> str:
    """Refuse a role that there is not.

    Args:
        role: as named.

    Returns:
        The same.

    Raises:
        UnknownName: it is none of ``ROLES``.
    """
    if role not in ROLES:
        raise UnknownName(Fault("no-such-role", "role", repr(role), f"one of: {', '.join(ROLES)}"))
    return role


def read_passwords(folder: Path) -> Passwords:
    """The passwords of a book's shop.

    Args:
        folder: the book's.

    Returns:
        Them; none where none was set.

    Raises:
        BookRefused: the file is damaged or may not be read.
    """
    path = folder / FILE
    try:
        said = tomllib.loads(path.read_text("utf-8"))
    except FileNotFoundError:
        return NONE
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        remedy = "take the file away and set the passwords again with fairpull book password"
        raise BookRefused(Fault("passwords-damaged", str(path), f"it cannot be read: {error}", remedy)) from error
    hashes = said.get("passwords", {})
    kept = hashes.items() if isinstance(hashes, dict) else ()
    return Passwords({role: text for role, text in kept if role in ROLES and isinstance(text, str)})


def set_password(folder: Path, role: str, words: str) -> Path:
    """Set the password of a role. Whoever logged in with the one before is logged out.

    Args:
        folder: the book's; it must be there.
        role: "reads" or "writes".
        words: the password.

    Returns:
        The file that holds the hashes.

    Raises:
        UnknownName: no such role.
        ValueRefused: too short, too long, or the same as the other role's.
        MissingExtra: argon2 is not installed.
        BookRefused: the folder may not be written.
    """
    known_role(role)
    plain = _checked(words)
    hasher = _hasher()
    before = read_passwords(folder)
    other = next(name for name in ROLES if name != role)
    if _fits(hasher, before.hashes.get(other, ""), plain):
        seen = f"the same as the password of {other}"
        raise ValueRefused(Fault("password-twice", role, seen, "choose another: the password says which role logs in"))
    hashes = {**before.hashes, role: hasher.hash(plain)}
    _write(folder, "".join(f'{name} = "{hashes[name]}"\n' for name in ROLES if name in hashes))
    return folder / FILE


def role_of(passwords: Passwords, words: str) -> str:
    """The role that a password opens. It takes a while, on purpose.

    Args:
        passwords: the shop's.
        words: as typed.

    Returns:
        "writes" or "reads"; "" where it opens none.

    Raises:
        MissingExtra: argon2 is not installed.
    """
    if not passwords.hashes or not words or len(words) > LONGEST:
        return ""
    hasher, plain = _hasher(), _plain(words)
    fitting = [role for role in ROLES if _fits(hasher, passwords.hashes.get(role, ""), plain)]
    return fitting[-1] if fitting else ""


def need_passwords(folder: Path | None) -> None:
    """Refuse to open a book to a network while nobody would have to log in.

    Args:
        folder: the book's; None where there is none yet.

    Raises:
        BookRefused: no password is set.
        MissingExtra: argon2 is not installed.
    """
    if folder is None or not read_passwords(folder).hashes:
        remedy = "type: fairpull book password writes" + (f" --book {folder}" if folder else " (with --book FOLDER)")
        seen = "others on the network could open the book, and no password is set"
        raise BookRefused(Fault("no-password", "serve", seen, remedy))
    _hasher()


def _checked(words: str) -> bytes:
    if len(words) < SHORTEST:
        seen, remedy = f"{len(words)} characters", f"use {SHORTEST} or more; a few words in a row are easy to keep"
        raise ValueRefused(Fault("password-short", "password", seen, remedy))
    if len(words) > LONGEST:
        raise ValueRefused(Fault("password-long", "password", f"{len(words)} characters", f"use {LONGEST} at most"))
    return _plain(words)


def _plain(words: str) -> bytes:
    """The same bytes on every keyboard for the same letters."""
    return unicodedata.normalize("NFKC", words).encode("utf-8", "surrogatepass")


def _hasher() -> PasswordHasher:
    try:
        from argon2 import PasswordHasher
    except ImportError as error:
        raise MissingExtra(Fault("no-argon2", "passwords", "argon2-cffi is not installed", EXTRA)) from error
    return PasswordHasher()


def _fits(hasher: PasswordHasher, kept: str, plain: bytes) -> bool:
    from argon2.exceptions import InvalidHashError, VerificationError

    if not kept:
        return False
    try:
        return hasher.verify(kept, plain)
    except (VerificationError, InvalidHashError):
        return False


def _write(folder: Path, lines: str) -> None:
    """In one step, and never readable for others, not even for a moment."""
    temporary = folder / f".{FILE}-{uuid.uuid4().hex}"
    try:
        handle = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL, OURS_ONLY)
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(f"{NOTE}[passwords]\n{lines}")
            file.flush()
            os.fsync(file.fileno())
        temporary.replace(folder / FILE)
    except OSError as error:
        temporary.unlink(missing_ok=True)
        remedy = "ask for the right to write into the book's folder"
        raise BookRefused(
            Fault("passwords-unwritten", str(folder / FILE), error.strerror or str(error), remedy)
        ) from error
