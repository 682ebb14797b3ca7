"""The form of a build's sheet."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, Field

from fairpull.engine.file_form import FuelEntry, FuelForm, Induction
from fairpull.engine.form_types import Form, Forms, Text, near, refuse_entry
from fairpull.engine.sheet_quantities import Drive, Fraction, Hours
from fairpull.terms.build import PART_KINDS


def _part_kind(value: str) -> str:
    if value in PART_KINDS:
        return value
    raise refuse_entry("unknown-word", repr(value), f"{near(value, PART_KINDS)}one of: {', '.join(PART_KINDS)}")


class BuildForm(Form):
    """The whole sheet: what ran, not what it did."""

    name: Text = ""
    label: Text = ""
    engine: Text
    reference: Text = ""
    tuned_from: Text = ""
    gear: Drive = 1.0
    gear_efficiency: Fraction = 1.0
    hours: Hours | None = None
    fuel: FuelEntry | None = Field(default=None, union_mode="smart")
    induction: Induction | None = None
    accessories: tuple[Text, ...] = ()
    parts: dict[Annotated[str, AfterValidator(_part_kind)], Text] = Field(default_factory=dict)
    settings: dict[str, Text] = Field(default_factory=dict)
    notes: Text = ""


FORMS: Forms = {"": BuildForm, "fuel": FuelForm}
