"""The form of ``engine.toml``: every entry with its unit and range, and faults in a tester's words."""

from __future__ import annotations

import difflib
from dataclasses import replace
from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, ValidationError
from pydantic_core import ErrorDetails, PydanticCustomError

from fairpull.engine.fuels import ALSO, FUELS
from fairpull.terms.errors import FairpullError, Fault
from fairpull.terms.units import from_house, parse


def _refuse(code: str, seen: str, remedy: str) -> PydanticCustomError:
    return _refused(Fault(code, "", seen, remedy))


def _refused(fault: Fault) -> PydanticCustomError:
    return PydanticCustomError("fairpull", "refused", {"fault": fault})


def _quantity(house_unit: str, example: str) -> BeforeValidator:
    def read(value: object) -> float:
        if not isinstance(value, str):
            raise _refuse("unit-missing", f"{value!r} has no unit", f'write it with its unit, such as "{example}"')
        try:
            return parse(value, house_unit)
        except FairpullError as refusal:
            fault = refusal.faults[0]
            seen = fault.seen if repr(value) in fault.seen else f"{value!r}: {fault.seen}"
            raise _refused(replace(fault, seen=seen)) from refusal

    return BeforeValidator(read)


def _within(low: float, high: float, unit: str, house_unit: str) -> AfterValidator:
    def check(value: float) -> float:
        if low <= value <= high:
            return value
        shown, lowest, highest = (from_house(number, unit, house_unit) for number in (value, low, high))
        raise _refuse(
            "out-of-range", f"{shown:.5g} {unit}", f"give something between {lowest:g} and {highest:g} {unit}"
        )

    return AfterValidator(check)


def _word(value: object) -> object:
    return value.strip().lower().replace("_", "-") if isinstance(value, str) else value


def _ratio(value: object) -> object:
    text = value.strip() if isinstance(value, str) else value
    if isinstance(text, str):
        number = text.removesuffix(":1").strip().replace(",", ".")
        try:
            return float(number)
        except ValueError:
            raise _refuse("not-a-number", repr(value), "write a number such as 9.4") from None
    return text


def _fuel_name(value: str) -> str:
    name = value.strip().lower()
    if name in FUELS or name in ALSO:
        return name
    near = difflib.get_close_matches(name, [*FUELS, *ALSO], n=1, cutoff=0.5)
    hint = f"did you mean {near[0]}? " if near else ""
    raise _refuse(
        "unknown-fuel",
        repr(value),
        f"{hint}one of: {', '.join(FUELS)}; or a [fuel] table with name, stoichiometric, heating_value, density",
    )


def _as_text(value: object) -> object:
    return str(value) if isinstance(value, (int, float)) and not isinstance(value, bool) else value


Length = Annotated[float, _within(0.005, 2.0, "mm", "m"), _quantity("m", "88 mm")]
Thin = Annotated[float, _within(-0.01, 0.05, "mm", "m"), _quantity("m", "1.0 mm")]
Volume = Annotated[float, _within(-1e-4, 0.05, "cm3", "m3"), _quantity("m3", "45 cc")]
Inertia = Annotated[float, _within(1e-4, 500.0, "kg m2", "kg m2"), _quantity("kg m2", "0.20 kg m2")]
Displacement = Annotated[float, _within(1e-5, 2.0, "L", "m3"), _quantity("m3", "2.0 L")]
HeatingValue = Annotated[float, _within(1e7, 1.5e8, "MJ/kg", "J/kg"), _quantity("J/kg", "43.4 MJ/kg")]
Density = Annotated[float, _within(50.0, 1500.0, "kg/m3", "kg/m3"), _quantity("kg/m3", "745 kg/m3")]
Ratio = Annotated[float, _within(3.0, 40.0, "1", "1"), BeforeValidator(_ratio)]


