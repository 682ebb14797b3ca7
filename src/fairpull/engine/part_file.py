"""Reads a part's data sheet: numbers with their units as text, all faults at once, facts computed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from pydantic import ValidationError

from fairpull.engine.form_types import faults_of, near
from fairpull.engine.parts import forms
from fairpull.engine.parts.base import PartForm, missing
from fairpull.terms.build import PART_KINDS, Part
from fairpull.terms.errors import Fault, ValueRefused


def part_from_table(raw: Mapping[str, Any], *, where: str, name: str) -> Part:
    """Read a part from a table, as it stands in a TOML file or in a bench book.

    Args:
        raw: entry -> what was written; ``kind`` says which sheet it is.
        where: what to call the file in a refusal.
        name: of the part where the table gives none.

    Returns:
        The part with its entries in house units and the facts that follow from them alone.

    Raises:
        ValueRefused: unknown kind; unknown, missing, impossible or contradicting entries; all at once.
    """
    form = _form(raw.get("kind"), where)
    faults = missing(form, raw)
    try:
        sheet = form.model_validate({**raw, "kind": _kind(raw["kind"])})
    except ValidationError as error:
        raise ValueRefused([*_placed(faults, where), *faults_of(error, where, {"": form})]) from error
    faults += sheet.contradictions()
    if faults:
        raise ValueRefused(_placed(faults, where))
    called = sheet.name or name
    known = sheet.model_copy(update={"name": called})
    return Part(called, sheet.kind, dict(raw), sheet.data(), tuple(known.facts(raw)))


def _kind(value: object) -> str:
    return str(value).strip().lower()


def _form(kind: object, where: str) -> type[PartForm]:
    known = forms()
    if isinstance(kind, str) and _kind(kind) in known:
        return known[_kind(kind)]
    kinds = ", ".join(PART_KINDS)
    if kind is None:
        fault = Fault("entry-missing", f"{where}, kind", "not given", f'give kind = "camshaft" or another of: {kinds}')
    else:
        hint = near(kind, PART_KINDS) if isinstance(kind, str) else ""
        fault = Fault("unknown-word", f"{where}, kind", repr(kind), f"{hint}one of: {kinds}")
    raise ValueRefused(fault)


def _placed(faults: list[Fault], where: str) -> list[Fault]:
    return [replace(fault, where=f"{where}, {fault.where}") for fault in faults]
