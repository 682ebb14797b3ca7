"""The invented scenario's raw logs, as a shop's loggers would have left them; knows nothing of how they are judged."""

from __future__ import annotations

from fairpull.demo.day import DemoDay, write_day

__all__ = ["DemoDay", "write_day"]
