"""What an address asks of a comparison: builds in order, band, standard and the rest, read and written again."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, TypeVar
from urllib.parse import urlencode

from fairpull.show.facts.words import plain
from fairpull.terms.errors import FairpullError, Fault, UnknownName, ValueRefused

if TYPE_CHECKING:
    from fairpull.tasks.bench.door import Book
    from fairpull.tasks.request import CompareRequest
    from fairpull.web.ask import Ask

T = TypeVar("T")
MOST_BUILDS = 8
LONGEST = 400
LEAST_STEP = 25.0  # rpm; a finer grid takes minutes and shows nothing more
MOST_PULLS = 200  # compared in some ten seconds
MOST_SEED = 2**31 - 1
NAMES = ("of", "band", "smallest", "standard", "units", "step", "seed", "leave_out")
"""What the address of a comparison may hold, in this order."""
TYPED = ("band-low", "band-high", "leave_pull", "leave_reason")
"""What only the form sends; the address it leads to says it with ``NAMES``."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """A comparison as its address asks for it.

    Attributes:
        names: of builds, the reference first.
        words: everything else as typed, each of ``NAMES`` but "of" and "leave_out"; "" where nothing was.
        leave_out: pull -> why.
    """

    names: tuple[str, ...] = ()
    words: Mapping[str, str] = field(default_factory=dict)
    leave_out: Mapping[str, str] = field(default_factory=dict)

    def query(self) -> str:
        """The shortest query that asks for the same."""
        pairs = [("of", name) for name in self.names]
        pairs += [(name, self.words[name]) for name in NAMES if self.words.get(name)]
        pairs += [("leave_out", f"{pull}={reason}") for pull, reason in self.leave_out.items()]
        return urlencode(pairs)

    def url(self, path: str = "/compare", **changes: str) -> str:
        """Its address, some words changed."""
        asked = replace(self, words={**self.words, **changes}) if changes else self
        query = asked.query()
        return f"{path}?{query}" if query else path

    def of(self, names: Sequence[str]) -> Wanted:
        """The same asked of other builds, or of these in another order."""
        return replace(self, names=tuple(names))

    def counted_again(self, pull: str) -> Wanted:
        """The same with a pull that was left out."""
        return replace(self, leave_out={name: why for name, why in self.leave_out.items() if name != pull})


def wanted(asked: Ask) -> tuple[Wanted, tuple[Fault, ...], bool]:
    """Read the address.

    Args:
        asked: the request.

    Returns:
        What it asks; what is wrong with the form's own fields; whether the address should be written shorter.
    """
    items = [(name, text[: 4 * LONGEST]) for name, text in asked.request.query_params.multi_items()]
    given = {name: text.strip() for name, text in items if name not in ("of", "leave_out")}
    faults: list[Fault] = []
    names = tuple(dict.fromkeys(text for name, text in items if name == "of" and text))
    words = {name: given[name] for name in NAMES if given.get(name)}
    band = _band(given, faults)
    if band:
        words["band"] = band
    leave_out = dict(_split(text) for name, text in items if name == "leave_out" and text)
    leave_out |= _left_out(given, faults)
    long = any(name in TYPED or not text for name, text in items)
    long |= len(names) != sum(name == "of" for name, _ in items)
    return Wanted(names, words, leave_out), tuple(faults), long


def _split(text: str) -> tuple[str, str]:
    pull, _, reason = text.partition("=")
    return pull.strip(), reason.strip()


def _band(given: Mapping[str, str], faults: list[Fault]) -> str:
    low, high = given.get("band-low", ""), given.get("band-high", "")
    if bool(low) != bool(high):
        faults.append(Fault("band", "band", f"{plain(low or high)!r} alone", "give both ends of the band"))
    return f"{low}-{high}" if low and high else ""


def _left_out(given: Mapping[str, str], faults: list[Fault]) -> dict[str, str]:
    pull, reason = given.get("leave_pull", ""), given.get("leave_reason", "")
    if pull and not reason:
        faults.append(Fault("leave-out", "leave out", f"{plain(pull)} without a reason", "say why it does not count"))
    if reason and not pull:
        faults.append(Fault("leave-out", "leave out", "a reason without a pull", "name the pull, or clear the reason"))
    return {pull: reason} if pull and reason else {}


def request_of(want: Wanted) -> CompareRequest:
    """The words as values.

    Args:
        want: as read.

    Returns:
        The request of a comparison.

    Raises:
        ValueRefused: words that cannot be values, too many builds; all faults at once.
    """
    from fairpull.tasks.request import compare_request

    faults: list[Fault] = [*_names(want.names), *_loose(want)]
    seed = _taken(faults, lambda: _seed(want.words.get("seed", "")))
    made = _taken(
        faults,
        lambda: compare_request(
            {},
            step=want.words.get("step", ""),
            band=want.words.get("band", ""),
            smallest=_share(want.words.get("smallest", "")),
        ),
    )
    if made is not None and made.step is not None and made.step < LEAST_STEP:
        seen = f"{want.words.get('step', '')[:40]!r}"
        faults.append(Fault("step", "grid", plain(seen), f"give {LEAST_STEP:.0f} rpm or more on a page"))
    if faults or made is None:
        raise ValueRefused([replace(one, where=one.where.removeprefix("--")) for one in faults])
    return replace(made, standard=want.words.get("standard", ""), leave_out=dict(want.leave_out), seed=seed or 0)


def _names(names: Sequence[str]) -> list[Fault]:
    faults = [
        Fault("not-in-book", "builds", repr(plain(name[:80])), "no name has such characters; choose from the list")
        for name in names
        if not clean(name)
    ]
    if len(names) > MOST_BUILDS:
        seen = f"{len(names)} builds, and {MOST_BUILDS} can be told apart on one page"
        faults.append(Fault("too-many-builds", "builds", seen, "split them, the reference in each; links stand below"))
    return faults


def _loose(want: Wanted) -> list[Fault]:
    return [
        Fault("leave-out", f"leave out {plain(pull[:80])}", "no reason, or no name", "write PULL=REASON")
        for pull, reason in want.leave_out.items()
        if not (pull and reason and clean(pull) and clean(reason))
    ]


def clean(text: str) -> bool:
    """Whether a text can stand in a book at all."""
    return len(text) <= LONGEST and "\0" not in text and not any("\ud800" <= one <= "\udfff" for one in text)


def _seed(text: str) -> int:
    if not text:
        return 0
    if not (text.isascii() and text.isdigit() and len(text) < 11 and int(text) <= MOST_SEED):
        raise ValueRefused(Fault("seed", "seed", repr(plain(text[:40])), f"give a whole number, 0 to {MOST_SEED}"))
    return int(text)


def _share(text: str) -> str:
    """A share as typed into a field that says per cent beside it."""
    return text if not text or text.endswith("%") else f"{text} %"


def _taken(faults: list[Fault], make: Callable[[], T]) -> T | None:
    try:
        return make()
    except FairpullError as error:
        faults.extend(error.faults)
        return None


def known_pulls(kept: Book, want: Wanted) -> None:
    """Refuse to leave out a pull that these builds do not have.

    Args:
        kept: the book.
        want: as read.

    Raises:
        UnknownName: no such pull.
    """
    if not want.leave_out:
        return
    there = {line.name for line in kept.pulls(builds=want.names)}
    absent = [name for name in want.leave_out if name not in there] if len(want.names) > 1 else []
    if absent:
        remedy = f"one of: {', '.join(sorted(there)) or 'none'}"
        seen = "none of these builds has such a pull"
        raise UnknownName([Fault("not-in-book", f"leave out {plain(name)}", seen, remedy) for name in absent])


def few_enough(kept: Book, want: Wanted) -> None:
    """Refuse more pulls at once than a page can wait for.

    Args:
        kept: the book.
        want: as read.

    Raises:
        ValueRefused: too many.
    """
    from fairpull.tasks.bench.evidence import quick
    from fairpull.terms.bench import COUNTS

    def count() -> str:
        lines = kept.pulls(builds=want.names, states=(COUNTS,))
        return str(sum(line.name not in want.leave_out for line in lines))

    many = int(quick(kept, f"count {want.names} {sorted(want.leave_out)}", count))
    if many > MOST_PULLS:
        seen = f"{many} pulls count, and a page compares up to {MOST_PULLS} at once"
        remedy = "make a build of its own for later pulls, or use fairpull compare, which shows its progress"
        raise ValueRefused(Fault("too-many-pulls", "builds", seen, remedy))


def splits(want: Wanted) -> tuple[Wanted, ...]:
    """Too many builds as several comparisons, the reference in each."""
    reference, *others = want.names
    most = MOST_BUILDS - 1
    return tuple(want.of((reference, *others[at : at + most])) for at in range(0, len(others), most))
