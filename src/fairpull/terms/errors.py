"""Refusals: one base error, each carrying every fault found, with its place and its remedy."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong with an input.

    Attributes:
        code: short stable name, e.g. ``"humidity-as-percent"``.
        where: file, row, column, field or option.
        seen: what was found there.
        remedy: what would be accepted, as an instruction.
    """

    code: str
    where: str
    seen: str
    remedy: str

    def line(self) -> str:
        """The fault as one plain line."""
        return f"{self.where}: {self.seen} [{self.code}] -> {self.remedy}"


class FairpullError(Exception):
    """Base of every refusal. ``faults`` holds all that was wrong, never only the first."""

    def __init__(self, faults: Fault | Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = (faults,) if isinstance(faults, Fault) else tuple(faults)
        super().__init__("\n".join(fault.line() for fault in self.faults))


class ReadRefused(FairpullError):
    """A file could not be read as what it was offered as."""


class UnitRefused(FairpullError):
    """A unit is unknown, or does not measure the quantity asked for."""


class ValueRefused(FairpullError):
    """A number lies outside what is physically possible or accepted."""


class UnknownName(FairpullError):
    """A standard, format, channel or option value that does not exist; the remedy lists those that do."""


class NotComparable(FairpullError):
    """The pulls in hand do not allow the comparison asked for."""


class MissingExtra(FairpullError):
    """An optional library is needed; the remedy is the words to type."""


class BookRefused(FairpullError):
    """The bench book cannot be made, opened, read or written as it was asked."""


class SearchRefused(FairpullError):
    """A search text cannot be understood; each fault names the column where it stands."""
