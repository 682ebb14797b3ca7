"""The little recorder that was tried for one pull: one JSON object a line, sensors without news left out."""

from __future__ import annotations

from pathlib import Path

from fairpull.demo.layouts.column import Logged, present, text_rows
from fairpull.demo.layouts.us_text import COLUMNS


def write_lines(stem: Path, logged: Logged) -> Path:
    """Write one pull as JSON lines, names with their units in brackets.

    Args:
        stem: path without an ending.
        logged: the pull.

    Returns:
        The file written.
    """
    columns = present(COLUMNS, logged)
    heads = [f"{column.name} [{column.unit}]" if column.unit else column.name for column in columns]
    lines = []
    for row in text_rows(columns, logged, "|", ""):
        pairs = zip(heads, row.split("|"), strict=True)
        lines.append("{" + ", ".join(f'"{head}": {value}' for head, value in pairs if value) + "}")
    path = stem.with_name(stem.name + ".jsonl")
    path.write_bytes(("\n".join(lines) + "\n").encode())
    return path
