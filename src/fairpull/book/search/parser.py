"""The search language's parser: recursive descent from a text to records.

    search     = both ("or" both)*
    both       = one ("and" one)*
    one        = "not" one | "(" search ")" | comparison
    comparison = phrase (">" | ">=" | "<" | "<=" | "=" | "~") value [range]
    range      = "past" speed | "below" speed | "between" speed "and" speed

What a phrase stands for, and so what its value has to be, stands in ``words``; values are read in ``values``.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from fairpull.book.search import values
from fairpull.book.search.tokens import CLOSE, COMPARISON, END, OPEN, QUOTED, WORD, Piece, pieces, place
from fairpull.book.search.tree import Condition, Either, Every, NumberIs, Range, Unless, Where
from fairpull.book.search.words import Named, named, near
from fairpull.terms.errors import FairpullError, Fault, SearchRefused

DEEPEST = 40  # parentheses within parentheses
MOST = 100  # comparisons
JOINING = ("and", "or")
RANGES = ("past", "below", "between")
EXAMPLE = "boost > 0.3 bar and peak power > 150 hp"


def parse_where(text: str) -> Where:
    """Understand a search.

    Args:
        text: e.g. "boost > 0.3 bar and peak power > 150 hp"; docs/search.md has the words.

    Returns:
        The search.

    Raises:
        SearchRefused: what cannot be understood, with its column and what would be accepted; wrong names and wrong
            values all at once, a broken sentence where it breaks.
    """
    reading = _Reading(text, pieces(text))
    if reading.now.kind == END:
        raise SearchRefused(Fault("search-empty", "search", "nothing is asked for", f"write e.g. {EXAMPLE}"))
    try:
        condition = reading.search(0)
        if reading.now.kind != END:
            reading.broken("and, or, or the end")
    except SearchRefused as error:
        raise SearchRefused((*reading.faults, *error.faults)) from error
    if reading.faults or condition is None:
        raise SearchRefused(reading.faults)
    return Where(text, condition)


@dataclass(slots=True)
class _Reading:
    """Where the parser stands, and the faults that did not stop it."""

    text: str
    pieces: tuple[Piece, ...]
    at: int = 0
    comparisons: int = 0
    faults: list[Fault] = field(default_factory=list)

    @property
    def now(self) -> Piece:
        return self.pieces[self.at]

    def broken(self, accepted: str) -> None:
        """Stop: the sentence breaks here."""
        seen = f'"{self.now.text[:40]}"' if self.now.kind != END else "the end of the search"
        raise SearchRefused(Fault("search-sentence", place(self.now.start), seen, f"here stands {accepted}"))

    def search(self, depth: int) -> Condition | None:
        """Parts joined by "or"; None where a part was faulty."""
        parts = [self.both(depth)]
        while self.now.says("or"):
            self.at += 1
            parts.append(self.both(depth))
        good = tuple(part for part in parts if part is not None)
        if len(good) < len(parts):
            return None
        return good[0] if len(good) == 1 else Either(good)

    def both(self, depth: int) -> Condition | None:
        """Parts joined by "and"."""
        parts = [self.one(depth)]
        while self.now.says("and"):
            self.at += 1
            parts.append(self.one(depth))
        good = tuple(part for part in parts if part is not None)
        if len(good) < len(parts):
            return None
        return good[0] if len(good) == 1 else Every(good)

    def one(self, depth: int) -> Condition | None:
        """A comparison, or something in parentheses, with any number of "not" before it."""
        turned = False
        while self.now.says("not"):
            self.at += 1
            turned = not turned
        part = self.bracketed(depth) if self.now.kind == OPEN else self.comparison()
        return Unless(part) if turned and part is not None else part

    def bracketed(self, depth: int) -> Condition | None:
        """What stands in parentheses."""
        if depth >= DEEPEST:
            self.broken(f"no further parenthesis: at most {DEEPEST} within one another")
        self.at += 1
        inside = self.search(depth + 1)
        if self.now.kind != CLOSE:
            self.broken("and, or, or a closing parenthesis")
        self.at += 1
        return inside

    def comparison(self) -> Condition | None:
        """One comparison; a wrong name or value is written down and the reading goes on."""
        self.comparisons += 1
        if self.comparisons > MOST:
            self.broken(f"the end: at most {MOST} comparisons in one search")
        first = self.now
        phrase = self.words(("and", "or"))
        if not phrase:
            self.broken(f"a comparison, e.g. {EXAMPLE}")
        if self.now.kind != COMPARISON:
            self.broken("a comparison: > >= < <= = or ~")
        sign = self.now
        self.at += 1
        value = self.value()
        said = self.range()
        spoken = " ".join(piece.text for piece in phrase)
        known = named(spoken)
        if known is None:
            self.faults.append(_unknown(first, spoken))
            return None
        try:
            return self.meant(known, sign, value, said, spoken)
        except FairpullError as error:
            self.faults += [_placed(one, value.start) for one in error.faults]
            return None

    def words(self, stops: tuple[str, ...]) -> list[Piece]:
        """Plain words up to one of the stops or to anything else."""
        found = []
        while self.now.kind == WORD and not self.now.says(*stops):
            found.append(self.now)
            self.at += 1
        return found

    def value(self) -> values.Value:
        """What stands behind the comparison: quoted, or words up to the next joining word or range."""
        if self.now.kind == QUOTED:
            piece = self.now
            self.at += 1
            return values.Value(piece.text, True, piece.start)
        start = self.now.start
        found = self.words((*JOINING, *RANGES))
        while self.now.kind == OPEN and found and self.now.start == found[-1].end:  # a unit such as hp(i)
            end = self.at + 1
            if self.pieces[end].kind != WORD or self.pieces[end + 1].kind != CLOSE:
                break
            found.append(self.pieces[end + 1])
            self.at = end + 2
        if not found:
            self.broken("a value: a number with its unit, a name, or a date")
        return values.Value(self.text[start : found[-1].end], False, start)

    def range(self) -> tuple[Piece, tuple[values.Value, ...]] | None:
        """The range behind a value, if any."""
        if not self.now.says(*RANGES):
            return None
        word = self.now
        self.at += 1
        speeds = [self.value()]
        if word.says("between"):
            if not self.now.says("and"):
                self.broken("and with the second speed, e.g. between 3000 and 4000 rpm")
            self.at += 1
            speeds.append(self.value())
        return word, tuple(speeds)

    def meant(
        self,
        known: Named,
        sign: Piece,
        value: values.Value,
        said: tuple[Piece, tuple[values.Value, ...]] | None,
        spoken: str,
    ) -> Condition:
        """The comparison as a record, now that it is known what the phrase stands for."""
        as_word = known.about and (not known.names or values.is_word(value, sign.text, known.unit))
        if not as_word:
            if sign.text == "~":
                raise _no_such_sign(sign, spoken, "is a number: use > >= < <= or =")
            span = self.span(known, said)
            held_against = values.bound(sign.text, value, known.unit, known.reference)
            return NumberIs(known.names, known.pick, held_against, span)
        if said is not None:
            raise SearchRefused(
                Fault("search-range", place(said[0].start), f"a range of speeds for {spoken}", "only channels have one")
            )
        if known.about in values.DATES:
            if sign.text == "~":
                raise _no_such_sign(sign, spoken, "is a date: use > >= < <= or =")
            return values.date_is(known.about, sign.text, value)
        if sign.text not in ("=", "~"):
            raise _no_such_sign(sign, spoken, "is a word: use = for the whole of it, ~ for a part of it")
        return values.word_is(known, sign.text, value)

    def span(self, known: Named, said: tuple[Piece, tuple[values.Value, ...]] | None) -> Range | None:
        """The range as a record."""
        if said is None:
            return None
        word, speeds = said
        if known.whole:
            seen = f"a range of speeds for a figure of the whole pull ({known.names[0].replace('_', ' ')})"
            remedy = "leave the range out, or ask for a channel, e.g. torque > 200 N m past 5000 rpm"
            raise SearchRefused(Fault("search-range", place(word.start), seen, remedy))
        return values.range_of(word.text.casefold(), speeds)


def _unknown(first: Piece, spoken: str) -> Fault:
    close = near(spoken)
    hint = f"near it: {', '.join(close)}; " if close else ""
    remedy = f"{hint}accepted: a channel, a summary figure such as peak power, or a word such as build (docs/search.md)"
    return Fault("search-name", place(first.start), f'"{spoken[:60]}" is not known', remedy)


def _placed(fault: Fault, start: int) -> Fault:
    """A fault with its column: the value's, where nothing nearer is known."""
    where = fault.where if fault.where.startswith("search") else place(start)
    return Fault(fault.code, where, fault.seen, fault.remedy)


def _no_such_sign(sign: Piece, spoken: str, remedy: str) -> SearchRefused:
    return SearchRefused(Fault("search-comparison", place(sign.start), f"{spoken} {sign.text}", f"{spoken} {remedy}"))
