"""The form of ``engine.toml``: every entry with its unit and range."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, BeforeValidator, Field

from fairpull.engine.form_types import Count, Form, Forms, Ratio, Text, fuel_name, word
from fairpull.engine.sheet_quantities import (
    Density,
    Displacement,
    HeatingValue,
    Inertia,
    Length,
    Thin,
    Volume,
)

Induction = Annotated[Literal["natural", "belt", "turbo", "turbo-held"], BeforeValidator(word)]


class VolumesForm(Form):
    """Volumes of one cylinder at top centre, from which the compression ratio follows."""

    chamber: Volume
    gasket: Volume | None = None
    gasket_thickness: Thin | None = None
    gasket_bore: Length | None = None
    deck: Volume | None = None
    deck_clearance: Thin | None = None
    dish: Volume = 0.0
    dome: Volume = 0.0


class FuelForm(Form):
    """A fuel of one's own; what is left out is taken from the known fuel of that name, if there is one."""

    name: Annotated[str, BeforeValidator(word)]
    stoichiometric: Ratio | None = None
    heating_value: HeatingValue | None = None
    density: Density | None = None


FuelEntry = Annotated[str, AfterValidator(fuel_name)] | FuelForm


class EngineForm(Form):
    """The whole engine file."""

    name: str = ""
    bore: Length | None = None
    stroke: Length | None = None
    rod: Length | None = None
    cylinders: Count | None = None
    displacement: Displacement | None = None
    strokes: Literal[2, 4] = 4
    compression_ratio: Ratio | None = None
    volumes: VolumesForm | None = None
    fuel: FuelEntry | None = Field(default=None, union_mode="smart")
    induction: Induction = "natural"
    ignition: Annotated[Literal["spark", "compression"], BeforeValidator(word)] = "spark"
    inertia: Inertia | None = None
    parts: dict[str, Text] = Field(default_factory=dict)


FORMS: Forms = {"": EngineForm, "volumes": VolumesForm, "fuel": FuelForm}
