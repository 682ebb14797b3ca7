"""Reads a build's sheet: the engine, the parts it ran with, its settings, and what follows from all of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from pydantic import ValidationError

from fairpull.engine.build_facts import RPM_LIMIT, build_facts
from fairpull.engine.build_form import FORMS, BuildForm
from fairpull.engine.engine_file import fuel_of
from fairpull.engine.form_types import faults_of, near
from fairpull.engine.parts.fuelling import fuel_of_data
from fairpull.terms.build import PART_KINDS, Build, Part
from fairpull.terms.engine import Engine
from fairpull.terms.errors import FairpullError, Fault, ValueRefused
from fairpull.terms.units import parse

_TURBO = ("turbo", "turbo-held")


def build_from_table(
    raw: Mapping[str, Any],
    *,
    where: str,
    name: str,
    engine: Engine | Mapping[str, Engine],
    parts: Mapping[str, Part],
) -> Build:
    """Read a build from a table, as it stands in a TOML file or in a bench book.

    Args:
        raw: entry -> what was written.
        where: what to call the file in a refusal.
        name: of the build where the table gives none.
        engine: the engine that the sheet names, or all engines there are by name.
        parts: all parts there are, by name.

    Returns:
        The build. Fuel comes from the sheet, else from a fuel part, else from the engine; induction from the sheet,
        else from a compressor or turbine, else from the engine.

    Raises:
        ValueRefused: an engine or part that is not there, a part of another kind, unknown, missing or impossible
            entries; all at once, with the nearest names.
    """
    faults = [*_engine_faults(raw, where, engine), *_part_faults(raw, where, parts), *_limit_faults(raw, where)]
    try:
        form = BuildForm.model_validate(dict(raw))
    except ValidationError as error:
        raise ValueRefused([*faults_of(error, where, FORMS), *faults]) from error
    fitted = {} if faults else {kind: parts[called] for kind, called in form.parts.items()}
    faults += _induction_faults(form, fitted, where)
    if faults:
        raise ValueRefused(faults)
    bare = engine if isinstance(engine, Engine) else engine[form.engine]
    machine = _as_fitted(bare, form, fitted)
    build = Build(
        name=form.name or name,
        engine=machine,
        engine_name=form.engine,
        parts=fitted,
        settings=dict(form.settings),
        reference=form.reference,
        tuned_from=form.tuned_from,
        gear=form.gear,
        gear_efficiency=form.gear_efficiency,
        hours=None if form.hours is None else form.hours / 3600.0,
        body=dict(raw),
        accessories=form.accessories,
    )
    return replace(build, facts=build_facts(build))


def _engine_faults(raw: Mapping[str, Any], where: str, engine: Engine | Mapping[str, Engine]) -> list[Fault]:
    if isinstance(engine, Engine) or "engine" not in raw or str(raw["engine"]) in engine:
        return []
    wanted = str(raw["engine"])
    names = ", ".join(engine) or "none yet"
    remedy = f"{_near_name(wanted, engine)}engines there are: {names}"
    return [Fault("engine-not-there", f"{where}, engine", repr(wanted), remedy)]


def _part_faults(raw: Mapping[str, Any], where: str, parts: Mapping[str, Part]) -> list[Fault]:
    fitted = raw.get("parts")
    if not isinstance(fitted, Mapping):
        return []
    faults = []
    for kind, called in fitted.items():
        place = f"{where}, parts.{kind}"
        part = parts.get(str(called))
        if part is None:
            same = [name for name, other in parts.items() if other.kind == kind]
            listed = f"parts of kind {kind}: {', '.join(same)}" if same else f"there is no part of kind {kind} yet"
            hint = _near_name(str(called), same) or _near_name(str(called), parts)
            faults.append(Fault("part-not-there", place, repr(called), f"{hint}{listed}"))
        elif str(kind) in PART_KINDS and part.kind != kind:
            remedy = f'write {part.kind} = "{called}", or name a part of kind {kind}'
            faults.append(Fault("part-of-another-kind", place, f"{called!r} is a part of kind {part.kind}", remedy))
    return faults


def _near_name(wanted: str, names: Mapping[str, Any] | list[str]) -> str:
    lower = {name.lower(): name for name in names}
    hint = near(wanted, lower)
    found = hint.removeprefix("did you mean ").removesuffix("? ")
    return f"did you mean {lower[found]}? " if found else ""


def _limit_faults(raw: Mapping[str, Any], where: str) -> list[Fault]:
    settings = raw.get("settings")
    limit = settings.get(RPM_LIMIT) if isinstance(settings, Mapping) else None
    if limit is None:
        return []
    try:
        parse(str(limit), "rpm")
    except FairpullError as refusal:
        return [replace(fault, where=f"{where}, settings.{RPM_LIMIT}") for fault in refusal.faults]
    return []


def _induction_faults(form: BuildForm, fitted: Mapping[str, Part], where: str) -> list[Fault]:
    made = _induction_of(fitted)
    if form.induction is None or not made or form.induction == made or {form.induction, made} <= set(_TURBO):
        return []
    seen = f"{form.induction}, but the parts make it {made}"
    remedy = f'write induction = "{made}" or leave it out; leave the compressor out where it was not fitted'
    return [Fault("entries-disagree", f"{where}, induction", seen, remedy)]


def _induction_of(fitted: Mapping[str, Part]) -> str:
    compressor = fitted.get("compressor")
    if "turbine" in fitted:
        return "turbo"
    if compressor is None:
        return ""
    return "turbo" if compressor.data.get("drive") == "turbine" else "belt"


def _as_fitted(engine: Engine, form: BuildForm, fitted: Mapping[str, Part]) -> Engine:
    fuel = engine.fuel
    if form.fuel is not None:
        fuel = fuel_of(form.fuel)
    elif "fuel" in fitted:
        fuel = fuel_of_data(fitted["fuel"].data, fitted["fuel"].name)
    made = _induction_of(fitted)
    induction: str = form.induction or made or engine.induction
    if form.induction is None and {made, engine.induction} <= set(_TURBO):
        induction = engine.induction  # the engine's sheet says how its boost is held
    return replace(engine, fuel=fuel, induction=induction)
