"""What every layer of a chart needs: the result, the looks, the axis, and the sheets of rows it draws from."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, field
from hashlib import sha256

import altair as alt

from fairpull.show import chart_frame
from fairpull.show.chart_frame import Frame
from fairpull.show.chart_rows import Row
from fairpull.show.chart_theme import Size, Theme
from fairpull.terms.comparison import Comparison


@dataclass(frozen=True, slots=True)
class Canvas:
    """One chart being drawn.

    Attributes:
        comparison: the result.
        theme, size: looks.
        system: "us" or "metric".
        frame: ranges along the shared axis.
        sheets: rows by name of content; equal rows are kept once, also across charts.
    """

    comparison: Comparison
    theme: Theme
    size: Size
    system: str
    frame: Frame
    sheets: dict[str, list[Row]] = field(default_factory=dict)

    def data(self, rows: Sequence[Row]) -> alt.NamedData:
        """Rows as a named sheet."""
        kept = list(rows)
        content = json.dumps(kept, sort_keys=True, allow_nan=False)
        name = f"rows-{sha256(content.encode()).hexdigest()[:16]}"
        self.sheets[name] = kept
        return alt.NamedData(name=name)


def canvas(comparison: Comparison, theme: Theme, size: Size, system: str) -> Canvas:
    """An empty canvas for one chart of a comparison."""
    return Canvas(comparison, theme, size, system, chart_frame.frame(comparison, system))
