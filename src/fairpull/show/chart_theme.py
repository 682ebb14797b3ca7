"""How charts look: two themes, two sizes, and the order in which builds take colour and dash."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

FONT = "system-ui, -apple-system, 'Segoe UI', 'Liberation Sans', 'DejaVu Sans', sans-serif"


@dataclass(frozen=True, slots=True)
class Theme:
    """Colours of one theme.

    ``builds`` follows the order of Okabe and Ito's colour-blind safe palette (black, orange, sky blue, bluish green,
    yellow, blue, vermillion, reddish purple). A tone that would stand at less than 3:1 on the page is darkened
    (light theme) or lightened (dark theme) at the same hue.
    """

    name: str
    page: str
    ink: str
    quiet: str
    faint: str
    hatch: str
    grid: str
    builds: tuple[str, ...]


LIGHT = Theme(
    "light", "#FDFDFB", "#1B1D1F", "#5B6167", "#A9AEB4", "#C9CDD2", "#E7E8E6",
    ("#1B1D1F", "#C28600", "#3579A2", "#009E73", "#9B942A", "#0072B2", "#D55E00", "#CA78A6"),
)  # fmt: skip
DARK = Theme(
    "dark", "#15181C", "#ECEDEA", "#A3AAB2", "#6A727B", "#3C434B", "#2A2F35",
    ("#ECEDEA", "#E69F00", "#56B4E9", "#009E73", "#F0E442", "#3C93D3", "#D55E00", "#CC79A7"),
)  # fmt: skip
THEMES = {theme.name: theme for theme in (LIGHT, DARK)}

DASHES: tuple[tuple[int, ...], ...] = ((1, 0), (10, 4), (5, 3), (14, 3, 3, 3), (7, 2, 2, 2), (3, 2), (16, 5), (9, 2))
DECLARED_DASH = (1, 3)


def tones(theme: Theme) -> dict[str, str]:
    """Every tone of a theme by name, as a style sheet would call it."""
    named = {
        "page": theme.page,
        "ink": theme.ink,
        "quiet": theme.quiet,
        "faint": theme.faint,
        "hatch": theme.hatch,
        "grid": theme.grid,
    }
    return named | {f"build-{n}": tone for n, tone in enumerate(theme.builds)}


def repaint(document: str, old: Theme, wanted: Theme) -> str:
    """A chart written as JSON text, drawn in one theme, in the tones of another: a theme is nothing but its tones."""
    after = tones(wanted)
    change = {f'"{tone}"': f'"{after[name]}"' for name, tone in tones(old).items()}
    return re.sub("|".join(map(re.escape, change)), lambda found: change[found.group(0)], document)


@dataclass(frozen=True, slots=True)
class Size:
    """Inner width and heights of a chart's panels [px], and its letters."""

    name: str
    width: int
    overlay: int
    under: int
    font: int
    label_limit: int
    ticks: int


WIDE = Size("wide", 820, 360, 210, 13, 170, 8)
NARROW = Size("narrow", 222, 250, 190, 11, 88, 4)
SIZES = {size.name: size for size in (WIDE, NARROW)}


def colour(theme: Theme, place: int) -> str:
    """Colour of the build at this place (0: reference)."""
    return theme.builds[place % len(theme.builds)]


def dash(place: int) -> list[int]:
    """Dash of the build at this place."""
    return list(DASHES[place % len(DASHES)])


def config(theme: Theme, size: Size) -> dict[str, Any]:
    """Vega-Lite configuration of a theme."""
    letters = {"labelFont": FONT, "titleFont": FONT, "labelFontSize": size.font, "titleFontSize": size.font}
    return {
        "background": theme.page,
        "font": FONT,
        "view": {"stroke": None},
        "axis": {
            **letters,
            "labelColor": theme.quiet,
            "titleColor": theme.quiet,
            "titleFontWeight": "normal",
            "gridColor": theme.grid,
            "domainColor": theme.faint,
            "tickColor": theme.faint,
            "titleAnchor": "start",
            "titlePadding": 8,
        },
        "axisY": {"titleAngle": 0, "titleAlign": "left", "titleX": 0, "titleY": -12, "titleBaseline": "bottom"},
        "title": {
            "font": FONT,
            "color": theme.ink,
            "fontSize": size.font + 1,
            "anchor": "start",
            "fontWeight": 600,
            "offset": 24,
        },
        "text": {"font": FONT, "fontSize": size.font, "color": theme.ink},
    }
