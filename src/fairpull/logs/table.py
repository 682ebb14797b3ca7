"""What a format hands over: columns as they stood in the file, before anybody says what they mean."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from fairpull.terms.arrays import FloatArray
from fairpull.terms.findings import Finding


@dataclass(frozen=True, slots=True)
class Sniff:
    """A format's opinion of a file.

    Attributes:
        claims: True when the format takes the file.
        reason: why, or why not, one short sentence; shown to the person.
    """

    claims: bool
    reason: str


class LateColumns(Mapping[str, FloatArray]):
    """Columns that become arrays when they are asked for: most columns of a wide log never are."""

    def __init__(self, makers: Mapping[str, Callable[[], FloatArray]]) -> None:
        self._makers = dict(makers)
        self._made: dict[str, FloatArray] = {}

    def __getitem__(self, name: str) -> FloatArray:
        if name not in self._made:
            self._made[name] = self._makers[name]()
        return self._made[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._makers)

    def __len__(self) -> int:
        return len(self._makers)

    def __contains__(self, name: object) -> bool:
        return name in self._makers

    def only(self, names: Iterable[str]) -> LateColumns:
        """The same columns, only these names.

        Args:
            names: names that are there.

        Returns:
            Columns that are still made late.
        """
        chosen = LateColumns({name: self._makers[name] for name in names})
        chosen._made.update({name: self._made[name] for name in chosen if name in self._made})
        return chosen


@dataclass(frozen=True, slots=True)
class RawTable:
    """One table out of a file, nothing converted yet.

    Attributes:
        columns: column names as they stood, in the file's order (bracketed units stripped off); made unique by the
            format ("torque", "torque (2)") with a finding.
        units: column -> unit text as it stood (units row, brackets, suffix, attribute); "" or absent: none stood.
        values: numeric columns, column -> float64 array of shape (n,), NaN where a cell was empty or no number.
        texts: columns that are text, column -> the n cells as they stood ("" where empty); a column is in
            ``values`` or in ``texts``, never in both. A clock as time of day may stay text: the door reads it.
        preamble: lines or (name: value) pairs that stood before the header, as text lines, in order.
        detail: encoding, delimiter, sheet ...: one readable line for ``Origin.detail``.
        findings: what the format noticed (repeated header rows dropped, trailing junk dropped ...).
        first_data_row: row number in the file (from 1) of the first row of ``values``, for messages; 0: none.
        started_at: wall-clock time of the first row [s since 1970, local taken as UTC] where the format knows it.
        choices: what the format chose (sheet, raster ...), name -> readable text.
    """

    columns: tuple[str, ...]
    units: Mapping[str, str]
    values: Mapping[str, FloatArray]
    texts: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    preamble: tuple[str, ...] = ()
    detail: str = ""
    findings: tuple[Finding, ...] = ()
    first_data_row: int = 0
    started_at: float | None = None
    choices: Mapping[str, str] = field(default_factory=dict)

    @property
    def rows(self) -> int:
        """Number of rows."""
        for array in self.values.values():
            return len(array)
        for cells in self.texts.values():
            return len(cells)
        return 0
