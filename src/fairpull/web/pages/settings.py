"""The house's settings, and each person's choice of light or dark."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Depends, Form, Query, Request, Response

from fairpull.show.facts import settings as facts
from fairpull.tasks.bench.house import House, change_house, house_of
from fairpull.terms.errors import Fault, ValueRefused
from fairpull.web.ask import THEME_COOKIE, Asked

router = APIRouter()

LONGEST = 300
SAID = {"yes": "Saved.", "standard": "Saved. The figures of every kept pull are corrected to it.", "look": "Chosen."}


@dataclass(frozen=True, slots=True)
class Field:
    """One setting in the form.

    Attributes:
        asked: what is asked.
        value: as set, or as typed just now.
        choices: value and name of each; () where it is written.
        faults: why what was typed cannot be.
    """

    asked: facts.Asked
    value: str
    choices: tuple[tuple[str, str], ...] = ()
    faults: tuple[Fault, ...] = ()


@router.get("/settings")
def settings(asked: Asked, saved: Annotated[str, Query(max_length=20)] = "") -> Response:
    """All settings."""
    with asked.book() as kept:
        house = house_of(kept)
    return _page(asked, _fields(house, house.values), said=SAID.get(saved, ""))


async def _typed(request: Request) -> dict[str, str]:
    """The form's settings; one that was emptied stands there as "", one that was not sent does not."""
    form = await request.form()
    given = {one.key: form.get(one.key) for one in facts.SETTINGS}
    return {key: value[:LONGEST] for key, value in given.items() if isinstance(value, str)}


@router.post("/settings")
def change(asked: Asked, typed: Annotated[dict[str, str], Depends(_typed)]) -> Response:
    """Change what was changed in the form: all of it, or nothing where something cannot be."""
    with asked.book(write=True) as kept:
        done = change_house(kept, typed)
    if done.faults:
        return _page(asked, _fields(done.house, {**done.house.values, **typed}, done.faults), 422)
    if done.standard is not None:
        wanted = {"book": str(asked.shop.folder), "standard": done.standard}
        title = f"correct every pull again: {facts.said('standard', done.standard)}"
        return asked.start("standard", wanted, title, "/settings?saved=standard")
    return asked.away("/settings?saved=yes" if done.changed else "/settings")


@router.post("/settings/look")
def look(asked: Asked, look: Annotated[str, Form(max_length=20)] = "") -> Response:
    """Light or dark on this screen, for whoever sits at it; a cookie remembers it."""
    if look not in facts.LOOKS:
        seen, remedy = repr(look), f"one of: {', '.join(facts.LOOKS)}"
        raise ValueRefused(Fault("look-unknown", "light or dark", seen, remedy))
    away = asked.away("/settings?saved=look")
    away.set_cookie(THEME_COOKIE, look, max_age=400 * 86400, path="/", httponly=True, samesite="lax")
    return away


def _page(asked: Asked, fields: Sequence[Field], status: int = 200, said: str = "") -> Response:
    return asked.page("settings.html", status, fields=fields, looks=facts.LOOKS, said=said, theme=asked.theme)


def _fields(
    house: House, values: Mapping[str, str], faults: Mapping[str, tuple[Fault, ...]] | None = None
) -> tuple[Field, ...]:
    """The form's fields; what is set but is no choice any more stays choosable."""
    made = []
    for one in facts.SETTINGS:
        choices, value = _choices(house, one.key), values.get(one.key, "")
        if choices and value not in {key for key, _ in choices}:
            choices = (*choices, (value, facts.said(one.key, value)))
        made.append(Field(one, value, choices, (faults or {}).get(one.key, ())))
    return tuple(made)


def _choices(house: House, key: str) -> tuple[tuple[str, str], ...]:
    if key == "units":
        return tuple(facts.SYSTEMS.items())
    if key == "standard":
        return facts.standards()
    names = {"fitted": house.builds, "session": house.sessions}.get(key)
    return () if names is None else (("", facts.said(key, "")), *((name, name) for name in names))
