"""What a person typed about offered files, as orders for taking them in."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from fairpull.logs import ReadOptions
from fairpull.tasks.bench.take import Order, TakeOptions
from fairpull.tasks.groups import NOT_LOGS
from fairpull.terms.errors import FairpullError, Fault
from fairpull.terms.offered import Typed, TypedFile
from fairpull.terms.units import parse

ASIDE = "-"


def order_of(path: Path, typed: Typed) -> tuple[Order, tuple[Fault, ...]]:
    """How one offered file is to be taken in.

    Args:
        path: the file.
        typed: about all files.

    Returns:
        The order, as far as it could be understood, and all that could not.
    """
    own = typed.files.get(path.name, TypedFile())
    faults: list[Fault] = []
    read: dict[str, Any] = {
        "format": own.format,
        "sheet": own.sheet,
        "by": own.by,
        "date": own.date.strip(),
        "columns": {column: "" if said == ASIDE else said for column, said in own.columns.items() if said},
        "units": {column: said for column, said in own.units.items() if said},
    }
    for field, unit in (("displacement", "m3"), ("altitude", "m")):
        text = getattr(own, field).strip()
        if text:
            read[field] = _value(f"{path.name}, {field}", text, unit, faults)
    if own.weather.strip():
        read["given"] = _weather(f"{path.name}, weather", own.weather, faults)
    said = {name: value for name, value in read.items() if value is not None}
    options = TakeOptions(session=typed.session, read=ReadOptions(**said))
    return Order(path, own.build or typed.build, options, own.aside.strip()), tuple(faults)


def is_paper(path: Path) -> bool:
    """Whether a file is no log but lies beside one: names of channels, weather, a note, a picture."""
    return path.suffix.lower() in NOT_LOGS


def _value(where: str, text: str, unit: str, faults: list[Fault]) -> float | None:
    try:
        return parse(text, unit)
    except FairpullError as error:
        faults += [Fault(one.code, where, one.seen, one.remedy) for one in error.faults]
        return None


def _weather(where: str, text: str, faults: list[Fault]) -> Any:
    from fairpull.tasks.weather_words import weather_from_words

    try:
        return weather_from_words(text, where)
    except FairpullError as error:
        faults += error.faults
        return None
