"""The little recorder that was tried for one pull: one JSON object a line, sensors without news left out."""

from __future__ import annotations

from pathlib import Path

import numpy as np

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
    columns = [column for column in present(COLUMNS, logged) if column.channel != "time"]
    milliseconds = np.round(logged.channels["time"] * 1000).astype("timedelta64[ms]")
    stamps = np.datetime_as_string(np.datetime64(logged.start, "ms") + milliseconds).tolist()
    heads = [f"{column.name} [{column.unit}]" if column.unit else column.name for column in columns]
    lines = []
    for stamp, row in zip(stamps, text_rows(columns, logged, "|", ""), strict=True):
        pairs = zip(heads, row.split("|"), strict=True)
        values = ", ".join(f'"{head}": {value}' for head, value in pairs if value)
        lines.append(f'{{"Clock": "{stamp}", {values}}}')
    path = stem.with_name(stem.name + ".jsonl")
    path.write_bytes(("\n".join(lines) + "\n").encode())
    return path
