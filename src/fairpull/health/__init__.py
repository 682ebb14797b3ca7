"""Signs of trouble in a pull, from its own channels and against earlier pulls of its build."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from fairpull.health.limits import DEFAULTS, HealthLimits
from fairpull.health.look import look

if TYPE_CHECKING:
    from fairpull.health.measured import compression, dead_weights, lash, leakdown, springs

__all__ = ["DEFAULTS", "HealthLimits", "compression", "dead_weights", "lash", "leakdown", "look", "springs"]


def __getattr__(name: str) -> Any:
    """Hand on what is loaded late."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from fairpull.health import measured

    return getattr(measured, name)
