"""Scoring builds of the book on a declared duty."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from fairpull import air, pulls
from fairpull.compare.purpose import score
from fairpull.tasks.bench.builds import Shelf
from fairpull.tasks.bench.compare_builds import fetch, with_house
from fairpull.tasks.duty_file import duty_from_table, read_duty
from fairpull.tasks.request import CompareRequest
from fairpull.tasks.weather import weather_of
from fairpull.terms.bench import COUNTS
from fairpull.terms.errors import Fault, NotComparable
from fairpull.terms.purpose import Duty, Scores
from fairpull.terms.units import parse

if TYPE_CHECKING:
    from fairpull.book import Book

STEP = 100.0  # rpm
HUMIDITY = 0.5  # of the site's air where only its height and temperature are told


def purpose_of(
    kept: Book,
    duty: str,
    builds: Sequence[str] = (),
    *,
    altitude: str = "",
    temperature: str = "",
    standard: str = "",
) -> Scores:
    """Score builds on a duty.

    Args:
        kept: the book.
        duty: name of a duty's sheet, or a file.
        builds: names; empty for every build with counted pulls.
        altitude, temperature: of the site, e.g. "7200 ft" and "41 degF"; "" leaves what the duty says.
        standard: correction standard; "" takes the house's.

    Returns:
        The scores, best first.

    Raises:
        UnknownName: no such duty or build. NotComparable: no build has counted pulls.
        ValueRefused: a duty or a site that cannot be.
    """
    wanted = with_site(declared_duty(kept, duty), altitude, temperature)
    names = tuple(builds) or tuple(dict.fromkeys(line.build for line in kept.pulls(states=(COUNTS,))))
    if not names:
        raise NotComparable(Fault("no-counted-pull", "book", "no build has a counted pull", "take some in"))
    request = with_house(kept, CompareRequest(standard=standard))
    fetched = fetch(kept, names, request)
    groups = [(one.build.name, [pulls.curve(pull, step=STEP) for pull in one.pulls]) for one in fetched]
    engines = {pull.name: one.build.engine for one in fetched for pull in one.pulls}
    weather = weather_of([curve for _, curves in groups for curve in curves], engines, request.standard)
    result = score(
        wanted,
        groups,
        builds={one.build.name: one.build for one in fetched},
        standard=weather.standard,
        factors=weather.factors,
    )
    return replace(result, choices={**result.choices, **weather.choices})


def declared_duty(kept: Book, named: str) -> Duty:
    """A duty by the name of its sheet, or from a file."""
    path = Path(named).expanduser()
    if path.is_file():
        return read_duty(path)
    sheet = kept.sheet("duty", named)
    return duty_from_table(sheet.body, where=f"duty {named}", name=named)


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
