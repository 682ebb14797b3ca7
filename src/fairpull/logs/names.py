"""Column names to channels: normalised spellings, units at the end of a name, cylinders, banks and meters."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from fairpull.terms import units
from fairpull.terms.glossary import BY_NAME, CHANNELS

_CAMEL = re.compile(r"(?<=[a-zäöü])(?=[A-ZÄÖÜ])")
_SPLIT = re.compile(r"[^0-9a-zäöüßéèλ%°]+")
_NUMBERED = re.compile(r"^(?P<word>[a-zλ]+)(?P<number>\d{1,2})$")

# A word that says which cylinder, bank or meter; "a" and "left" are the first.
_SIDES = {"left": 1, "lh": 1, "l": 1, "a": 1, "primary": 1, "right": 2, "rh": 2, "r": 2, "b": 2, "secondary": 2}
_GROUP_WORDS = frozenset(("cyl", "cylinder", "bank", "meter", "no", "nr", "line", "sensor", "b", "c", "side"))
# Words that add nothing to what a column is.
_FILLERS = frozenset(
    (
        "engine", "brake", "measured", "meas", "actual", "act", "avg", "average", "mean", "obs", "observed", "raw",
        "channel", "ch", "sensor", "signal", "value", "val", "filtered", "total", "sum", "dyno", "shaft", "current",
    )
)  # fmt: skip
# Words that make a column something else than the measured quantity.
_FORBIDDING = {
    "corrected": "already corrected", "corr": "already corrected", "cor": "already corrected",
    "std": "already corrected", "sae": "already corrected", "din": "already corrected", "stp": "already corrected",
    "target": "a target, not a measurement", "set": "a set point, not a measurement",
    "setpoint": "a set point, not a measurement", "demand": "a demand, not a measurement",
    "request": "a demand, not a measurement", "requested": "a demand, not a measurement",
    "desired": "a demand, not a measurement", "cmd": "a demand, not a measurement",
    "max": "an extreme, not a sample", "min": "an extreme, not a sample", "peak": "an extreme, not a sample",
    "rated": "a rating, not a sample", "idle": "a rating, not a sample", "limit": "a limit, not a measurement",
    "error": "an error signal", "status": "a status", "equivalence": "fuel over stoichiometric fuel, 1/lambda",
    "phi": "fuel over stoichiometric fuel, 1/lambda", "factor": "a factor",
    "inertia": "an inertia torque, not the brake's", "friction": "friction, not the brake's output",
}  # fmt: skip
# Several meters of one flow are added up.
SUMMED = frozenset(("fuel_mass_flow", "fuel_volume_flow", "air_mass_flow", "air_volume_flow"))
# The same words, another quantity: the unit decides.
BY_UNIT: dict[tuple[str, str], str] = {
    ("fuel_mass_flow", "m3/s"): "fuel_volume_flow",
    ("fuel_volume_flow", "kg/s"): "fuel_mass_flow",
    ("air_mass_flow", "m3/s"): "air_volume_flow",
    ("air_volume_flow", "kg/s"): "air_mass_flow",
    ("relative_humidity", "Pa"): "vapour_pressure",
    ("carbon_monoxide", "1"): "carbon_monoxide",
    ("coolant_out", "Pa"): "",
    ("torque", "W"): "power",
    ("power", "N m"): "torque",
}


@dataclass(frozen=True, slots=True)
class Match:
    """What a column name says.

    Attributes:
        channel: glossary name; "" when the name must not be used (``reason`` says why).
        number: cylinder, bank or meter, 0 when none is named.
        unit: unit text found at the end of the name, or "".
        exact: True when the name is a spelling of the glossary, apart from unit and number.
        reason: how it was understood.
    """

    channel: str
    number: int
    unit: str
    exact: bool
    reason: str


def normalise(text: str) -> str:
    """A column name in lower case, words apart: "EngineSpeed_rpm" -> "engine speed rpm".

    Args:
        text: column name.

    Returns:
        Words separated by single spaces.
    """
    return " ".join(_words(text))


def _words(text: str) -> list[str]:
    return [word for word in _SPLIT.split(_CAMEL.sub(" ", text).lower()) if word]


def _index() -> dict[str, str]:
    index: dict[str, str] = {}
    for channel in CHANNELS:
        for spelling in (channel.name, *channel.spellings):
            words = _words(spelling)
            for key in (" ".join(words), "".join(words)):
                index.setdefault(key, channel.name)
    return index


INDEX = _index()


def channel_of_spelling(text: str) -> str | None:
    """The channel whose spelling a text is, without taking it apart.

    Args:
        text: a column name.

    Returns:
        Glossary name, or None.
    """
    words = _words(text)
    return INDEX.get(" ".join(words)) or INDEX.get("".join(words))


def _lookup(words: list[str]) -> str | None:
    return INDEX.get(" ".join(words)) or INDEX.get("".join(words)) if words else None


def _numbered(words: list[str]) -> tuple[str, int] | None:
    """Channel and number of "egt 3", "egt3", "cyl 3 egt", "lambda bank 2", "fuel flow b"."""
    for place, word in enumerate(words):
        number, rest = _number_of(words, place, word)
        if not number:
            continue
        kept = [other for other in rest if other not in _GROUP_WORDS]
        channel = _lookup(kept)
        if channel and (BY_NAME[channel].numbered or channel in SUMMED):
            return channel, number
    return None


def _number_of(words: list[str], place: int, word: str) -> tuple[int, list[str]]:
    others = words[:place] + words[place + 1 :]
    if word.isdigit() and len(word) <= 2:
        return int(word), others
    if word in _SIDES and len(words) > 1:
        return _SIDES[word], others
    glued = _NUMBERED.match(word)
    if glued:
        return int(glued.group("number")), [*words[:place], glued.group("word"), *words[place + 1 :]]
    return 0, words


def _splits(words: list[str]) -> list[tuple[list[str], str]]:
    found: list[tuple[list[str], str]] = [(words, "")]
    for length in (1, 2, 3, 4):
        tail = " ".join(words[-length:])
        if length < len(words) and not tail.isdigit() and units.lookup(tail) is not None:
            found.append((words[:-length], tail))
    return found


def _fits(channel: str, unit: str) -> str:
    """The channel that name and unit mean together, or ""."""
    if not unit:
        return channel
    found = units.lookup(unit)
    if found is None or found.house == BY_NAME[channel].unit:
        return channel
    return BY_UNIT.get((channel, found.house), "")


@lru_cache(maxsize=4096)
def match(name: str) -> Match | None:
    """What a column is by its name.

    Args:
        name: column name as it stood, bracketed unit already taken off.

    Returns:
        The match, or None when the name is none of the glossary's.
    """
    words = _words(name)
    splits = _splits(words)
    for rest, unit in splits:
        found = _lookup(rest)
        if found and (channel := _fits(found, unit)):
            return Match(
                channel, 0, unit, True, "a spelling of the glossary" + (f", unit {unit!r} at its end" if unit else "")
            )
    forbidden = [_FORBIDDING[word] for word in words if word in _FORBIDDING]
    for rest, unit in reversed(splits):
        numbered = _numbered(rest)
        if numbered and not forbidden and (channel := _fits(numbered[0], unit)):
            return Match(channel, numbered[1], unit, True, f"a spelling of the glossary with number {numbered[1]}")
    return _loosely(splits, forbidden)


def _loosely(splits: list[tuple[list[str], str]], forbidden: list[str]) -> Match | None:
    for rest, unit in splits:
        kept = [word for word in rest if word not in _FILLERS and word not in _FORBIDDING]
        dropped = [word for word in rest if word not in kept]
        found = _lookup(kept)
        numbered = (found, 0) if found else _numbered(kept)
        if not numbered or not dropped:
            continue
        channel = _fits(numbered[0], unit)
        if not channel:
            continue
        if forbidden:
            return Match("", numbered[1], unit, False, f"{channel}, but {forbidden[0]}")
        return Match(channel, numbered[1], unit, False, f"{channel} after leaving out {' '.join(dropped)!r}")
    return Match("", 0, "", False, forbidden[0]) if forbidden and "equivalence" in splits[0][0] else None
