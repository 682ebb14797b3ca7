"""Ignition, accessories, and whatever has no sheet of its own."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

from pydantic import ConfigDict, Field

from fairpull.engine.form_types import Text
from fairpull.engine.parts.base import NOT_DATA, PartForm, fact
from fairpull.engine.sheet_quantities import SIGNED_ANGLE, SPEED, Power, SignedAngle, Speed, Thin
from fairpull.engine.sheet_tables import Rows, Table
from fairpull.terms.build import Fact

Advance = Annotated[Rows, Table(("speed", "advance"), (SPEED, SIGNED_ANGLE), 2)]


class IgnitionForm(PartForm):
    """Ignition, with its curve where it has one."""

    design: Text = ""
    advance: SignedAngle | None = None
    initial_advance: SignedAngle | None = None
    curve: Advance | None = None
    plug: Text = ""
    plug_gap: Thin | None = None


class AccessoriesForm(PartForm):
    """What the engine drives beside the brake, with the power each takes where that is declared."""

    drive_power: dict[str, Power] = Field(default_factory=dict)
    stated_at: Speed | None = None
    fitted: tuple[Text, ...] = ()

    def data(self) -> dict[str, Any]:
        """Drive power as rows of name and power, so that it reads like any other table."""
        found = PartForm.data(self)
        if self.drive_power:
            found["drive_power"] = tuple(sorted(self.drive_power.items()))
        if not self.fitted:
            found.pop("fitted")
        return found

    def facts(self, written: Mapping[str, Any]) -> list[Fact]:
        """All drive powers together."""
        if not self.drive_power:
            return []
        at = f" at {written['stated_at']}" if "stated_at" in written else ""
        how = f"sum of the declared drive powers{at}"
        return [fact("drive power of all accessories", sum(self.drive_power.values()), "W", how)]


class OtherForm(PartForm):
    """A part without a sheet of its own: every entry is the person's own, kept as text."""

    model_config = ConfigDict(extra="allow", frozen=True)
    __pydantic_extra__: dict[str, Text]

    def data(self) -> dict[str, Any]:
        """Every entry as text."""
        return {name: value for name, value in (self.__pydantic_extra__ or {}).items() if name not in NOT_DATA}


FORMS = {"ignition": IgnitionForm, "accessories": AccessoriesForm, "other": OtherForm}