class _Form(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class VolumesForm(_Form):
    """Volumes of one cylinder at top centre, from which the compression ratio follows."""

    chamber: Volume
    gasket: Volume | None = None
    gasket_thickness: Thin | None = None
    gasket_bore: Length | None = None
    deck: Volume | None = None
    deck_clearance: Thin | None = None
    dish: Volume = 0.0
    dome: Volume = 0.0


class FuelForm(_Form):
    """A fuel of one's own; what is left out is taken from the known fuel of that name, if there is one."""

    name: Annotated[str, BeforeValidator(_word)]
    stoichiometric: Ratio | None = None
    heating_value: HeatingValue | None = None
    density: Density | None = None


class EngineForm(_Form):
    """The whole engine file."""

    name: str = ""
    bore: Length | None = None
    stroke: Length | None = None
    rod: Length | None = None
    cylinders: Annotated[int, Field(ge=1, le=64, strict=True)] | None = None
    displacement: Displacement | None = None
    strokes: Literal[2, 4] = 4
    compression_ratio: Ratio | None = None
    volumes: VolumesForm | None = None
    fuel: Annotated[str, AfterValidator(_fuel_name)] | FuelForm | None = Field(default=None, union_mode="smart")
    induction: Annotated[Literal["natural", "belt", "turbo", "turbo-held"], BeforeValidator(_word)] = "natural"
    ignition: Annotated[Literal["spark", "compression"], BeforeValidator(_word)] = "spark"
    inertia: Inertia | None = None
    parts: dict[str, Annotated[str, BeforeValidator(_as_text)]] = Field(default_factory=dict)


_FORMS: dict[str, type[_Form]] = {"": EngineForm, "volumes": VolumesForm, "fuel": FuelForm}


def faults_of(error: ValidationError, where: str) -> list[Fault]:
    """The faults of a form that did not pass, in a tester's words.

    Args:
        error: what the form said.
        where: the file.

    Returns:
        One fault for each wrong entry, in the file's order.
    """
    faults: dict[tuple[str, str], Fault] = {}
    for detail in error.errors(include_url=False):
        loc = [str(part) for part in detail["loc"]]
        if loc[:1] == ["fuel"]:
            # a union reports both of its branches; keep the one the person meant
            table = isinstance(detail["input"], dict) or len(loc) > 2
            if (len(loc) > 1 and loc[1] == "FuelForm") != table:
                continue
            loc = ["fuel", *loc[2:]]
        fault = _fault(detail, loc, where)
        faults.setdefault((fault.where, fault.code), fault)
    return list(faults.values())


def _fault(detail: ErrorDetails, loc: list[str], where: str) -> Fault:
    place = f"{where}, {'.'.join(loc)}"
    ctx = detail.get("ctx", {})
    kind = detail["type"]
    if kind == "fairpull":
        fault: Fault = ctx["fault"]
        return replace(fault, where=place)
    if kind == "extra_forbidden":
        return _unknown_entry(loc, place)
    if kind == "missing":
        return Fault("entry-missing", place, "not given", f"give {loc[-1]}")
    seen = repr(detail["input"])
    if kind == "literal_error":
        return Fault("unknown-word", place, seen, f"one of: {ctx['expected']}")
    if loc[-1] == "cylinders":
        return Fault("not-a-count", place, seen, "write a whole number from 1 to 64, without quotes")
    return Fault("wrong-kind", place, seen, f"{detail['msg'][0].lower()}{detail['msg'][1:]}")


def _unknown_entry(loc: list[str], place: str) -> Fault:
    form = _FORMS.get(loc[0] if len(loc) > 1 else "", EngineForm)
    keys = list(form.model_fields)
    near = difflib.get_close_matches(loc[-1].lower(), keys, n=1, cutoff=0.5)
    hint = f"did you mean {near[0]}? " if near else ""
    return Fault("unknown-entry", place, f"{loc[-1]!r} is not an entry", f"{hint}accepted: {', '.join(keys)}")
