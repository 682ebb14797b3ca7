"""The trade's other words for kinds of change, so that a header is found where the sheets say exhaust."""

from __future__ import annotations

import re
from collections.abc import Collection

from fairpull.terms.build import PART_KINDS

BOOST = "boost"
SETTING = "setting "
LIMITS = ("spark limits", "lambda limits", "jet limits", "rpm limit")
"""Settings that say what may be run (the limits card): nothing that was changed on the engine."""
WORDS: dict[str, tuple[str, ...]] = {
    "camshaft": ("cam", "cams", "camshafts"),
    "head": ("heads", "cylinder head", "cylinder heads"),
    "intake": ("inlet manifold", "intake manifold", "inlet", "plenum"),
    "carburettor": ("carb", "carbs", "carburetor", "carburetors", "carburettors", "carburetter"),
    "throttle": ("throttle body", "throttles"),
    "jets": ("jet", "jetting", "main jet"),
    "injectors": ("injector", "injection"),
    "exhaust": ("header", "headers", "manifold", "exhaust manifold", "muffler", "silencer"),
    "compressor": ("blower", "supercharger"),
    "turbine": ("turbo", "turbocharger", "waste gate", "wastegate"),
    "pulley": ("pulleys", "drive ratio"),
    "cooler": ("intercooler", "charge cooler", "aftercooler"),
    "ignition": ("distributor", "magneto"),
    "springs": ("spring", "valve spring", "valve springs"),
    "piston": ("pistons",),
    "accessories": ("accessory",),
    "setting spark": ("spark", "timing", "advance", "spark advance", "ignition timing"),
}
KIND_OF = {word: kind for kind, words in WORDS.items() for word in words}
PER_BOOST = re.compile(r"boost( gain)?( per (psi|bar|kpa|unit( of boost)?))?|gain per (psi|bar|kpa|unit of boost)")


def setting_key(name: str) -> str:
    """A setting's name as it is compared: small letters, words apart by one blank.

    Args:
        name: as a sheet has it, e.g. "Main_jet".

    Returns:
        The name, e.g. "main jet".
    """
    return " ".join(re.split(r"[\s_-]+", name.casefold().strip(" _-")))


def kind_of_change(word: str, settings: Collection[str] = ()) -> str:
    """The kind of change that a word of the trade means.

    Args:
        word: as a person writes it: "header", "Cam", "spark", "setting main_jet", "boost per psi".
        settings: names of settings that sheets hold.

    Returns:
        A kind of part, "boost", or "setting NAME" with the name as the sheets have it; "" where the word means none.
    """
    key = setting_key(word)
    if key in PART_KINDS:
        return key
    if PER_BOOST.fullmatch(key):
        return BOOST
    named = {setting_key(name): name for name in settings}
    bare, meant = key.removeprefix(SETTING), KIND_OF.get(key, "")
    if bare in named:
        return SETTING + named[bare]
    if key.startswith(SETTING):
        return key
    if meant.startswith(SETTING):
        return SETTING + named.get(meant.removeprefix(SETTING), meant.removeprefix(SETTING))
    return meant


def near_kinds(word: str, settings: Collection[str] = ()) -> tuple[str, ...]:
    """Kinds whose names look like an unknown word.

    Args:
        word: as a person wrote it.
        settings: names of settings that sheets hold.

    Returns:
        At most three, the nearest first.
    """
    import difflib

    known = {one: one for one in (*PART_KINDS, BOOST)} | KIND_OF
    known |= {setting_key(name): SETTING + name for name in settings}
    close = difflib.get_close_matches(setting_key(word)[:80], sorted(known), n=6, cutoff=0.6)
    return tuple(dict.fromkeys(known[one] for one in close))[:3]
