"""Scoring builds of the book on a declared duty."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from fairpull import air, pulls
from fairpull.compare.purpose import score_with_curves
from fairpull.compare.purpose.cycles import CYCLES, cycle_duty
from fairpull.tasks.bench.builds import Shelf
from fairpull.tasks.bench.compare_builds import fetch, with_house
from fairpull.tasks.duty_file import duty_from_table, read_duty
from fairpull.tasks.request import CompareRequest
from fairpull.tasks.weather import weather_of
from fairpull.terms.bench import COUNTS
from fairpull.terms.errors import FairpullError, Fault, NotComparable, UnknownName, ValueRefused
from fairpull.terms.purpose import Duty, Scores
from fairpull.terms.units import parse

if TYPE_CHECKING:
    from fairpull.book import Book
    from fairpull.terms.bench import Sheet
    from fairpull.terms.duty_view import DutyView

STEP = 100.0  # rpm
EXAMPLE = "93 hp at 3800 rpm"
HUMIDITY = 0.5  # of the site's air where only its height and temperature are told


def purpose_of(
    kept: Book,
    duty: str,
    builds: Sequence[str] = (),
    *,
    altitude: str = "",
    temperature: str = "",
    standard: str = "",
    rated: str = "",
    intermediate: str = "",
) -> Scores:
    """Score builds on a duty.

    Args:
        kept: the book.
        duty: name of a duty's sheet, a file, or a published cycle such as "E3" for the rating that is named.
        builds: names; empty for every build with counted pulls.
        altitude, temperature: of the site, e.g. "7200 ft" and "41 degF"; "" leaves what the duty says.
        standard: correction standard; "" takes the house's.
        rated: full-load power and speed at the output shaft for a published cycle, e.g. "93 hp at 3800 rpm".
        intermediate: the same at the intermediate speed, for the cycles that ask for one.

    Returns:
        The scores, best first.

    Raises:
        UnknownName: no such duty or build. NotComparable: no build has counted pulls.
        ValueRefused: a duty or a site that cannot be.
    """
    return purpose_view_of(
        kept,
        duty,
        builds,
        altitude=altitude,
        temperature=temperature,
        standard=standard,
        rated=rated,
        intermediate=intermediate,
    ).scores


def purpose_view_of(
    kept: Book,
    duty: str,
    builds: Sequence[str] = (),
    *,
    altitude: str = "",
    temperature: str = "",
    standard: str = "",
    rated: str = "",
    intermediate: str = "",
    files: bool = True,
) -> DutyView:
    """Scores as ``purpose_of`` makes them, with the curves that were scored.

    Args:
        kept: the book.
        duty, builds, altitude, temperature, standard, rated, intermediate: as for ``purpose_of``.
        files: whether ``duty`` may name a file; no for words from a network.

    Returns:
        Scores, curves and load.

    Raises:
        FairpullError: as ``purpose_of``.
    """
    wanted = with_site(declared_duty(kept, duty, rated, intermediate, files=files), altitude, temperature)
    names = _in_order(kept, builds)
    if not names:
        raise NotComparable(Fault("no-counted-pull", "book", "no build has a counted pull", "take some in"))
    request = with_house(kept, CompareRequest(standard=standard))
    fetched = fetch(kept, names, request)
    groups = [(one.build.name, [pulls.curve(pull, step=STEP) for pull in one.pulls]) for one in fetched]
    engines = {pull.name: one.build.engine for one in fetched for pull in one.pulls}
    weather = weather_of([curve for _, curves in groups for curve in curves], engines, request.standard)
    result = score_with_curves(
        wanted,
        groups,
        builds={one.build.name: one.build for one in fetched},
        standard=weather.standard,
        factors=weather.factors,
    )
    scores = replace(result.scores, choices={**result.scores.choices, **weather.choices})
    return replace(result, scores=scores)


def _in_order(kept: Book, builds: Sequence[str]) -> tuple[str, ...]:
    """Builds in the order of their first counted pulls, however they were named: the same draws, to the digit."""
    ran = tuple(dict.fromkeys(line.build for line in kept.pulls(builds=tuple(builds), states=(COUNTS,))))
    return (*ran, *(name for name in dict.fromkeys(builds) if name not in ran))


def declared_duty(kept: Book, named: str, rated: str = "", intermediate: str = "", *, files: bool = True) -> Duty:
    """A duty by the name of its sheet, from a file, or a published cycle for a rating.

    Args:
        kept: the book.
        named: name or path; a sheet or file goes before a cycle of its name, unless a rating is given.
        rated, intermediate: of a published cycle, e.g. "93 hp at 3800 rpm".
        files: whether ``named`` may be a file.

    Returns:
        The duty.

    Raises:
        UnknownName: no sheet, file or cycle of this name.
        ValueRefused: a cycle without its rating, or a rating without a cycle; all faults at once.
    """
    path = Path(named).expanduser() if files else None
    there = path is not None and path.is_file()
    names = {sheet.name for sheet in kept.sheets("duty")}
    cycle = named.upper() if named.upper() in CYCLES else ""
    if cycle and (rated or intermediate or not (named in names or there)):
        return _published(cycle, rated, intermediate)
    if rated or intermediate:
        seen, remedy = f"{named} is no published cycle", f"leave it out, or name one of {', '.join(CYCLES)}"
        raise ValueRefused(Fault("duty-rating", "--rated", seen, remedy))
    settings = _settings(kept)
    if path is not None and there:
        return read_duty(path, settings)
    sheet = _sheet(kept, named)
    return duty_from_table(sheet.body, where=f"duty {named}", name=named, settings=settings)


def _sheet(kept: Book, named: str) -> Sheet:
    """The duty's sheet; a refusal names the published cycles too."""
    try:
        return kept.sheet("duty", named)
    except UnknownName as refusal:
        cycles = f'or name a published cycle ({", ".join(CYCLES)}) with --rated "{EXAMPLE}"'
        raise UnknownName([replace(one, remedy=f"{one.remedy}; {cycles}") for one in refusal.faults]) from None


