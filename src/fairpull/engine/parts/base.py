"""What the data sheets of all kinds of parts share."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from fairpull.engine.form_types import Form, Text
from fairpull.terms.build import Fact
from fairpull.terms.errors import Fault

NOT_DATA = frozenset({"kind", "name", "label", "notes"})


class PartForm(Form):
    """A part's sheet: who it is, and notes. Every entry is optional unless another one needs it."""

    NEEDS: ClassVar[tuple[tuple[str, str, str], ...]] = ()  # entry, the entry that it needs, an example of that

    kind: str
    name: Text = ""
    label: Text = ""
    notes: Text = ""

    def data(self) -> dict[str, Any]:
        """Entered values in house units, without what only names the part."""
        given = {name: getattr(self, name) for name in type(self).model_fields if name not in NOT_DATA}
        return {name: value for name, value in given.items() if value is not None and value not in ("", {})}

    def contradictions(self) -> list[Fault]:
        """Entries that cannot both be right; ``where`` is the entry."""
        return []

    def facts(self, written: Mapping[str, Any]) -> list[Fact]:
        """What follows from the entries alone; ``written`` is the sheet, for the words of the person."""
        return []


def missing(form: type[PartForm], raw: Mapping[str, Any]) -> list[Fault]:
    """Entries that mean nothing without another one.

    Args:
        form: of the kind.
        raw: the sheet as written.

    Returns:
        A fault for each one left out; ``where`` is the entry.
    """
    faults: dict[str, Fault] = {}
    for entry, needed, example in form.NEEDS:
        if entry in raw and needed not in raw:
            faults.setdefault(needed, Fault("entry-missing", needed, f"{entry} stands without it", f"give {example}"))
    return list(faults.values())


def fact(name: str, value: float, unit: str, how: str, source: str = "practice") -> Fact:
    """One computed fact.

    Args:
        name: in the trade's words.
        value: [unit].
        unit: house unit.
        how: the formula, in words.
        source: key of terms/sources.py.

    Returns:
        The fact.
    """
    return Fact(name, float(value), unit, f"{how}; source: {source}")


def disagree(entry: str, seen: str) -> Fault:
    """Two entries that say different things.

    Args:
        entry: the one to name.
        seen: both values.

    Returns:
        The fault.
    """
    return Fault("entries-disagree", entry, seen, f"correct one of them, or leave {entry} out")
