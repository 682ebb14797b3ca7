"""The report: one HTML file that opens anywhere without a network, the verdict on top."""

from __future__ import annotations

from pathlib import Path
from string import Template

from fairpull.show import chart_rows, report_fair, report_figures, report_tables
from fairpull.show.facts import builds, compare_page, day, derived, made, views, words
from fairpull.show.facts import difference as one_difference
from fairpull.show.page_look import PAGE, style
from fairpull.show.report_tables import text
from fairpull.terms.comparison import Comparison, Difference, FairView
from fairpull.terms.ledger import FairComparison


def _sentence(said: str) -> str:
    """A verdict's sentence; a per cent sign stays with its number."""
    return text(said).replace(" %", "&nbsp;%")


def _verdict(comparison: Comparison, difference: Difference, system: str) -> str:
    head = compare_page.verdict(comparison, difference, system)
    cells = "".join(
        f"<div><dt>{text(one.name)}</dt><dd>{text(one.value)}"
        f"{f' <small>{text(one.more)}</small>' if one.more else ''}</dd></div>"
        for one in head.facts
    )
    said = "".join(f'<p class="more">{text(one)}</p>' for one in head.more)
    return (
        f'<div class="verdict {head.tone}">'
        f'<p class="kind">{text(head.kind)}</p><p class="sentence">{_sentence(head.sentence)}</p>{said}'
        f'<dl class="facts">{cells}</dl></div>'
    )


def _weights(comparison: Comparison) -> str:
    found = day.weights(comparison)
    if not found:
        return '<p class="weights">No findings.</p>'
    return f'<p class="weights"><a href="#findings">{text(found)}</a> to be known with it.</p>'


def _difference(comparison: Comparison, difference: Difference, place: int, system: str) -> str:
    suffix = "" if place == 0 else f"-{place + 1}"
    small = (
        one_difference.averages(comparison, difference, system),
        one_difference.crossovers(comparison, difference, system),
        one_difference.shape(comparison, difference, system),
    )
    cards = "".join(
        f'<section class="card">{report_tables.pairs(one, key=f"{one.key}{suffix}")}</section>' for one in small
    )
    standards = one_difference.by_standard(comparison, difference)
    by_rpm = one_difference.by_rpm(comparison, difference, system)
    return (
        f"<section>{report_tables.table(by_rpm, key=f'by-rpm{suffix}', level=2)}"
        f'</section><div class="cards">{cards}<section class="card">'
        f"{report_tables.table(standards, key=f'standards{suffix}')}</section></div>"
    )


def _builds(comparison: Comparison, system: str) -> str:
    parts = [
        report_tables.table(builds.averages(comparison, system), level=2),
        report_tables.table(builds.peaks(comparison, system)),
    ]
    if chart_rows.has_power(comparison):
        parts.append('<h3 id="power">Power</h3>')
        parts.append(report_figures.figure("power", comparison, system, compare_page.spoken(comparison)))
    if comparison.declared:
        parts.append(report_tables.table(builds.declared(comparison, system)))
    return f"<section>{''.join(parts)}</section>"


def _engine(comparison: Comparison, system: str) -> str:
    table = derived.by_rpm(comparison, system)
    return f"<section>{report_tables.table(table, level=2)}</section>" if table.rows else ""


def _view(comparison: Comparison, view: FairView, lens: Comparison | None, system: str) -> str:
    key = views.key(view)
    said = "".join(f'<p class="said">{_sentence(words.sentence(one, "bmep"))}</p>' for one in view.differences)
    about = views.remark(comparison, view)
    parts = [f'<h2 id="{text(key)}">{text(views.title(view))}</h2>{said}']
    parts += [f'<p class="note">{text(about)}</p>'] if about else []
    if lens is not None:
        spoken = " ".join(one.verdict.sentence for one in lens.differences)
        parts.append(report_figures.figure(key, comparison, system, f"Chart. {spoken}"))
    parts.append(report_tables.table(views.averages(comparison, view, system)))
    for place, one in enumerate(lens.differences if lens else ()):
        seen = lens or comparison
        tables = (one_difference.averages(seen, one, system), one_difference.crossovers(seen, one, system))
        cards = "".join(
            f'<section class="card">{report_tables.pairs(each, key=f"{key}-{each.key}-{place}")}</section>'
            for each in tables
        )
        by_rpm = one_difference.by_rpm(seen, one, system)
        parts.append(f'<div class="cards">{cards}</div>{report_tables.table(by_rpm, key=f"{key}-by-rpm-{place}")}')
    return f"<section>{''.join(parts)}</section>"


