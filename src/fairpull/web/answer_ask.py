"""What the addresses of purpose, tune and past work have in common: names and words, faults in the form's terms."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING
from urllib.parse import quote, urlencode

from fairpull.show.facts.words import plain
from fairpull.terms.errors import FairpullError, Fault, UnknownName, ValueRefused
from fairpull.web.compare_ask import clean

if TYPE_CHECKING:
    from fairpull.terms.asking import BuildOffer
    from fairpull.terms.findings import Finding
    from fairpull.web.ask import Ask

LONGEST = 400
MOST_NAMES = 40


@dataclass(frozen=True, slots=True)
class Question:
    """A question as its address asks it.

    Attributes:
        of: names, in order, each once.
        words: everything else as typed; "" where nothing was.
    """

    of: tuple[str, ...] = ()
    words: Mapping[str, str] = field(default_factory=dict)

    def word(self, name: str) -> str:
        """One word; "" where it was not given."""
        return self.words.get(name, "")

    def query(self, **changes: str) -> str:
        """The shortest query that asks for the same, some words changed."""
        words = {**self.words, **changes}
        pairs = [(name, text) for name, text in words.items() if text]
        return urlencode([*pairs, *(("of", name) for name in self.of)])


def question(asked: Ask, names: Sequence[str]) -> Question:
    """Read the address.

    Args:
        asked: the request.
        names: of the words it may hold, besides "of" and "units".

    Returns:
        The question.

    Raises:
        ValueRefused: words that no book can hold, or too many names; all faults at once.
    """
    items = [(name, text.strip()) for name, text in asked.request.query_params.multi_items()]
    of = tuple(dict.fromkeys(text for name, text in items if name == "of" and text))
    given = {name: text for name, text in items if name in (*names, "units")}
    faults = [
        Fault("unreadable-words", name, repr(plain(text[:60])), "use plain letters, up to 400")
        for name, text in (*given.items(), *(("of", one) for one in of))
        if not clean(text)
    ]
    if len(of) > MOST_NAMES:
        faults.append(Fault("too-many-names", "builds", f"{len(of)} names", f"name up to {MOST_NAMES}"))
    if faults:
        raise ValueRefused(faults)
    return Question(of, {name: given[name] for name in (*names, "units") if given.get(name)})


def in_form(error: FairpullError, fields: Mapping[str, str]) -> tuple[Fault, ...]:
    """A refusal's faults, options of the command line called as the form calls them.

    Args:
        error: the refusal.
        fields: option -> label of the field.

    Returns:
        The faults.
    """
    found = []
    for one in error.faults:
        where, remedy = one.where, one.remedy
        for option, label in fields.items():
            where = label if where == option else where
            remedy = remedy.replace(option, label)
        found.append(replace(one, where=plain(where), seen=plain(one.seen), remedy=plain(remedy)))
    return tuple(found)


def findings_in_form(found: Sequence[Finding], fields: Mapping[str, str]) -> tuple[Finding, ...]:
    """Findings whose remedies call options of the command line as the form calls them.

    Args:
        found: the findings.
        fields: option -> label of the field.

    Returns:
        The same, in order.
    """
    made = []
    for one in found:
        remedy = one.remedy
        for option, label in fields.items():
            remedy = remedy.replace(option, f'"{label}":')
        made.append(replace(one, remedy=remedy))
    return tuple(made)


def status_of(error: FairpullError) -> int:
    """404 for a name that is not there, 422 for everything else."""
    return 404 if isinstance(error, UnknownName) else 422


def by_engine(offers: Sequence[BuildOffer]) -> dict[str, list[BuildOffer]]:
    """Builds under their engines."""
    found: dict[str, list[BuildOffer]] = {}
    for one in offers:
        found.setdefault(one.engine, []).append(one)
    return found


def build_links(names: Sequence[str]) -> dict[str, str]:
    """Build -> its page."""
    return {name: f"/sheets/build/{quote(name, safe='')}" for name in names}
