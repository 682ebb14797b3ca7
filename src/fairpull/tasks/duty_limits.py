"""What a duty's limits may be about: channels, facts and entries of the sheets, and settings, by the trade's names."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass

from fairpull.terms.build import PART_KINDS
from fairpull.terms.glossary import CHANNELS
from fairpull.terms.units import house_unit_of

SETTING = "setting_"
OTHER_WORDS = {
    "octane": "research_octane",
    "ron": "research_octane",
    "mon": "motor_octane",
    "piston_speed": "mean_piston_speed_at_the_limit",
    "mean_piston_speed": "mean_piston_speed_at_the_limit",
    "mach_index": "inlet_mach_index_at_the_limit",
    "compression": "compression_ratio",
    "lift": "intake_valve_lift",
    "duration": "intake_duration",
    "tip_speed": "impeller_tip_speed_at_the_limit",
}
"""Names of facts and entries that people say otherwise; those of channels stand in the glossary."""
ENGINE_ENTRIES = ("bore", "stroke", "rod", "cylinders", "displacement", "compression_ratio", "inertia")
BUILD_ENTRIES = ("gear", "gear_efficiency", "hours")
FACTS = (
    "rod ratio",
    "speed at 4000 ft/min mean piston speed",
    "mean piston speed at the limit",
    "compression ratio from volumes",
    "dynamic compression ratio",
    "intake flow at net lift, 28 inH2O",
    "power ceiling from flow",
    "speed of peak power from flow",
    "power ceiling of one cylinder",
    "mean inlet flow coefficient",
    "speed at inlet Mach index 0.5",
    "inlet Mach index at the limit",
    "spring rate",
    "open load",
    "spring load at full lift",
    "coil-bind margin at open height",
    "coil-bind margin at full lift",
    "power limit of the injectors",
    "compressor turns for each engine turn",
    "compressor speed at the limit",
    "tip speed at the speed limit",
    "impeller tip speed at the limit",
    "compressor over engine displacement",
    "pulley ratio",
    "speed that the primary length suits",
    "primary length for peak power",
    "speed that the primary area suits",
    "drive power of all accessories",
    "carburettor flow at 1.5 inHg",
    "energy for each mass of air",
    "intake flow at 28 inH2O",
    "exhaust flow at 28 inH2O",
    "exhaust over intake flow",
    "runner area",
    "runner volume",
    "throttle area",
    "primary area",
    "primary volume",
    "collector over primary length",
    "exhaust centreline",
    "lobe separation",
    "installed advance",
)
"""Computed facts of parts and builds (``fairpull.engine``) that have one fixed name."""


@dataclass(frozen=True, slots=True)
class Limited:
    """What a limit is about.

    name: as channels and facts are named; "" where nothing of that name is known. unit: house unit, "" where only the
    value tells it. near: known names that look like it, readable.
    """

    name: str
    unit: str = ""
    near: tuple[str, ...] = ()


def key_of(text: str) -> str:
    """A name as channels are named: "Oil temperature" -> "oil_temperature".

    Args:
        text: as written.

    Returns:
        The key.
    """
    return re.sub(r"[^a-z0-9]+", "_", text.lower()).strip("_")


def _channels() -> dict[str, str]:
    found: dict[str, str] = {}
    for channel in CHANNELS:
        for spelling in (channel.name, *channel.spellings):
            for key in (key_of(spelling), key_of(spelling).replace("_", "")):
                found.setdefault(key, channel.name)
    return found


def _entries() -> set[str]:
    """Entries of the part sheets and the engine's, and names of facts."""
    from fairpull.engine.parts import forms

    entries = {name for kind in PART_KINDS for name in forms()[kind].model_fields}
    return entries | {key_of(name) for name in FACTS} | {*ENGINE_ENTRIES, *BUILD_ENTRIES}


def limited(text: str, settings: Collection[str] = ()) -> Limited:
    """What a limit is about, by the name that a person wrote.

    Args:
        text: such as "exhaust temperature", "egt 3", "octane", "coil-bind margin at full lift", "setting rpm_limit".
        settings: names of settings that the builds' sheets hold.

    Returns:
        The name, or none with near ones.
    """
    key = key_of(text)
    channels = _channels()
    base, number = _numbered(key)
    if key in channels:
        return Limited(channels[key], house_unit_of(channels[key]))
    if base in channels and any(one.name == channels[base] and one.numbered for one in CHANNELS):
        return Limited(f"{channels[base]}_{number}", house_unit_of(channels[base]))
    if key.startswith(SETTING) or key in {key_of(name) for name in settings}:
        return Limited(key.removeprefix(SETTING), house_unit_of(key.removeprefix(SETTING)))
    entries = _entries()
    name = OTHER_WORDS.get(key, key)
    if name in entries:
        return Limited(name, house_unit_of(name))
    return Limited("", "", _near(key, {**channels, **OTHER_WORDS, **{one: one for one in entries}}))


def _numbered(key: str) -> tuple[str, str]:
    base, _, number = key.rpartition("_")
    if re.fullmatch(r"[1-9][0-9]?", number):
        return base, number
    matched = re.fullmatch(r"(.*[a-z])([1-9][0-9]?)", key)
    return (matched[1], matched[2]) if matched else (key, "")


def _near(key: str, known: dict[str, str]) -> tuple[str, ...]:
    import difflib

    close = difflib.get_close_matches(key[:80], sorted(known), n=6, cutoff=0.6)
    return tuple(dict.fromkeys(known[one].replace("_", " ") for one in close))[:3]