def _views(comparison: Comparison, system: str) -> str:
    seen = views.lenses(comparison)
    return "".join(_view(comparison, view, seen.get(views.key(view)), system) for view in comparison.views)


def _links(comparison: Comparison) -> str:
    """Links to the parts that not every page has."""
    found = ['<a href="#by-rpm">By rpm</a>'] if comparison.differences else []
    found += [f'<a href="#{text(views.key(view))}">{text(views.title(view))}</a>' for view in comparison.views]
    return "".join(found)


def _day(comparison: Comparison, system: str) -> str:
    said = compare_page.spoken_day(comparison, system)
    return (
        f'<section><h2 id="day">The day</h2>{report_figures.figure("timeline", comparison, system, said)}'
        f"{report_tables.table(day.pulls(comparison, system))}"
        f'<div class="cards"><section class="card">{report_tables.pairs(day.noise(comparison))}</section>'
        f'<section class="card">{report_tables.table(day.odd_pulls(comparison))}</section></div></section>'
    )


def _made(comparison: Comparison, system: str) -> str:
    parts = (
        report_tables.pairs(day.choices(comparison), level=2),
        report_tables.table(made.numbers(comparison, system), level=2),
        report_tables.table(made.sources(comparison)),
        report_tables.table(day.files(comparison)),
    )
    return "".join(f"<section>{part}</section>" for part in parts)


def report_html(comparison: Comparison, system: str = "us", fair: FairComparison | None = None) -> str:
    """A comparison as one self-contained HTML page.

    Args:
        comparison: the result.
        system: "us" or "metric".
        fair: its ledgers and fair views, where it came from the book.

    Returns:
        The page; it loads nothing, and says so to the browser.
    """
    verdicts = "".join(_verdict(comparison, one, system) for one in comparison.differences)
    differences = "".join(
        _difference(comparison, one, place, system) for place, one in enumerate(comparison.differences)
    )
    if not comparison.differences:
        verdicts = '<p class="more">One build: nothing to compare it with.</p>'
    asked = comparison.question.text
    page = Template((PAGE / "report.html").read_text(encoding="utf-8"))
    return page.substitute(
        title=text(compare_page.title(comparison)),
        question=f'<p class="asked">{text(asked)}</p>' if asked else "",
        style=style(),
        verdicts=verdicts,
        opening=report_fair.opening(fair),
        ledgers=report_fair.ledgers(fair, system),
        weights=_weights(comparison),
        figure=report_figures.figure("torque", comparison, system, compare_page.spoken(comparison)),
        differences=differences + report_fair.looks(fair, system) + _views(comparison, system),
        by_rpm=_links(comparison),
        builds=_builds(comparison, system) + _engine(comparison, system),
        day=_day(comparison, system),
        asked=report_tables.pairs(day.question(comparison, system), level=2),
        findings=report_tables.findings(day.findings(comparison)),
        made=_made(comparison, system),
        cautions="".join(f"<p>{text(one)}</p>" for one in words.CAUTIONS),
        version=text(comparison.version),
        charts=report_figures.as_script(report_figures.documents(comparison, system)),
        library=report_figures.script(),
        script=(PAGE / "report.js").read_text(encoding="utf-8"),
    )


def write_report(comparison: Comparison, path: Path, system: str = "us", fair: FairComparison | None = None) -> Path:
    """Write the report; the file appears whole or not at all.

    Args:
        comparison: the result.
        path: where to; an existing file is replaced.
        system: "us" or "metric".
        fair: its ledgers and fair views, where it came from the book.

    Returns:
        The path written.
    """
    page = report_html(comparison, system, fair)
    path.parent.mkdir(parents=True, exist_ok=True)
    unfinished = path.with_name(f"{path.name}.part")
    unfinished.write_text(page, encoding="utf-8")
    return unfinished.replace(path)
