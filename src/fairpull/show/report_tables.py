"""Tables as HTML that reads without JavaScript: every text escaped, numbers right-aligned, headings marked."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape as _escape

from fairpull.show.facts.remarks import Entry
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.words import plain


def text(given: str) -> str:
    """Text from anywhere as HTML text or attribute value."""
    return _escape(plain(given), quote=True)


def _cell(tag: str, column: Column, said: str, extra: str = "") -> str:
    kind = ' class="n"' if column.number else ""
    return f"<{tag}{kind}{extra}>{text(said)}</{tag}>"


def _head(column: Column) -> str:
    kind = ' class="n"' if column.number else ""
    unit = f" <small>{text(column.unit)}</small>" if column.unit else ""
    return f'<th scope="col"{kind}>{text(column.name)}{unit}</th>'


def table(given: Table, *, key: str = "", level: int = 3) -> str:
    """A table under its heading, in a strip that scrolls sideways on a narrow screen.

    Args:
        given: the table.
        key: anchor; the table's own key unless given.
        level: of the heading.
    """
    anchor = text(key or given.key)
    parts = [f'<h{level} id="{anchor}">{text(given.title)}</h{level}>']
    if given.rows:
        head = "".join(_head(column) for column in given.columns)
        body = []
        for row in given.rows:
            first = _cell("th", given.columns[0], row[0], ' scope="row"')
            rest = "".join(_cell("td", column, said) for column, said in zip(given.columns[1:], row[1:], strict=True))
            body.append(f"<tr>{first}{rest}</tr>")
        parts.append(
            f'<div class="strip" role="region" tabindex="0" aria-labelledby="{anchor}"><table>'
            f"<thead><tr>{head}</tr></thead><tbody>{''.join(body)}</tbody></table></div>"
        )
    if given.note:
        parts.append(f'<p class="note">{text(given.note)}</p>')
    return "\n".join(parts)


def pairs(given: Table, *, key: str = "", level: int = 3) -> str:
    """A table of two columns as a list of terms."""
    anchor = text(key or given.key)
    parts = [f'<h{level} id="{anchor}">{text(given.title)}</h{level}>']
    if given.rows:
        rows = "".join(f"<div><dt>{text(name)}</dt><dd>{text(value)}</dd></div>" for name, value in given.rows)
        parts.append(f'<dl class="pairs">{rows}</dl>')
    if given.note:
        parts.append(f'<p class="note">{text(given.note)}</p>')
    return "\n".join(parts)


def _said(entry: Entry) -> str:
    if len(entry.said) == 1:
        return f"<p>{text(entry.said[0][1])}</p>"
    rows = "".join(f'<li><span class="where">{text(where)}:</span> {text(said)}</li>' for where, said in entry.said)
    return f'<ul class="alike">{rows}</ul>'


def _entry(one: Entry) -> str:
    weight = text(one.severity.value)
    return (
        f'<li class="is-{weight}"><p><strong>{weight}</strong> <code>{text(one.code)}</code> '
        f'<span class="where">{text(one.where)}</span></p>{_said(one)}<p class="remedy">{text(one.remedy)}</p></li>'
    )


def findings(entries: Sequence[Entry], *, level: int = 2) -> str:
    """Findings with their remedies: one block for each fault and warning, one for each code of notes."""
    parts = [f'<h{level} id="findings">Findings</h{level}>']
    if not entries:
        return f'{parts[0]}\n<p class="note">None.</p>'
    parts.append('<ul class="findings">')
    parts.extend(_entry(one) for one in entries)
    parts.append("</ul>")
    return "\n".join(parts)
