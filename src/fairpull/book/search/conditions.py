"""A search as a condition on the pulls' table.

No text of the person's reaches the database: names are matched here, against the names that the book holds, and only
those, numbers and fixed words are bound.
"""

from __future__ import annotations

import json
from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import (
    JSON,
    ColumnElement,
    Connection,
    Integer,
    Select,
    and_,
    cast,
    false,
    func,
    literal,
    not_,
    or_,
    select,
    true,
)

from fairpull.book.search import moments, names
from fairpull.book.search.tree import (
    ANY,
    Bound,
    Condition,
    DateIs,
    Either,
    Every,
    NumberIs,
    Range,
    Unless,
    Where,
    WordIs,
)
from fairpull.book.tables import FIGURES, PULLS
from fairpull.terms.errors import BookRefused, Fault
from fairpull.terms.glossary import BY_NAME

Clause = ColumnElement[bool]
SWEEP_RATE = ("sweep_rate",)
FEW = 500  # names bound one by one


def clause(where: Where, connection: Connection, traces: Path, *, within: Clause | None = None) -> Clause:
    """A search as a condition that a query of the pulls' table can use.

    Args:
        where: the search.
        connection: to the catalogue, in a transaction that reads.
        traces: folder below which trace files lie.
        within: what else the query asks for, so that fewer traces are read.

    Returns:
        The condition.

    Raises:
        SearchRefused: it names an engine, build, part or session that the book does not hold.
        BookRefused: a trace that has to be read is missing or damaged.
    """
    names.refuse_unknown(where, connection)
    return _Making(connection, traces).of(where.condition, true() if within is None else within)


def among(column: ColumnElement[int], numbers: Collection[int], connection: Connection) -> Clause:
    """A column's value is one of many numbers, bound as one JSON text however many there are.

    Args:
        column: of pull numbers.
        numbers: wanted.
        connection: says which database it is.

    Returns:
        The condition.
    """
    if not numbers:
        return false()
    listed: Select[Any]
    if connection.dialect.name == "postgresql":
        rows = func.json_array_elements_text(literal(sorted(numbers), JSON())).table_valued("value")
        listed = select(cast(rows.c.value, Integer))
    else:
        text = json.dumps(sorted(numbers), separators=(",", ":"))
        listed = select(func.json_each(text).table_valued("value").c.value)
    return column.in_(listed)


@dataclass(slots=True)
class _Making:
    """One search being turned into a condition."""

    connection: Connection
    traces: Path

    def of(self, condition: Condition, within: Clause) -> Clause:
        """The clause of any condition; ``within`` narrows what has to be read from traces."""
        if isinstance(condition, Every):
            return self.every(condition, within)
        if isinstance(condition, Either):
            return or_(*(self.of(part, within) for part in condition.parts))
        if isinstance(condition, Unless):
            return not_(self.of(condition.part, within))
        if isinstance(condition, NumberIs):
            return self.moment(condition, within) if condition.range else figure(condition)
        if isinstance(condition, DateIs):
            return day(condition)
        return self.word(condition)

    def every(self, condition: Every, within: Clause) -> Clause:
        """Parts that need traces come last and look only where the others hold."""
        cheap = [self.of(part, within) for part in condition.parts if not needs_traces(part)]
        narrowed = and_(within, *cheap)
        dear = [self.of(part, narrowed) for part in condition.parts if needs_traces(part)]
        return and_(*cheap, *dear)

    def moment(self, condition: NumberIs, within: Clause) -> Clause:
        """Narrowed by the figures, then read from the traces."""
        could = select(PULLS.c.number).where(within, *_could(condition))
        numbers = list(self.connection.execute(could).scalars())
        if not numbers:
            return false()
        logged = select(FIGURES.c.name).where(FIGURES.c.name.in_(condition.names)).distinct()
        there = frozenset(self.connection.execute(logged).scalars())
        columns = tuple(name for name in condition.names if name in there)
        try:
            found = moments.holding(condition, columns, _files(numbers, self.connection), self.traces)
        except moments.Moved:
            # Compaction moved traces since this transaction began to read; another one sees where to.
            with self.connection.engine.connect() as later:
                found = self.again(condition, columns, _files(numbers, later))
        return among(PULLS.c.number, found, self.connection)

    def again(self, condition: NumberIs, columns: tuple[str, ...], files: dict[int, str]) -> frozenset[int]:
        """A second reading, after which a missing trace is missing."""
        try:
            return moments.holding(condition, columns, files, self.traces)
        except moments.Moved as error:
            remedy = "run fairpull book check, and put the missing files back from a backup"
            fault = Fault("trace-missing", str(self.traces), "traces are not where they should be", remedy)
            raise BookRefused(fault) from error

    def word(self, condition: WordIs) -> Clause:
        """A word about the pull."""
        if condition.about in ("state", "kind"):
            return PULLS.c[condition.about] == condition.value
        if condition.about in ("name", "text", "sign"):
            return among(PULLS.c.number, names.pulls(condition, self.connection), self.connection)
        column = PULLS.c.session if condition.about == "session" else PULLS.c.build
        found = names.of_word(condition, self.connection)
        if len(found) <= FEW:
            return column.in_(sorted(found))
        wanted = select(PULLS.c.number, column)
        numbers = [int(number) for number, name in self.connection.execute(wanted) if name in found]
        return among(PULLS.c.number, numbers, self.connection)


