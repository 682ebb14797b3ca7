"""What can be taken away from a comparison: charts, tables, the document, the report."""

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any
from urllib.parse import quote

from fastapi import APIRouter, Response

from fairpull.show.chart_theme import Size, Theme
from fairpull.show.facts import compare_page
from fairpull.show.facts import difference as one_difference
from fairpull.show.facts.words import plain
from fairpull.terms.errors import Fault, UnknownName
from fairpull.web import figures
from fairpull.web.ask import Asked
from fairpull.web.compare_made import Compared, compared_as_asked

router = APIRouter()

Draw = Callable[[Theme, Size], Mapping[str, Any]]


@router.get("/compare/chart/{name}.{kind}")
def chart(asked: Asked, name: str, kind: str) -> Response:
    """One of the comparison's charts, live or as a file."""
    made = compared_as_asked(asked)
    system = asked.system
    read = None
    if name in compare_page.chart_names(made.fair.comparison):
        draw: Draw = partial(_plain, made, name, system, kind == "json")
        table: Callable[[], str] = partial(_plain_csv, made, name, system)
        read = None if name == "timeline" else partial(_reading, made, name, system)
    else:
        draw, table = _fair(made, name, system)
    key = f"{made.key} {name}"
    return figures.answer(
        asked, kind, draw=draw, csv=table, name=f"{_file_name(made)}-{plain(name)}", reading=read, key=key
    )


def _plain(made: Compared, name: str, system: str, live: bool, theme: Theme, size: Size) -> Mapping[str, Any]:
    from fairpull.show import chart_band, charts

    document = charts.chart(name, made.fair.comparison, theme, size, system)
    return chart_band.with_band(document, theme) if live and name == "torque" else document


def _plain_csv(made: Compared, name: str, system: str) -> str:
    from fairpull.show import chart_csv

    return chart_csv.chart_csv(name, made.fair.comparison, system)


def _reading(made: Compared, name: str, system: str) -> Mapping[str, Any]:
    from fairpull.show.report_figures import reading

    return reading(made.fair.comparison, name, system)


def _fair(made: Compared, name: str, system: str) -> tuple[Draw, Callable[[], str]]:
    """A fair view or boost by its name on the page: "fair-1-2" is the first build's second view, "boost-1"."""
    from fairpull.show import fair_rows

    fair = made.fair
    for at, (other, looks) in enumerate(fair.looks.items(), start=1):
        for place, look in enumerate(looks, start=1):
            if name == f"fair-{at}-{place}":
                rows = fair_rows.look_rows(look, system)
                return partial(_look, made, look, other, system), partial(fair_rows.rows_csv, rows, look.axis)
    for at, facts in enumerate(fair.boost, start=1):
        if name == f"boost-{at}":
            rows = fair_rows.boost_rows(facts)
            return partial(_boost, made, facts, system), partial(fair_rows.rows_csv, rows, "rpm")
    known = ", ".join(compare_page.chart_names(fair.comparison))
    raise UnknownName(Fault("chart-unknown", "chart", repr(plain(name[:80])), f"one of: {known}"))


def _look(made: Compared, look: Any, other: str, system: str, theme: Theme, size: Size) -> Mapping[str, Any]:
    from fairpull.show import chart_fair

    return chart_fair.look(made.fair.comparison, look, other, theme, size, system)


def _boost(made: Compared, facts: Any, system: str, theme: Theme, size: Size) -> Mapping[str, Any]:
    from fairpull.show import chart_fair

    return chart_fair.boost(made.fair.comparison, facts, theme, size, system)


@router.get("/compare/csv")
def table_csv(asked: Asked) -> Response:
    """Every difference by rpm, as the tables on the page show it."""
    from fairpull.show.csv_cells import csv_text

    made = compared_as_asked(asked)
    comparison = made.fair.comparison
    rows: list[tuple[str, ...]] = []
    head: tuple[str, ...] = ()
    for difference in comparison.differences:
        table = one_difference.by_rpm(comparison, difference, asked.system)
        columns = [one.name for one in table.columns]
        columns[1:3] = ["reference mean", "build mean"]
        units = [f" [{one.unit}]" if one.unit else "" for one in table.columns]
        named = [f"{name}{unit}" for name, unit in zip(columns, units, strict=True)]
        head = ("build", "reference", *named)
        rows += [(difference.other, difference.reference, *row) for row in table.rows]
    return _attached(csv_text(head, rows), "text/csv; charset=utf-8", f"{_file_name(made)}-by-rpm.csv")


@router.get("/compare/json")
def document(asked: Asked) -> Response:
    """The whole result as a document, as ``fairpull compare --json`` writes it."""
    from fairpull.show.json_fair import fair_json_text

    made = compared_as_asked(asked)
    text = f"{fair_json_text(made.fair, asked.system)}\n"
    return _attached(text, "application/json", f"{_file_name(made)}.json")


@router.get("/compare/report")
def report(asked: Asked) -> Response:
    """The report, as ``fairpull compare --report`` writes it: one file that opens anywhere."""
    from fairpull.show.report import report_html
    from fairpull.tasks.bench.seen import drawn

    made = compared_as_asked(asked)
    fair, system = made.fair, asked.system
    page = drawn(f"{made.key} report {system}", lambda: report_html(fair.comparison, system, fair).encode("utf-8"))
    return _attached(page, "text/html; charset=utf-8", f"{_file_name(made)}.html")


def _file_name(made: Compared) -> str:
    """``header-against-log``, short enough for any disk."""
    reference, *others = made.want.names
    name = f"{'-and-'.join(others)}-against-{reference}"
    kept = "".join(one if one.isalnum() or one in "-_." else "-" for one in plain(name))
    return kept.strip(".-")[:120] or "comparison"


def _attached(content: str | bytes, kind: str, name: str) -> Response:
    headers = {
        "content-disposition": f"attachment; filename*=UTF-8''{quote(name, safe='')}",
        "cache-control": "private, no-cache",
    }
    return Response(content, media_type=kind, headers=headers)
