"""The report's figures: a still picture that needs nothing, and the documents that make it answer the pointer."""

from __future__ import annotations

import base64
import json
import re
from functools import cache
from typing import Any

from fairpull.show import chart_csv, chart_overlay, chart_rows, charts, pictures
from fairpull.show.chart_canvas import canvas as new_canvas
from fairpull.show.chart_rows import Row
from fairpull.show.chart_theme import DARK, LIGHT, SIZES, WIDE, repaint, tones
from fairpull.show.chart_words import CAPTIONS, VIEW
from fairpull.show.report_tables import text
from fairpull.terms.comparison import Comparison


@cache
def script() -> str:
    """The charting library as one script, from the wheel that carries it; its home addresses taken out."""
    import vl_convert

    bundle: str = vl_convert.javascript_bundle("window.vegaEmbed = vegaEmbed;")
    return re.sub(r"https://(?:vega\.github\.io|github\.com)/", "./", bundle).replace("</script", "<\\/script")


def documents(comparison: Comparison, system: str) -> dict[str, Any]:
    """Every chart in both themes and sizes, with each sheet of rows kept once."""
    sheets: dict[str, list[Row]] = {}
    drawn: dict[str, Any] = {}
    for name in charts.names(comparison):
        drawn[name] = {}
        for size in SIZES.values():
            spec = charts.chart(name, comparison, LIGHT, size, system)
            sheets.update(spec.pop("datasets"))
            spec.pop("title", None)  # the page's own headings say it
            drawn[name][f"light-{size.name}"] = spec
            drawn[name][f"dark-{size.name}"] = json.loads(repaint(json.dumps(spec), LIGHT, DARK))
    return {"sheets": sheets, "charts": drawn, "reading": _reading(comparison, system)}


def _reading(comparison: Comparison, system: str) -> dict[str, Any]:
    names = charts.names(comparison)
    return {name: reading(comparison, name, system) for name in names if name != "timeline"}


def reading(comparison: Comparison, name: str, system: str) -> dict[str, Any]:
    """What the keyboard's reader says of one chart along rpm.

    Args:
        comparison: the result.
        name: "torque", "power", or a view such as "bmep-at-equal-rpm".
        system: "us" or "metric".

    Returns:
        "fields", field and title each, and "rows" of finished strings.
    """
    kind, seen = charts.subject(name, comparison)
    quantity = chart_rows.POWER if kind == "power" else chart_rows.main(seen)
    fields = chart_overlay.told(new_canvas(seen, LIGHT, WIDE, system), quantity, changes=kind == "torque")
    return {"fields": fields, "rows": chart_rows.reading_rows(seen, quantity, system)}


def as_script(document: dict[str, Any]) -> str:
    """A document for a script element: no character in it can end that element."""
    written = json.dumps(document, allow_nan=False, separators=(",", ":"))
    return written.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _still(name: str, comparison: Comparison, system: str) -> tuple[str, float]:
    """The chart as SVG whose colours follow the page's theme, and its width beyond the panels [px]."""
    spec = charts.chart(name, comparison, LIGHT, WIDE, system)
    spec.pop("title", None)
    drawn = pictures.render(spec, "svg").decode("utf-8")
    drawn = drawn[drawn.index("<svg") :]
    width = re.search(r'\bwidth="([\d.]+)"', drawn)
    over = float(width.group(1)) - WIDE.width if width else 120.0
    for variable, tone in tones(LIGHT).items():
        drawn = re.sub(rf'="{tone}"', f'="var(--{variable})"', drawn, flags=re.IGNORECASE)
    # the drawing library counts its clips through the whole process: number them anew, so that equal charts are equal
    numbers = {given: n for n, given in enumerate(dict.fromkeys(re.findall(r'id="((?:clip|gradient)[^"]*)"', drawn)))}
    drawn = re.sub(r'id="((?:clip|gradient)[^"]*)"', lambda at: f'id="{name}-clip{numbers[at[1]]}"', drawn)
    drawn = re.sub(r"url\(#((?:clip|gradient)[^)]*)\)", lambda at: f"url(#{name}-clip{numbers.get(at[1], 0)})", drawn)
    drawn = re.sub(r'\s(?:xmlns(?::xlink)?|version)="[^"]*"', "", drawn)
    return re.sub(r'\s(?:aria-[a-z]+|role)="[^"]*"', "", drawn), over


def figure(name: str, comparison: Comparison, system: str, said: str) -> str:
    """One figure: still picture, room for the live one, a reader for the keyboard, and what can be taken away.

    Args:
        name: "torque", "power", "timeline", or a view such as "bmep-at-equal-rpm".
        comparison: the result.
        system: "us" or "metric".
        said: what the chart shows, in words, for those who do not see it.
    """
    still, over = _still(name, comparison, system)
    table = chart_csv.chart_csv(name, comparison, system)
    encoded = base64.b64encode(table.encode("utf-8")).decode("ascii")
    reader = ""
    kind, _ = charts.subject(name, comparison)
    if kind != "timeline":
        reader = (
            f'<div class="reader"><label for="read-{name}">Read at</label>'
            f'<input id="read-{name}" type="range" min="0" max="0" value="0">'
            f'<output for="read-{name}" aria-live="polite"></output></div>'
        )
    return (
        f'<figure id="chart-{name}" data-chart="{name}" data-over="{over:.0f}">'
        f'<div class="still" role="img" aria-label="{text(said)}" tabindex="0">{still}</div>'
        f'<div class="live" role="img" aria-label="{text(said)}"></div>{reader}'
        f"<figcaption>{text(CAPTIONS.get(name, VIEW))}</figcaption>"
        f'<p class="away"><a download="{name}.csv" href="data:text/csv;base64,{encoded}">CSV</a>'
        f'<button type="button" data-take="svg">SVG</button><button type="button" data-take="png">PNG</button>'
        f'<button type="button" data-take="print">PDF, by printing</button></p></figure>'
    )