def _settings(kept: Book) -> tuple[str, ...]:
    bodies = (sheet.body.get("settings") for sheet in kept.sheets("build"))
    return tuple({str(name) for settings in bodies if isinstance(settings, Mapping) for name in settings})


def _published(cycle: str, rated: str, intermediate: str) -> Duty:
    """A published cycle for the rating in words."""
    between = any(point.of == "intermediate" for point in CYCLES[cycle].points)
    faults: list[Fault] = []
    if intermediate and not between:
        seen = f"cycle {cycle} has no intermediate speed"
        faults.append(Fault("duty-rating", "--intermediate", seen, "leave it out"))
    wanted = [("--rated", rated, EXAMPLE)]
    wanted += [("--intermediate", intermediate, "80 hp at 2400 rpm")] if between else []
    ratings = []
    for option, text, example in wanted:
        try:
            ratings.append(_rating(cycle, option, text, example))
        except FairpullError as refusal:
            faults += refusal.faults
    if faults:
        raise ValueRefused(faults)
    (power, rpm), *more = ratings
    strength, speed = more[0] if more else (None, None)
    return cycle_duty(cycle, rpm, power, intermediate_rpm=speed, intermediate_power=strength)


def _rating(cycle: str, option: str, text: str, example: str) -> tuple[float, float]:
    """Power [W] and speed [rpm] as a person writes them: "93 hp at 3800 rpm"."""
    what = option.removeprefix("--")
    words = re.split(r"\s+at\s+|\s*@\s*", text.strip(), flags=re.IGNORECASE)
    if len(words) != 2:
        seen = f"no {what} power and speed" if not text else repr(text)
        raise ValueRefused(
            Fault("duty-rating", f"cycle {cycle}", seen, f'write {option} "{example}", at the output shaft')
        )
    values: list[float] = []
    faults: list[Fault] = []
    for word, house in zip(words, ("W", "rpm"), strict=True):
        try:
            values.append(parse(word, house))
        except FairpullError as refusal:
            faults += [replace(one, where=option) for one in refusal.faults]
    if faults:
        raise ValueRefused(faults)
    return values[0], values[1]


def with_site(duty: Duty, altitude: str, temperature: str) -> Duty:
    """The duty in the air of a place.

    Args:
        duty: as declared.
        altitude: above the sea; its pressure is the standard atmosphere's.
        temperature: of the air there; "" takes the standard atmosphere's.

    Returns:
        The duty; unchanged where neither is given.

    Raises:
        UnitRefused, ValueRefused: words that are no height or no temperature.
    """
    if not altitude and not temperature:
        return duty
    height = parse(altitude, "m") if altitude else 0.0
    warm = parse(temperature, "K") if temperature else float(air.standard_temperature(height))
    pressure = float(air.standard_pressure(height))
    return replace(duty, air=air.air_from(pressure=pressure, temperature=warm, relative_humidity=HUMIDITY))


def known_builds(kept: Book) -> tuple[str, ...]:
    """Names of all builds, each read once so that a broken sheet is told before a long computation."""
    shelf = Shelf(kept)
    return tuple(shelf.build(sheet.name).name for sheet in kept.sheets("build"))
