"""All correction standards, in the order in which they are shown."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from fairpull.air.standard import Standard
from fairpull.air.standards import (
    din_70020,
    eec_80_1269,
    iso_1585,
    iso_3046,
    iso_15550,
    jis_d1001,
    none,
    sae_j607,
    sae_j1349,
    un_r85,
)
from fairpull.terms.errors import Fault, UnknownName

_MODULES = (
    none,
    sae_j1349,
    sae_j607,
    iso_1585,
    un_r85,
    jis_d1001,
    din_70020,
    eec_80_1269,
    iso_3046,
    iso_15550,
)

STANDARDS: Mapping[str, Standard] = MappingProxyType({m.STANDARD.key: m.STANDARD for m in _MODULES})


def standard(key: str) -> Standard:
    """The standard of that key.

    Args:
        key: e.g. "sae-j1349".

    Returns:
        The standard.

    Raises:
        UnknownName: no such key; the remedy names the nearest and lists all.
    """
    if key in STANDARDS:
        return STANDARDS[key]
    raise UnknownName(unknown_name("standard", key, tuple(STANDARDS)))


def unknown_name(where: str, seen: str, valid: tuple[str, ...]) -> Fault:
    """The fault for a word that is not on a list.

    Args:
        where: option or argument.
        seen: the word.
        valid: the list.

    Returns:
        A fault whose remedy names the nearest word, if any is near, and lists all.
    """
    import difflib

    folded = seen.strip().lower().replace("_", "-").replace(" ", "-")
    near = difflib.get_close_matches(folded, valid, n=1, cutoff=0.5)
    hint = f"did you mean {near[0]}? " if near else ""
    return Fault(f"unknown-{where}", where, repr(seen), f"{hint}one of: {', '.join(valid)}")
