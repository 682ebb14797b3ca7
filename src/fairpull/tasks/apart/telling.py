"""What a work is: a function of plain data that tells where it is."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

Tell = Callable[[int, int, str], None]
"""Told where a work is: how much is done, of how much (0: not known), and what it does now in a few words."""
Work = Callable[[Mapping[str, Any], Tell], dict[str, Any]]
"""What was asked, as plain data, and whom to tell; gives the result as plain data (no NaN)."""
