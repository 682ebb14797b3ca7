"""The words of the search language: summary figures, channels by any spelling of the trade, words about a pull."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

from fairpull.terms.build import PART_KINDS
from fairpull.terms.glossary import BY_NAME, CHANNELS, Channel

MOST_NUMBERED = 99  # cylinders, banks or sensors of one numbered channel

# figure in the book: house unit, words for it
SUMMARY: dict[str, tuple[str, tuple[str, ...]]] = {
    "peak_power": ("W", ("peak power",)),
    "peak_torque": ("N m", ("peak torque",)),
    "mean_power": ("W", ("mean power",)),
    "mean_torque": ("N m", ("mean torque",)),
    "observed_peak_power": ("W", ("observed peak power", "peak observed power")),
    "observed_peak_torque": ("N m", ("observed peak torque", "peak observed torque")),
    "peak_power_rpm": ("rpm", ("speed of peak power", "peak power speed", "engine speed of peak power")),
    "peak_torque_rpm": ("rpm", ("speed of peak torque", "peak torque speed", "engine speed of peak torque")),
    "factor": ("1", ("factor", "correction factor")),
    "rpm_low": ("rpm", ("lowest speed",)),
    "rpm_high": ("rpm", ("highest speed",)),
    "sweep_rate": ("rpm/s", ("sweep rate",)),
    "duration": ("s", ("duration",)),
}
# quantities that come of channels and the engine; the book keeps their figures, not their rows
DERIVED: dict[str, tuple[str, tuple[str, ...]]] = {
    "bsfc": ("kg/J", ("brake specific fuel consumption",)),
    "bsac": ("kg/J", ("brake specific air consumption",)),
    "volumetric_efficiency": ("1", ("ve",)),
    "thermal_efficiency": ("1", ("brake thermal efficiency",)),
    "mean_piston_speed": ("m/s", ("piston speed",)),
    "lambda_from_flows": ("1", ()),
    "lambda_flows_over_sensor": ("1", ()),
}
PICK_WORDS = {
    "least": "least", "lowest": "least", "min": "least",
    "mean": "mean", "average": "mean",
    "most": "most", "highest": "most", "peak": "most", "max": "most",
}  # fmt: skip
ABOUT = ("name", "engine", "build", "part", "session", "state", "kind", "change", "sign", "text")
DATES = ("date", "taken")
KINDS = ("sweep", "steps")
CHANGES = ("engine", *PART_KINDS)


@dataclass(frozen=True, slots=True)
class Named:
    """What a phrase before a comparison names.

    Attributes:
        names: names in the figures table; empty for words and dates.
        unit: their house unit.
        pick: "any", "least", "mean" or "most".
        whole: kept for the whole pull only, so that no range of speeds can be asked for.
        reference: "gauge" or "absolute" for a pressure, "" for anything else.
        about: the word about a pull, or the date, that the phrase may (also) be; "" for none.
        part_kind: for ``about`` "part": the kind of part that the phrase is.
    """

    names: tuple[str, ...] = ()
    unit: str = ""
    pick: str = "any"
    whole: bool = False
    reference: str = ""
    about: str = ""
    part_kind: str = ""


def plain(text: str) -> str:
    """A phrase in lower case, its words apart by one blank; "_", "-" and "/" count as blanks.

    Args:
        text: as written.

    Returns:
        The phrase.
    """
    folded = unicodedata.normalize("NFKC", text).casefold()
    return " ".join(re.split(r"[\s_/-]+", folded.strip(" _/-")))


def _channels() -> dict[str, Channel]:
    index: dict[str, Channel] = {}
    for channel in CHANNELS:
        for spelling in (channel.name, *channel.spellings):
            for key in (plain(spelling), plain(spelling).replace(" ", "")):
                index.setdefault(key, channel)
    return index


CHANNEL_OF = _channels()
DERIVED_OF = {plain(word): name for name, (_, words) in DERIVED.items() for word in (name, *words)}
SUMMARY_OF = {plain(word): figure for figure, (_, words) in SUMMARY.items() for word in (figure, *words)}


def named(phrase: str) -> Named | None:
    """What a phrase stands for.

    Args:
        phrase: the words before the comparison, e.g. "Oil temperature", "mean boost", "egt 3", "camshaft".

    Returns:
        What it names, or None where nothing of that name is known.
    """
    key = plain(phrase)
    figure = SUMMARY_OF.get(key)
    if figure is not None:
        return Named((figure,), SUMMARY[figure][0], whole=True)
    derived = _derived(key)
    if derived is not None:
        return derived
    about, part_kind = _word(key)
    channel = _channel(key)
    if channel is None:
        return Named(about=about, part_kind=part_kind) if about else None
    names, unit, pick = channel
    about_it = BY_NAME[names[0].rstrip("0123456789").rstrip("_")].about
    reference = next((word for word in ("gauge", "absolute") if about_it.endswith(word)), "")
    return Named(names, unit, pick, reference=reference, about=about, part_kind=part_kind)


def _derived(key: str) -> Named | None:
    pick, _, rest = key.partition(" ")
    for words, picked in ((key, "any"), (rest, PICK_WORDS.get(pick, ""))):
        name = DERIVED_OF.get(words)
        if name is not None and picked:
            return Named((name,), DERIVED[name][0], picked, whole=True)
    return None


def _word(key: str) -> tuple[str, str]:
    if key in ABOUT or key in DATES:
        return key, ""
    return ("part", key) if key in PART_KINDS else ("", "")


def _channel(key: str) -> tuple[tuple[str, ...], str, str] | None:
    """Names, house unit and pick of a channel phrase; the phrase as a whole goes before its parts."""
    words = key.split(" ")
    pick = PICK_WORDS.get(words[0], "")
    tries = [(words, "any")] + ([(words[1:], pick)] if pick and len(words) > 1 else [])
    for rest, picked in tries:
        whole = CHANNEL_OF.get(" ".join(rest))
        if whole is not None:
            return _names(whole), whole.unit, picked
        one = CHANNEL_OF.get(" ".join(rest[:-1]))
        if one is not None and one.numbered and re.fullmatch(r"[1-9][0-9]?", rest[-1]):
            return (f"{one.name}_{rest[-1]}",), one.unit, picked
    return None


def _names(channel: Channel) -> tuple[str, ...]:
    numbers = range(1, MOST_NUMBERED + 1) if channel.numbered else ()
    return (channel.name, *(f"{channel.name}_{number}" for number in numbers))


def near(phrase: str) -> tuple[str, ...]:
    """Known phrases that look like an unknown one.

    Args:
        phrase: the words before the comparison.

    Returns:
        At most three, the nearest first.
    """
    import difflib

    known = {*SUMMARY_OF, *DERIVED_OF, *CHANNEL_OF, *ABOUT, *DATES, *PART_KINDS}
    words = plain(phrase).split(" ")
    rest = " ".join(words[1:]) if words[0] in PICK_WORDS else " ".join(words)
    spoken = sorted(word for word in known if len(word) > 2 and (" " in word or not _squeezed(word)))
    close = difflib.get_close_matches(rest[:80], spoken, n=3, cutoff=0.6)
    head = f"{words[0]} " if words[0] in PICK_WORDS and len(words) > 1 else ""
    return tuple(head + word for word in close)


def _squeezed(word: str) -> bool:
    """Whether it is a spelling of several words written as one."""
    channel = CHANNEL_OF.get(word)
    return channel is not None and word not in {plain(spelling) for spelling in (channel.name, *channel.spellings)}


def digits_step(text: str) -> float:
    """What one step of the last digit written is worth, e.g. 0.01 for "0.35", 1 for "150", 1000 for "12e3".

    Args:
        text: begins with a number.

    Returns:
        The step, in the unit written.
    """
    matched = re.match(r"\s*[-+]?([\d,' ]*)(?:\.(\d*))?(?:[eE]([-+]?\d{1,4}))?", text)
    before, after, power = matched.groups() if matched else ("", None, None)
    decimals = len(after or "")
    comma = re.search(r",(\d+)\s*$", before) if after is None else None
    if comma and before.count(",") == 1:  # a decimal comma: what could be read two ways was refused before
        decimals = len(comma[1])
    return float(10.0 ** max(-300, min(300, int(power or 0) - decimals)))