def _files(numbers: Collection[int], connection: Connection) -> dict[int, str]:
    """Trace files of pulls, by number."""
    query = select(PULLS.c.number, PULLS.c.trace_file).where(among(PULLS.c.number, numbers, connection))
    return {int(number): str(file) for number, file in connection.execute(query)}


def needs_traces(condition: Condition) -> bool:
    """Whether a condition cannot be told from the catalogue alone.

    Args:
        condition: any.

    Returns:
        True where a range of speeds is in it.
    """
    if isinstance(condition, Every | Either):
        return any(needs_traces(part) for part in condition.parts)
    if isinstance(condition, Unless):
        return needs_traces(condition.part)
    return isinstance(condition, NumberIs) and condition.range is not None


def figure(condition: NumberIs) -> Clause:
    """A channel or a summary figure, from the figures table alone."""
    if condition.names == SWEEP_RATE:
        return _held(PULLS.c.sweep_rate, PULLS.c.sweep_rate, condition.bound)
    if condition.pick == ANY:
        held = _held(FIGURES.c.least, FIGURES.c.most, condition.bound)
    else:
        column = FIGURES.c[condition.pick]
        held = _held(column, column, condition.bound)
    return PULLS.c.number.in_(select(FIGURES.c.pull).where(FIGURES.c.name.in_(condition.names), held))


def _held(least: ColumnElement[Any], most: ColumnElement[Any], bound: Bound) -> Clause:
    """Somewhere from least to most the bound holds."""
    if bound.comparison == ">":
        return most > bound.low
    if bound.comparison == ">=":
        return most >= bound.low
    if bound.comparison == "<":
        return least < bound.high
    if bound.comparison == "<=":
        return least <= bound.high
    return and_(least <= bound.high, most >= bound.low)


def _could(condition: NumberIs) -> list[Clause]:
    """What the figures must show of a pull whose trace may hold the condition somewhere in the range."""
    held = _held(FIGURES.c.least, FIGURES.c.most, condition.bound)
    channel = select(FIGURES.c.pull).where(FIGURES.c.name.in_(condition.names), held)
    span = condition.range or Range()
    reached: list[Clause] = [FIGURES.c.name == BY_NAME["rpm"].name]
    low = span.past if span.past is not None else span.first
    high = span.below if span.below is not None else span.last
    if low is not None:
        reached.append(FIGURES.c.most >= low)
    if high is not None:
        reached.append(FIGURES.c.least <= high)
    return [PULLS.c.number.in_(channel), PULLS.c.number.in_(select(FIGURES.c.pull).where(*reached))]


def day(condition: DateIs) -> Clause:
    """A date, of the pull or of its taking in; pulls without a date are never found."""
    column = PULLS.c.started_at if condition.about == "date" else PULLS.c.taken_at
    clauses: dict[str, Clause] = {
        ">": column >= condition.end,
        ">=": column >= condition.start,
        "<": column < condition.start,
        "<=": column < condition.end,
        "=": and_(column >= condition.start, column < condition.end),
    }
    return and_(column.is_not(None), clauses[condition.comparison])
