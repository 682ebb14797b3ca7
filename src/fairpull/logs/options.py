"""What a person may say about a file before it is read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from fairpull.terms.recording import Conditions


@dataclass(frozen=True, slots=True)
class ReadOptions:
    """Everything that can be said by option. Options overrule ``channels.toml``, which overrules recognition.

    Attributes:
        format: name of the format; "" lets the sniffers decide.
        sheet: sheet of a workbook, by name; "" lets the format choose.
        by: column that splits a long table into several curves; "" for none.
        columns: column name in the file -> channel (glossary name, numbered ones with their number); "" leaves
            the column aside.
        units: column or channel name -> unit of that column.
        channels_file: a person's own names (``channels.toml``); None looks beside the log.
        conditions_file: weather by hand (``conditions.toml``); None looks beside the log.
        given: conditions given by hand, SI; they overrule ``conditions.toml`` value by value.
        displacement: swept volume [m3], for BMEP columns; None when not said.
        strokes: strokes per cycle (4 or 2), for BMEP columns.
        altitude: height of the test place above sea level [m], to tell a sea-level barometer; None: unknown.
        date: day of the test, ``YYYY-MM-DD``, where the clock column holds only a time of day; "": unknown.
    """

    format: str = ""
    sheet: str = ""
    by: str = ""
    columns: Mapping[str, str] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)
    channels_file: Path | None = None
    conditions_file: Path | None = None
    given: Conditions = field(default_factory=Conditions)
    displacement: float | None = None
    strokes: int = 4
    altitude: float | None = None
    date: str = ""
