"""Words of a search against the names and texts that the book holds, in any case of any script."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from sqlalchemy import Connection, func, select

from fairpull.book.json_text import loads
from fairpull.book.search.tokens import place
from fairpull.book.search.tree import Condition, Either, Every, Unless, Where, WordIs
from fairpull.book.search.words import CHANGES
from fairpull.book.tables import ATTACHMENTS, FITTED, PULLS, REMARKS, SHEETS
from fairpull.terms.change_words import LIMITS, SETTING, near_kinds, setting_key
from fairpull.terms.errors import FairpullError, Fault, SearchRefused
from fairpull.terms.units import lookup, parse

ENGINE, FUEL = "engine", "fuel"
NAMED = ("engine", "build", "part", "session")  # words that name a sheet


def refuse_unknown(where: Where, connection: Connection) -> None:
    """Refuse whole names that nothing in the book has: a slip of the pen would look like "no such pull".

    Args:
        where: the search.
        connection: to the catalogue.

    Raises:
        SearchRefused: all unknown names at once, each with near ones.
    """
    faults = []
    for word in _words(where.condition):
        if word.about == "change":
            faults += _unknown_change(word, connection)
        if word.about not in NAMED or word.part_of:
            continue
        known = _known(word, connection)
        if any(_same(word)(name) for name in known):
            continue
        what = word.kind or word.about
        close = difflib.get_close_matches(word.value[:80], sorted(known), n=3, cutoff=0.5)
        hint = f"near it: {', '.join(close)}; " if close else ""
        remedy = f"{hint}write a name that the book holds, or ~ for a part of a name"
        faults.append(Fault("search-unknown", place(word.column - 1), f'no {what} "{word.value[:60]}"', remedy))
    if faults:
        raise SearchRefused(faults)


def _unknown_change(word: WordIs, connection: Connection) -> list[Fault]:
    if word.value in CHANGES:
        return []
    bodies = _current(connection, "build").values()
    settings = sorted({str(name) for body in bodies for name in _settings(body).values()})
    if word.value in {SETTING + setting_key(name) for name in settings}:
        return []
    asked = word.value.removeprefix(SETTING)
    close = near_kinds(asked, settings)
    hint = f"near it: {', '.join(close)}; " if close else ""
    accepted = ", ".join([*CHANGES, *(SETTING + name for name in settings)])
    where = place(word.column - 1)
    return [Fault("search-unknown", where, f'no kind of change "{asked[:60]}"', f"{hint}accepted: {accepted}")]


def _words(condition: Condition) -> Iterator[WordIs]:
    if isinstance(condition, Every | Either):
        for part in condition.parts:
            yield from _words(part)
    elif isinstance(condition, Unless):
        yield from _words(condition.part)
    elif isinstance(condition, WordIs):
        yield condition


def _same(word: WordIs) -> Callable[[str], bool]:
    wanted = word.value.casefold()
    if word.part_of:
        return lambda name: wanted in name.casefold()
    return lambda name: name.casefold() == wanted


def _known(word: WordIs, connection: Connection) -> set[str]:
    """Names that the word may mean."""
    sheets = select(SHEETS.c.name).where(SHEETS.c.kind == word.about)
    known = set(connection.execute(sheets).scalars())
    if word.about in ("engine", "part"):
        return known | {part for _, part in _named(word, connection)}
    column = PULLS.c.session if word.about == "session" else PULLS.c.build
    return known | {name for name in connection.execute(select(column).distinct()).scalars() if name}


def _fitted(word: WordIs, connection: Connection) -> list[tuple[str, str]]:
    """Build and part, of the kinds that the word means."""
    query = select(FITTED.c.build, FITTED.c.part)
    if word.about == ENGINE:
        query = query.where(FITTED.c.kind == ENGINE)
    elif word.kind:
        query = query.where(FITTED.c.kind == word.kind)
    else:
        query = query.where(FITTED.c.kind != ENGINE)
    return [(str(build), str(part)) for build, part in connection.execute(query)]


def _named(word: WordIs, connection: Connection) -> list[tuple[str, str]]:
    """Build and name: of its parts, or of its engine; and of the fuel that it burns, part or not."""
    fitted = _fitted(word, connection)
    return [*fitted, *_fuels(connection)] if word.kind == FUEL else fitted


def _fuels(connection: Connection) -> Iterator[tuple[str, str]]:
    """Build and every name that its fuel goes by: the build's own sheet rules, then a part, then the engine's sheet."""
    sheets = _current(connection, "build", "part", "engine")
    for (kind, name), body in sheets.items():
        if kind != "build":
            continue
        part = sheets.get(("part", _part(body, FUEL, own=False)), {})
        engine = sheets.get(("engine", str(body.get(ENGINE, ""))), {})
        for given in (body.get(FUEL), part, engine.get(FUEL)):
            if given:
                yield from ((name, told) for told in _fuel_names(given))
                break


def _fuel_names(given: object) -> Iterator[str]:
    """A fuel is a name, or a table that has one."""
    if isinstance(given, Mapping):
        yield from (str(given[entry]) for entry in ("name", FUEL) if given.get(entry))
    else:
        yield str(given)


def of_word(word: WordIs, connection: Connection) -> frozenset[str]:
    """Names of the builds (or sessions) that a word means.

    Args:
        word: about an engine, a build, a part, a change (builds are given back) or a session.
        connection: to the catalogue.

    Returns:
        Names, as the pulls' table holds them.
    """
    fits = _same(word)
    if word.about in ("engine", "part"):
        return frozenset(build for build, part in _named(word, connection) if fits(part))
    if word.about == "change":
        return frozenset(_changed(word.value, connection))
    column = PULLS.c.session if word.about == "session" else PULLS.c.build
    return frozenset(name for name in connection.execute(select(column).distinct()).scalars() if name and fits(name))


def _current(connection: Connection, *kinds: str) -> dict[tuple[str, str], Any]:
    """The newest version of every sheet of these kinds."""
    newest = (
        select(SHEETS.c.kind, SHEETS.c.name, func.max(SHEETS.c.version).label("version"))
        .where(SHEETS.c.kind.in_(kinds))
        .group_by(SHEETS.c.kind, SHEETS.c.name)
        .subquery()
    )
    query = select(SHEETS.c.kind, SHEETS.c.name, SHEETS.c.body).join(
        newest,
        (SHEETS.c.kind == newest.c.kind) & (SHEETS.c.name == newest.c.name) & (SHEETS.c.version == newest.c.version),
    )
    return {(kind, name): loads(body) for kind, name, body in connection.execute(query)}


def _changed(kind: str, connection: Connection) -> Iterator[str]:
    """Builds whose sheet names a reference that has another part of this kind, or another value of this setting."""
    bodies = {name: body for (_, name), body in _current(connection, "build").items()}
    for name, body in bodies.items():
        reference = bodies.get(str(body.get("reference", "")))
        if reference is not None and not _alike(_entry(body, kind), _entry(reference, kind)):
            yield name


def _entry(body: Mapping[str, Any], kind: str) -> str:
    """What a build's sheet has of a kind of change; "" for nothing."""
    if not kind.startswith(SETTING):
        return _part(body, kind)
    name = _settings(body).get(kind.removeprefix(SETTING))
    return "" if name is None else str(body["settings"][name])


