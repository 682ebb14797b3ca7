"""The look that report and pages share: tones of the themes, letters, tables, figures."""

from __future__ import annotations

from pathlib import Path

from fairpull.show.chart_theme import DARK, LIGHT, Theme, tones

PAGE = Path(__file__).parent / "page"


def _tones(theme: Theme) -> str:
    return "".join(f"--{name}:{tone};" for name, tone in tones(theme).items())


def style() -> str:
    """The style sheet: light, dark where the reader's machine asks for it, light on paper.

    Returns:
        CSS. A page may fix its theme by ``data-theme`` on its root element.
    """
    rules = (PAGE / "look.css").read_text(encoding="utf-8")
    light, dark = _tones(LIGHT), _tones(DARK)
    return (
        f":root{{{light}}}\n@media (prefers-color-scheme: dark){{:root{{{dark}}}}}\n"
        f':root[data-theme="light"]{{color-scheme:light;{light}}}\n'
        f':root[data-theme="dark"]{{color-scheme:dark;{dark}}}\n'
        f"@media print{{:root,:root[data-theme]{{{light}}}}}\n{rules}"
    )
