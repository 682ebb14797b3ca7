"""Words looked for in everything that the book holds: pulls, sheets, remarks, papers and kept results.

What a person typed reaches the database as bound values only, with the wildcards in it escaped.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from sqlalchemy import ColumnElement, Connection, and_, case, func, not_, or_, select

from fairpull.book.json_text import loads
from fairpull.book.store import Store
from fairpull.book.tables import ATTACHMENTS, ORIGINALS, PULLS, REMARKS, RESULTS, SHEETS
from fairpull.terms.bench import SHEET_KINDS
from fairpull.terms.looking import PAPER, PULL, REMARK, RESULT, Hit, HitGroup

Clause = ColumnElement[bool]
ESCAPE = "/"
DEEP = 2000  # pulls whose findings are read through, newest first
BESIDE = (PULLS.c.build, PULLS.c.session, ORIGINALS.c.file_name, PULLS.c.reason)
WHOLE, BEGINS, NAMED, NEAR, WITHIN = range(5)  # ranks of a hit


def find(store: Store, words: Sequence[str], most: int = 20) -> tuple[HitGroup, ...]:
    """Everything that holds all of some words, in any case.

    Args:
        store: the book's.
        words: each without control characters; none finds nothing.
        most: hits to give back of each kind.

    Returns:
        One group for each kind that has a hit, likeliest first.
    """
    wanted = tuple(dict.fromkeys(words))
    if not wanted:
        return ()
    with store.reading() as connection:
        groups = [
            *_sheets(connection, wanted, most),
            _pulls(connection, wanted, most),
            *_notes(connection, wanted, most),
        ]
    return tuple(sorted((one for one in groups if one.total), key=lambda one: min(hit.rank for hit in one.hits)))


def names(store: Store) -> list[tuple[str, str]]:
    """Kind and name of every pull, sheet and result."""
    with store.reading() as connection:
        found = [(PULL, name) for name in connection.execute(select(PULLS.c.name)).scalars()]
        sheets = connection.execute(select(SHEETS.c.kind, SHEETS.c.name).distinct())
        found += [(kind, name) for kind, name in sheets]
        return found + [(RESULT, name) for name in connection.execute(select(RESULTS.c.name)).scalars()]


def _holds(connection: Connection, column: ColumnElement[str], word: str, *, within_json: bool = False) -> Clause:
    """A column holds a word. Other letters than a to z are sought as they are, small and capital."""
    forms = {word} if word.isascii() else {word, word.lower(), word.upper(), word.title()}
    clauses = []
    for form in sorted(forms):
        text = json.dumps(form, ensure_ascii=False)[1:-1] if within_json else form
        pattern = f"%{_escaped(text)}%"
        if connection.dialect.name == "postgresql":
            clauses.append(column.ilike(pattern, escape=ESCAPE))
        else:
            clauses.append(column.like(pattern, escape=ESCAPE))  # which knows no case here
    return or_(*clauses)


def _escaped(text: str) -> str:
    return re.sub(r"([/%_])", r"/\1", text)


def _every(connection: Connection, words: Sequence[str], columns: Sequence[ColumnElement[str]]) -> Clause:
    """Each word stands in one of the columns."""
    return and_(*(or_(*(_holds(connection, column, word) for column in columns)) for word in words))


def _has(text: str, words: Sequence[str]) -> bool:
    low = text.casefold()
    return any(word.casefold() in low for word in words)


def _rank(name: str, words: Sequence[str]) -> int | None:
    """How likely a name is meant; None where it does not hold every word."""
    low, whole = name.casefold(), " ".join(words).casefold()
    if low == whole:
        return WHOLE
    if not all(word.casefold() in low for word in words):
        return None
    return BEGINS if low.startswith(words[0].casefold()) else NAMED


def _pulls(connection: Connection, words: Sequence[str], most: int) -> HitGroup:
    """Pulls by what stands in their line, likeliest and newest first; then by their findings."""
    columns = (PULLS.c.name, *BESIDE)
    line = _every(connection, words, columns)
    named = _every(connection, words, columns[:1])
    joined = PULLS.join(ORIGINALS, ORIGINALS.c.sha256 == PULLS.c.original)
    whole = func.lower(PULLS.c.name) == " ".join(words).lower()
    order = (case((whole, WHOLE), (named, NAMED), else_=NEAR), PULLS.c.number.desc())
    rows = connection.execute(select(*columns).select_from(joined).where(line).order_by(*order).limit(most)).all()
    total = len(rows)
    if total == most:
        total = int(connection.execute(select(func.count()).select_from(joined).where(line)).scalar() or 0)
    hits = [_pull_hit(tuple(row), words) for row in rows]
    deep, more = _by_findings(connection, words, line)
    return HitGroup(PULL, (*hits, *deep)[:most], total + len(deep), more)


def _pull_hit(cells: Sequence[str], words: Sequence[str]) -> Hit:
    name = cells[0]
    rank = _rank(name, words)
    if rank is not None:
        return Hit(PULL, name, "name", name, rank=rank)
    told = ("build", "session", "file", "reason")
    which, text = next((one for one in zip(told, cells[1:], strict=True) if _has(one[1], words)), ("name", name))
    return Hit(PULL, name, which, text, rank=NEAR)


def _by_findings(connection: Connection, words: Sequence[str], line: Clause) -> tuple[list[Hit], bool]:
    """Pulls that hold the words in their findings only, newest first; whether older ones were not read through."""
    plain = (PULLS.c.name, *BESIDE)
    either = [
        or_(_holds(connection, PULLS.c.papers, word, within_json=True), _every(connection, [word], plain))
        for word in words
    ]
    joined = PULLS.join(ORIGINALS, ORIGINALS.c.sha256 == PULLS.c.original)
    some = or_(*(_holds(connection, PULLS.c.papers, word, within_json=True) for word in words))
    query = select(*plain, PULLS.c.papers).select_from(joined).where(not_(line), some, *either)
    found, seen = [], 0
    for row in connection.execute(query.order_by(PULLS.c.number.desc()).limit(DEEP)):
        seen += 1
        *cells, papers = row
        told = _told(papers, words)
        beside = " ".join(cells).casefold()
        if told and all(word.casefold() in beside or _has(" ".join(map(" ".join, told)), [word]) for word in words):
            code, text = next((one for one in told if _has(" ".join(one), words)), told[0])
            found.append(Hit(PULL, cells[0], f"finding {code}", text))
    return found, seen == DEEP


KEYS = re.compile(r'"(?:code|severity|where|text|remedy|kind|low|high|size|unit|evidence|confirm|counts_to)":')


def _told(papers: str, words: Sequence[str]) -> list[tuple[str, str]]:
    """Code and text of findings and signs; none where their part of the papers holds no word, which is told quickly."""
    findings = papers.partition('"findings":')[2].partition('"first_row":')[0]
    signs = papers.partition('"signs":')[2].partition('"unseen":')[0]
    if not _has(KEYS.sub("", findings + signs), [json.dumps(word, ensure_ascii=False)[1:-1] for word in words]):
        return []
    page = loads(papers)
    told = [(str(one["code"]), f"{one['text']} {one['remedy']}") for one in page["findings"]]
    health = page.get("health") or {}
    told += [(str(one["kind"]), f"{one['evidence']} {one['confirm']}") for one in health.get("signs", ())]
    return [one for one in told if _has(" ".join(one), words)]


def _sheets(connection: Connection, words: Sequence[str], most: int) -> Iterator[HitGroup]:
    """Newest versions of sheets that hold the words."""
    newest = (
        select(SHEETS.c.kind, SHEETS.c.name, func.max(SHEETS.c.version).label("version"))
        .group_by(SHEETS.c.kind, SHEETS.c.name)
        .subquery()
    )
    same = [SHEETS.c[name] == newest.c[name] for name in ("kind", "name", "version")]
    likely = [
        or_(_holds(connection, SHEETS.c.name, word), _holds(connection, SHEETS.c.body, word, within_json=True))
        for word in words
    ]
    query = select(SHEETS.c.kind, SHEETS.c.name, SHEETS.c.body).join(newest, and_(*same)).where(*likely)
    by_kind: dict[str, list[Hit]] = {kind: [] for kind in SHEET_KINDS}
    for kind, name, body in connection.execute(query.order_by(SHEETS.c.kind, SHEETS.c.name)):
        hit = _sheet_hit(kind, name, loads(body), words)
        if hit is not None:
            by_kind[kind].append(hit)
    for kind, hits in by_kind.items():
        yield _group(kind, hits, most)


def _sheet_hit(kind: str, name: str, body: Mapping[str, Any], words: Sequence[str]) -> Hit | None:
    rank = _rank(name, words)
    if rank is not None:
        return Hit(kind, name, "name", name, rank=rank)
    entries = [(key, text) for key, text in _entries(body)]
    everything = " ".join([name, *(f"{key} {text}" for key, text in entries)]).casefold()
    if not all(word.casefold() in everything for word in words):
        return None
    key, text = next((one for one in entries if _has(" ".join(one), words)), ("name", name))
    return Hit(kind, name, key, text)


def _entries(body: object, key: str = "") -> Iterator[tuple[str, str]]:
    """Every entry of a sheet with its place, e.g. "parts camshaft"."""
    if isinstance(body, Mapping):
        for name, value in body.items():
            yield from _entries(value, f"{key} {name}".strip())
    elif isinstance(body, list | tuple):
        for value in body:
            yield from _entries(value, key)
    else:
        yield key, str(body)


def _notes(connection: Connection, words: Sequence[str], most: int) -> Iterator[HitGroup]:
    """Remarks, attachments and kept results, newest first."""
    texts = (REMARKS.c.text, REMARKS.c.by)
    query = select(REMARKS.c.about_kind, REMARKS.c.about_name, *texts).where(_every(connection, words, texts))
    rows = connection.execute(query.order_by(REMARKS.c.number.desc())).all()
    yield _group(REMARK, [Hit(REMARK, name, by, text, kind, NEAR) for kind, name, text, by in rows], most)
    texts = (ATTACHMENTS.c.file_name, ATTACHMENTS.c.note)
    query = select(ATTACHMENTS.c.about_kind, ATTACHMENTS.c.about_name, *texts).where(_every(connection, words, texts))
    rows = connection.execute(query.order_by(ATTACHMENTS.c.number.desc())).all()
    yield _group(PAPER, [Hit(PAPER, name, file, note, kind, NEAR) for kind, name, file, note in rows], most)
    asked = (RESULTS.c.name, RESULTS.c.kind, RESULTS.c.request)
    query = select(*asked).where(_every(connection, words, asked)).order_by(RESULTS.c.made_at.desc())
    yield _group(RESULT, [_result_hit(tuple(row), words) for row in connection.execute(query)], most)


def _result_hit(row: Sequence[str], words: Sequence[str]) -> Hit:
    name, kind, request = row
    rank = _rank(name, words)
    if rank is not None:
        return Hit(RESULT, name, "name", name, rank=rank)
    asked = ", ".join(f"{key} {text}" for key, text in _entries(loads(request)) if text)
    return Hit(RESULT, name, kind, asked)


def _group(kind: str, hits: Sequence[Hit], most: int) -> HitGroup:
    """The likeliest hits; those of one rank stay in the order in which they came."""
    return HitGroup(kind, tuple(sorted(hits, key=lambda hit: hit.rank))[:most], len(hits))