def _settings(body: Mapping[str, Any]) -> dict[str, str]:
    """Settings of a build's sheet: name as it is compared -> as it is written."""
    settings = body.get("settings")
    if not isinstance(settings, Mapping):
        return {}
    return {key: str(name) for name in settings if (key := setting_key(str(name))) not in LIMITS}


def _alike(one: str, other: str) -> bool:
    """Whether two entries say the same: "1 in" and "25.4 mm" do."""
    if one.strip().casefold() == other.strip().casefold():
        return True
    mine, theirs = _quantity(one), _quantity(other)
    if mine is None or theirs is None or mine[0] != theirs[0]:
        return False
    return math.isclose(mine[1], theirs[1], rel_tol=1e-6)


def _quantity(text: str) -> tuple[str, float] | None:
    """House unit and value of a number with its unit; None for words."""
    matched = re.fullmatch(r"\s*[-+]?[\d.,]+\s*(\S.*)?", text)
    if matched is None:
        return None
    unit = lookup(matched[1]) if matched[1] else None
    house = "1" if unit is None else unit.house
    try:
        return house, parse(text, house)
    except FairpullError:
        return None


def _part(body: Mapping[str, Any], kind: str, *, own: bool = True) -> str:
    """Name of a part of this kind; of fuel, what the build's sheet itself says goes first where ``own``."""
    if kind == ENGINE or (kind == FUEL and own and body.get(FUEL)):
        return str(body.get(kind, ""))
    parts = body.get("parts")
    return str(parts.get(kind, "")) if isinstance(parts, Mapping) else ""


