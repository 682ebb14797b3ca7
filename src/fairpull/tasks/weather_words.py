"""Weather in a person's words: pressure, temperature and humidity, each with its unit."""

from __future__ import annotations

from fairpull.terms.errors import FairpullError, Fault, ValueRefused
from fairpull.terms.recording import Conditions
from fairpull.terms.units import parse, same_dimension


def weather_from_words(words: str, where: str) -> Conditions:
    """Conditions from "PRESSURE TEMPERATURE HUMIDITY".

    Args:
        words: values with units, separated by blanks; the humidity a percentage, or a pressure for vapour pressure.
        where: option or entry, for a refusal.

    Returns:
        The conditions; empty for no words.

    Raises:
        ValueRefused: a word that fits none of the three, or a quantity given twice; all faults at once.
        UnitRefused: a unit that is none.
    """
    found: dict[str, float] = {}
    faults: list[Fault] = []
    for word in _quantities(words):
        unit = word.lstrip("0123456789.,+- ")
        if unit.startswith("%"):
            name, house = "relative_humidity", "1"
        elif same_dimension(unit, "Pa"):
            name, house = ("vapour_pressure" if "pressure" in found else "pressure"), "Pa"
        elif same_dimension(unit, "K"):
            name, house = "temperature", "K"
        else:
            remedy = 'write pressure, temperature and humidity with their units: "29.62inHg 68degF 56%"'
            faults.append(Fault("weather-word", where, repr(word), remedy))
            continue
        if name in found:
            faults.append(Fault("weather-twice", where, f"{name} given twice", "give each once"))
            continue
        try:
            found[name] = parse(word, house)
        except FairpullError as error:
            faults += [Fault(one.code, where, one.seen, one.remedy) for one in error.faults]
    if faults:
        raise ValueRefused(faults)
    return Conditions(**found)


def _quantities(words: str) -> list[str]:
    """Numbers and their units put together again where a blank stood between."""
    parts: list[str] = []
    for word in words.split():
        if parts and not word[0].isdigit() and word[0] not in "+-." and parts[-1][-1].isdigit():
            parts[-1] += word
        else:
            parts.append(word)
    return parts
