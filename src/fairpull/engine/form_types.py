"""What the forms of hand-written sheets share: quantities with units and ranges, tables, faults in a tester's words."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Annotated

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationError
from pydantic_core import ErrorDetails, PydanticCustomError, core_schema

from fairpull.engine.fuels import ALSO, FUELS
from fairpull.engine.sheet_words import told_plainly
from fairpull.terms.errors import FairpullError, Fault
from fairpull.terms.units import from_house, parse


def refuse_entry(code: str, seen: str, remedy: str) -> PydanticCustomError:
    """A refusal of one value, to be raised inside a form.

    Args:
        code: of the fault.
        seen: what was found.
        remedy: what would be accepted.

    Returns:
        The error; its place is filled in by ``faults_of``.
    """
    return refused(Fault(code, "", seen, remedy))


def refused(*faults: Fault) -> PydanticCustomError:
    """Several refusals of one entry; a fault's ``where`` is a place inside the entry.

    Args:
        faults: at least one.

    Returns:
        The error, to be raised.
    """
    return PydanticCustomError("fairpull", "refused", {"faults": faults})


def near(name: str, names: Iterable[str]) -> str:
    """The start of a remedy that names the nearest of several names.

    Args:
        name: as written.
        names: those that exist.

    Returns:
        "did you mean X? ", or "" where none is near.
    """
    found = difflib.get_close_matches(name.lower(), list(names), n=1, cutoff=0.5)
    return f"did you mean {found[0]}? " if found else ""


Read = Callable[[object, "Held"], float]


@dataclass(frozen=True, slots=True)
class Held:
    """Metadata of an entry that holds one number: how it is read and what is possible.

    Attributes:
        unit: house unit in which the number is held.
        low, high: range that is accepted [house unit]: wide enough for anything built, narrow enough to catch a wrong
            unit.
        shown: unit of the range in a refusal and in the docs.
        example: as a person would write the entry.
        read: turns what was written into the number.
    """

    unit: str
    low: float
    high: float
    shown: str
    example: str
    read: Read

    def __get_pydantic_core_schema__(self, source: object, handler: object) -> core_schema.CoreSchema:
        """Read, then hold against the range."""
        return core_schema.no_info_plain_validator_function(lambda value: in_range(self.read(value, self), self))

    def range_text(self) -> str:
        """The accepted range as text, e.g. "5 to 2000 mm"."""
        unit = "" if self.shown == "1" else f" {self.shown}"
        return f"{_shown(self.low, self):g} and {_shown(self.high, self):g}{unit}"


@dataclass(frozen=True, slots=True)
class OrWord:
    """Metadata of an entry that holds a number or one word said instead of it."""

    held: Held
    said: str

    def __get_pydantic_core_schema__(self, source: object, handler: object) -> core_schema.CoreSchema:
        """The word as it is, anything else as the number."""
        return core_schema.no_info_plain_validator_function(self.read)

    def read(self, value: object) -> float | str:
        """The word, or the number [house unit].

        Args:
            value: as written.

        Returns:
            What was meant.

        Raises:
            PydanticCustomError: neither.
        """
        if isinstance(value, str) and value.strip().lower() == self.said:
            return self.said
        try:
            return in_range(self.held.read(value, self.held), self.held)
        except PydanticCustomError as error:
            inner: tuple[Fault, ...] = (error.context or {})["faults"]
            raise refused(*(replace(fault, remedy=f'{fault.remedy}; or "{self.said}"') for fault in inner)) from error


def with_unit(value: object, held: Held) -> float:
    """A number with its unit, as a person writes it.

    Args:
        value: text.
        held: the entry.

    Returns:
        The number [house unit].

    Raises:
        PydanticCustomError: no text, no number, no unit, or one of another quantity.
    """
    text = text_of(value, held)
    try:
        return parse(text, held.unit)
    except FairpullError as refusal:
        raise refused(told_plainly(refusal.faults[0], text, held.unit, held.example)) from refusal


def text_of(value: object, held: Held) -> str:
    """The text of an entry that needs a unit.

    Args:
        value: as written.
        held: the entry.

    Returns:
        The text.

    Raises:
        PydanticCustomError: a bare number or anything else but text.
    """
    if isinstance(value, str):
        return value
    seen = f"{value!r} has no unit" if isinstance(value, (int, float)) else f"{kind_of(value)} stands there"
    raise refuse_entry("unit-missing", seen, f'write it as text with its unit, such as "{held.example}"')


def kind_of(value: object) -> str:
    """What kind of thing a TOML value is, in words.

    Args:
        value: neither text nor a number.

    Returns:
        "a table", "a list", "yes or no", or "a date".
    """
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, (list, tuple)):
        return "a list"
    return "yes or no" if isinstance(value, bool) else "a date"


def as_ratio(value: object, held: Held) -> float:
    """A ratio, written 9.4, "9.4" or "9.4:1".

    Args:
        value: as written.
        held: the entry.

    Returns:
        The number [1].

    Raises:
        PydanticCustomError: no number.
    """
    number = value.strip().removesuffix(":1").strip().replace(",", ".") if isinstance(value, str) else value
    try:
        if isinstance(number, (str, int, float)) and not isinstance(number, bool):
            return float(number)
        raise ValueError
    except (ValueError, OverflowError):
        raise refuse_entry("not-a-number", repr(value), f"write a number such as {held.example}") from None


def in_range(value: float, held: Held) -> float:
    """A number inside what is possible for its entry.

    Args:
        value: [house unit of the entry].
        held: unit and range.

    Returns:
        The same number [house unit].

    Raises:
        PydanticCustomError: outside.

    Source: own choice of ranges.
    """
    if held.low <= value <= held.high:
        return value
    unit = "" if held.shown == "1" else f" {held.shown}"
    raise refuse_entry(
        "out-of-range", f"{_shown(value, held):.5g}{unit}", f"give something between {held.range_text()}"
    )


def _shown(number: float, held: Held) -> float:
    if held.unit == "N/m":  # the unit table holds no stiffness; N/mm is read by everybody
        return number / 1e3
    return float(f"{from_house(number, held.shown, held.unit):.6g}")


def word(value: object) -> object:
    """A word as forms compare it: small letters, dashes.

    Args:
        value: as written.

    Returns:
        The word; anything else unchanged.
    """
    return value.strip().lower().replace("_", "-") if isinstance(value, str) else value


def fuel_name(value: str) -> str:
    """The name of a known fuel.

    Args:
        value: as written.

    Returns:
        The name, a key of ``FUELS`` or of ``ALSO``.

    Raises:
        PydanticCustomError: no such fuel.
    """
    name = value.strip().lower()
    if name in FUELS or name in ALSO:
        return name
    raise refuse_entry(
        "unknown-fuel",
        repr(value),
        f"{near(name, [*FUELS, *ALSO])}one of: {', '.join(FUELS)}; or a [fuel] table with name, stoichiometric, "
        "heating_value, density",
    )


def as_text(value: object) -> object:
    """A number as the text a person means by it; anything else unchanged.

    Args:
        value: as written.

    Returns:
        Text, or the value.
    """
    return str(value) if isinstance(value, (int, float)) and not isinstance(value, bool) else value


Ratio = Annotated[float, Held("1", 3.0, 40.0, "1", "9.4", as_ratio)]
Count = Annotated[int, Field(ge=1, le=64, strict=True)]
Text = Annotated[str, BeforeValidator(as_text)]


class Form(BaseModel):
    """Base of all forms: nothing but what is on the form, and nothing changes after reading."""

    model_config = ConfigDict(extra="forbid", frozen=True)


Forms = Mapping[str, type[Form]]


def faults_of(error: ValidationError, where: str, forms: Forms) -> list[Fault]:
    """The faults of a form that did not pass, in a tester's words.

    Args:
        error: what the form said.
        where: the file.
        forms: table of the file -> its form; "" is the file itself.

    Returns:
        One fault for each wrong entry, in the file's order.
    """
    faults: dict[tuple[str, str, str], Fault] = {}
    for detail in error.errors(include_url=False):
        loc = [str(part) for part in detail["loc"] if part != "[key]"]
        if loc[:1] == ["fuel"] and "fuel" in forms:
            # a union reports both of its branches; keep the one the person meant
            table = isinstance(detail["input"], dict) or len(loc) > 2
            if (len(loc) > 1 and loc[1] == "FuelForm") != table:
                continue
            loc = ["fuel", *loc[2:]]
        for fault in _faults(detail, loc, where, forms):
            faults.setdefault((fault.where, fault.code, fault.seen), fault)
    return list(faults.values())


def _faults(detail: ErrorDetails, loc: list[str], where: str, forms: Forms) -> list[Fault]:
    place = f"{where}, {'.'.join(loc)}"
    if detail["type"] == "fairpull":
        inner: tuple[Fault, ...] = detail["ctx"]["faults"]
        return [replace(fault, where=f"{place}, {fault.where}" if fault.where else place) for fault in inner]
    return [_fault(detail, loc, place, forms)]


def _fault(detail: ErrorDetails, loc: list[str], place: str, forms: Forms) -> Fault:
    kind = detail["type"]
    if kind == "extra_forbidden":
        return _unknown_entry(loc, place, forms)
    if kind == "missing":
        return Fault("entry-missing", place, "not given", f"give {loc[-1]}")
    seen = repr(detail["input"])
    if kind == "literal_error":
        return Fault("unknown-word", place, seen, f"one of: {detail['ctx']['expected']}")
    if kind.startswith("int") or kind in {"greater_than_equal", "less_than_equal"}:
        return Fault("not-a-count", place, seen, "write a whole number from 1 to 64, without quotes")
    return _wrong_kind(detail, loc, place)


def _wrong_kind(detail: ErrorDetails, loc: list[str], place: str) -> Fault:
    """A table where text belongs, text where a list belongs, and so on."""
    value, kind = detail["input"], detail["type"]
    plain = isinstance(value, (str, int, float)) and not isinstance(value, bool)
    seen = f"{value!r} stands there" if plain else f"{kind_of(value)} stands there"
    wanted = {
        "string_type": f'write it as text: {loc[-1]} = "..."',
        "tuple_type": f'write it as a list of texts: {loc[-1]} = ["...", "..."]',
        "list_type": f'write it as a list of texts: {loc[-1]} = ["...", "..."]',
    }
    table = f'write it as a table: [{loc[-1]}] with NAME = "..." lines below'
    return Fault("wrong-kind", place, seen, wanted.get(kind, table))


def _unknown_entry(loc: list[str], place: str, forms: Forms) -> Fault:
    form = forms.get(loc[0] if len(loc) > 1 else "", forms[""])
    keys = list(form.model_fields)
    return Fault(
        "unknown-entry", place, f"{loc[-1]!r} is not an entry", f"{near(loc[-1], keys)}accepted: {', '.join(keys)}"
    )