def pulls(word: WordIs, connection: Connection) -> frozenset[int]:
    """Numbers of the pulls that a word about themselves means.

    Args:
        word: about a name, a text or a sign.
        connection: to the catalogue.

    Returns:
        The numbers.
    """
    if word.about == "sign":
        return frozenset(_with_sign(word.value, connection))
    fits = _same(word)
    if word.about == "name":
        rows = connection.execute(select(PULLS.c.number, PULLS.c.name))
        return frozenset(int(number) for number, name in rows if fits(name))
    return frozenset(_with_text(fits, connection))


def _with_sign(kind: str, connection: Connection) -> Iterator[int]:
    """Pulls whose health report shows a sign; the text is looked through first, so that few papers are read."""
    likely = PULLS.c.papers.contains(f'"kind":"{kind}"', autoescape=True)
    for number, papers in connection.execute(select(PULLS.c.number, PULLS.c.papers).where(likely)):
        health = loads(papers).get("health") or {}
        if any(sign["kind"] == kind for sign in health.get("signs", ())):
            yield int(number)


def _with_text(fits: Callable[[str], bool], connection: Connection) -> Iterator[int]:
    """Pulls with a text in their name, reason, remarks and attachments, or in those and the sheets of what they ran."""
    about = _about(fits, connection)
    builds = {name for kind, name in about if kind == "build"}
    fitted = connection.execute(select(FITTED.c.build, FITTED.c.kind, FITTED.c.part))
    builds |= {build for build, kind, part in fitted if (ENGINE if kind == ENGINE else "part", part) in about}
    query = select(PULLS.c.number, PULLS.c.name, PULLS.c.reason, PULLS.c.build, PULLS.c.session)
    for number, name, reason, build, session in connection.execute(query):
        named = fits(name) or fits(reason) or ("pull", name) in about
        if named or build in builds or ("session", session) in about:
            yield int(number)


def _about(fits: Callable[[str], bool], connection: Connection) -> set[tuple[str, str]]:
    """(kind, name) of everything whose sheet, remark or attachment holds a text."""
    sheets = _current(connection, "engine", "part", "build", "session")
    found = {place for place, body in sheets.items() if any(fits(text) for text in _texts(body))}
    notes = (
        select(REMARKS.c.about_kind, REMARKS.c.about_name, REMARKS.c.text),
        select(ATTACHMENTS.c.about_kind, ATTACHMENTS.c.about_name, ATTACHMENTS.c.note),
        select(ATTACHMENTS.c.about_kind, ATTACHMENTS.c.about_name, ATTACHMENTS.c.file_name),
    )
    for query in notes:
        found |= {(kind, name) for kind, name, text in connection.execute(query) if fits(text)}
    return found


def _texts(body: object) -> Iterator[str]:
    """All texts of a sheet, names of entries too."""
    if isinstance(body, str):
        yield body
    elif isinstance(body, Mapping):
        for key, value in body.items():
            yield str(key)
            yield from _texts(value)
    elif isinstance(body, list | tuple):
        for value in body:
            yield from _texts(value)
