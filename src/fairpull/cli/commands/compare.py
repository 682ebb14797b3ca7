"""fairpull compare: what one build did against another, whether it is real, and in which air."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from fairpull.cli import options, screen

if TYPE_CHECKING:
    from fairpull.tasks.request import CompareRequest
    from fairpull.terms.comparison import Comparison
    from fairpull.terms.ledger import FairComparison


def compare(
    groups: options.Groups,
    standard: Annotated[str, typer.Option(help="Correction standard; see fairpull air for their names.")] = "",
    step: Annotated[str, typer.Option(help="Grid, e.g. 100rpm.")] = "",
    band: Annotated[str, typer.Option(help='Band of interest, e.g. "1800-4600 rpm".')] = "",
    smallest: Annotated[str, typer.Option(help="Smallest difference worth having, e.g. 1%.")] = "",
    question: Annotated[Path | None, typer.Option(help="question.toml, written before the day.")] = None,
    engine: options.Engines = None,
    inertia: Annotated[str, typer.Option(help="Rotating inertia, e.g. 0.20kg.m2.")] = "",
    calibration: options.Calibration = None,
    lag: Annotated[list[str] | None, typer.Option(help="CHANNEL=TIME a channel comes late, e.g. lambda=0.3s.")] = None,
    valid_to: Annotated[list[str] | None, typer.Option(help="PULL=RPM up to which it counts. Repeatable.")] = None,
    leave_out: Annotated[list[str] | None, typer.Option(help="PULL=REASON: does not count. Repeatable.")] = None,
    order: Annotated[str, typer.Option(help="Pull names in running order, where logs have no clock: a,b,c.")] = "",
    look: Annotated[int | None, typer.Option(help="Number of this look, when you look after every pull.")] = None,
    planned_looks: Annotated[int | None, typer.Option(help="How many looks were planned.")] = None,
    declared: Annotated[list[Path] | None, typer.Option(help="A rating to lay beside; never evidence.")] = None,
    declared_standard: Annotated[str, typer.Option(help="What the rating is corrected to.")] = "unstated",
    declared_basis: Annotated[str, typer.Option(help="net or gross.")] = "unstated",
    declared_by: Annotated[str, typer.Option(help="Column that splits a declared table into curves.")] = "",
    format: options.Format = "",
    sheet: options.Sheet = "",
    by: options.By = "",
    column: options.Column = None,
    unit: options.Unit = None,
    channels: options.Channels = None,
    conditions: options.ConditionsFile = None,
    weather: options.Weather = "",
    displacement: options.Displacement = "",
    altitude: options.Altitude = "",
    date: options.Date = "",
    seed: Annotated[int, typer.Option(help="Of the draws behind the intervals.")] = 0,
    units: options.Units = "us",
    json: options.Json = False,
    report: Annotated[Path | None, typer.Option(help="Write a self-contained HTML report here.")] = None,
    pictures: Annotated[Path | None, typer.Option(help="Write PNG, SVG, PDF and CSV of each chart here.")] = None,
    keep: Annotated[str, typer.Option(help="Keep the result in the book under this name.")] = "",
    book: options.Book = "",
) -> None:
    """Compare builds, from log files or from the book: what changed, and is it real."""
    shown = options.system(units)
    asked = options.reading(
        format=format,
        sheet=sheet,
        by=by,
        column=column,
        unit=unit,
        channels=channels,
        conditions=conditions,
        weather_words=weather,
        displacement=displacement,
        altitude=altitude,
        date=date,
    )
    request = _request(
        asked,
        standard=standard,
        question_file=question,
        declared_files=tuple(declared or ()),
        declared_standard=declared_standard,
        declared_basis=declared_basis,
        declared_by=declared_by,
        leave_out=options.pairs("--leave-out", leave_out),
        order=tuple(word.strip() for word in order.split(",") if word.strip()),
        look=look,
        planned_looks=planned_looks,
        seed=seed,
        words=_words(step, band, smallest, engine, inertia, calibration, lag, valid_to),
    )
    result, looks = _compared(groups, request, book, keep)
    _give(result, looks, shown, json, report, pictures)
    if keep and not json:
        screen.say(f"kept as {keep}; fairpull results shows it again")


def _words(*words: Any) -> dict[str, Any]:
    """Typed words by the name of their option."""
    names = ("step", "band", "smallest", "engine", "inertia", "calibration", "lag", "valid_to")
    return dict(zip(names, words, strict=True))


def _compared(
    groups: list[str], request: CompareRequest, book: str, keep: str
) -> tuple[Comparison, FairComparison | None]:
    """The comparison; from the book with its ledgers and fair views."""
    from fairpull.tasks.bench.which import BUILDS, meant

    with screen.Progress() as progress:
        if keep or meant(groups, book) == BUILDS:
            from fairpull.tasks.bench.kept_comparison import compare_kept

            progress.doing("comparing builds of the book")
            made = compare_kept(groups, request, book, keep)
            return made.comparison, made
        from fairpull.tasks.compare_files import compare_files

        return compare_files(groups, request, progress), None


def _request(reading: dict[str, Any], words: dict[str, Any], **fields: Any) -> CompareRequest:
    """The request, with typed words turned into SI values."""
    from fairpull.tasks.request import compare_request

    return compare_request(
        reading,
        step=words["step"],
        band=words["band"],
        smallest=words["smallest"],
        engines=words["engine"] or (),
        inertia=words["inertia"],
        calibration=words["calibration"] or (),
        lags=options.pairs("--lag", words["lag"]),
        valid_to=options.pairs("--valid-to", words["valid_to"]),
        **fields,
    )


def _give(
    comparison: Comparison,
    fair: FairComparison | None,
    system: str,
    json: bool,
    report: Path | None,
    pictures: Path | None,
) -> None:
    """Print the result, and write what was asked for."""
    if json and fair is not None:
        from fairpull.show.json_fair import fair_json_text

        screen.say(fair_json_text(fair, system))
    elif json:
        from fairpull.show.jsonface import comparison_json_text

        screen.say(comparison_json_text(comparison, system))
    else:
        from fairpull.show.comparison_text import comparison_text

        if fair is None:
            screen.say(comparison_text(comparison, system, **screen.look()))
        else:
            from fairpull.show.fairness_text import fairness_text
            from fairpull.show.ledger_text import ledgers_text

            look = screen.look()
            texts = (ledgers_text(fair, system, **look), comparison_text(comparison, system, **look))
            screen.say("\n".join(one for one in (*texts, fairness_text(fair, system, **look)) if one))
    if report is not None:
        from fairpull.show.report import write_report

        with screen.Progress() as progress:
            progress.doing("drawing the report")
            written = write_report(comparison, report, system, fair)
        screen.tell(f"report: {written}")
    if pictures is not None:
        from fairpull.show.pictures import write_pictures

        with screen.Progress() as progress:
            progress.doing("drawing the pictures")
            drawn = write_pictures(comparison, pictures, system)
        for path in drawn:
            screen.tell(f"picture: {path}")
