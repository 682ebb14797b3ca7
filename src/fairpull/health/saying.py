"""How detectors put numbers into sentences: SI first, the shop's unit beside it."""

from __future__ import annotations

from fairpull.terms.health import Unseen
from fairpull.terms.units import from_house

NO_REFERENCE = "an earlier sound pull of the same build"


def unseen(kind: str, *missing: str, why: str = "") -> Unseen:
    """A detector that could not look.

    Args:
        kind: of the sign.
        missing: channels or references it would need.
        why: a sentence of its own; empty: made from what is missing.

    Returns:
        The statement.
    """
    return Unseen(kind, missing, why or f"needs {', '.join(missing)}")


def percent(fraction: float) -> str:
    """A signed share, one digit behind the point.

    Args:
        fraction: the share.

    Returns:
        Text in percent.
    """
    return f"{100.0 * fraction:+.1f} %"


def torque(value: float) -> str:
    """A signed torque [N m].

    Args:
        value: [N m].

    Returns:
        Text in N m and lb-ft.
    """
    return f"{value:+.1f} N m ({from_house(value, 'lb-ft', 'N m'):+.1f} lb-ft)"


def warmer(kelvin: float) -> str:
    """A signed temperature difference [K].

    Args:
        kelvin: difference [K].

    Returns:
        Text in K and degF.
    """
    return f"{kelvin:+.0f} K ({kelvin * 1.8:+.0f} degF)"


def pressure(pascal: float) -> str:
    """A pressure or pressure difference [Pa], in kPa.

    Args:
        pascal: [Pa].

    Returns:
        Text in kPa and inHg.
    """
    return f"{pascal / 1e3:.1f} kPa ({from_house(pascal, 'inHg', 'Pa'):.2f} inHg)"


def listed(words: list[str]) -> str:
    """Words joined by commas and a last "and".

    Args:
        words: one or more.

    Returns:
        One text.
    """
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
