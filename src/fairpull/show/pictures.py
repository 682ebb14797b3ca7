"""Charts as files to take away: PNG, SVG, PDF and CSV, drawn without a network."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from fairpull.show.chart_theme import SIZES, THEMES
from fairpull.terms.comparison import Comparison
from fairpull.terms.errors import Fault, UnknownName

KINDS = ("png", "svg", "pdf", "csv")
PNG_SCALE = 2.0


def _known(name: str, given: str, known: Sequence[str]) -> None:
    if given not in known:
        fault = Fault(f"{name}-unknown", f"option {name}", repr(given), f"one of: {', '.join(known)}")
        raise UnknownName(fault)


def picture(
    comparison: Comparison, name: str, kind: str, system: str = "us", *, theme: str = "light", size: str = "wide"
) -> bytes:
    """One chart as the content of a file.

    Args:
        comparison: the result.
        name: "torque", "power", "timeline", or a view such as "bmep-at-equal-rpm".
        kind: "png", "svg", "pdf" or "csv".
        system: "us" or "metric".
        theme: "light" or "dark".
        size: "wide" or "narrow".

    Returns:
        The file's bytes.

    Raises:
        UnknownName: no such chart, kind, theme or size; the remedy lists those there are.
    """
    from fairpull.show import chart_csv, charts

    for option, given, known in (
        ("chart", name, charts.names(comparison)),
        ("picture", kind, KINDS),
        ("theme", theme, tuple(THEMES)),
        ("size", size, tuple(SIZES)),
    ):
        _known(option, given, known)
    if kind == "csv":
        return chart_csv.chart_csv(name, comparison, system).encode("utf-8")
    spec = charts.chart(name, comparison, THEMES[theme], SIZES[size], system)
    return render(spec, kind)


def render(spec: dict[str, object], kind: str) -> bytes:
    """A Vega-Lite document as PNG, SVG or PDF bytes; no address is ever fetched."""
    import vl_convert

    if kind == "svg":
        drawn: str = vl_convert.vegalite_to_svg(spec, allowed_base_urls=[])
        return drawn.encode("utf-8")
    if kind == "pdf":
        return bytes(vl_convert.vegalite_to_pdf(spec, allowed_base_urls=[]))
    return bytes(vl_convert.vegalite_to_png(spec, scale=PNG_SCALE, allowed_base_urls=[]))


def write_pictures(
    comparison: Comparison,
    folder: Path,
    system: str = "us",
    *,
    kinds: Sequence[str] = KINDS,
    theme: str = "light",
) -> tuple[Path, ...]:
    """Every chart in every kind, into a folder.

    Args:
        comparison: the result.
        folder: made if it is not there.
        system: "us" or "metric".
        kinds: which of "png", "svg", "pdf", "csv".
        theme: "light" or "dark".

    Returns:
        The files written. All are drawn before the first is written.

    Raises:
        UnknownName: no such kind or theme.
    """
    from fairpull.show import charts

    drawn = [
        (folder / f"{name}.{kind}", picture(comparison, name, kind, system, theme=theme))
        for name in charts.names(comparison)
        for kind in kinds
    ]
    folder.mkdir(parents=True, exist_ok=True)
    for path, content in drawn:
        path.write_bytes(content)
    return tuple(path for path, _ in drawn)
