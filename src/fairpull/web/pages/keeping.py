"""Keeping the book: back-ups to take away, and checks of what is in it."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Path, Response
from starlette.responses import FileResponse

from fairpull.show.facts import settings
from fairpull.tasks.bench.backups import BACKUPS
from fairpull.tasks.bench.last_check import last_check
from fairpull.web.ask import Asked

router = APIRouter()

Id = Annotated[str, Path(max_length=64)]


@router.get("/settings/check")
def check(asked: Asked) -> Response:
    """What the last check found."""
    with asked.book() as kept:
        found = last_check(kept.folder)
    if found is None:
        return asked.page("settings_check.html", last=None)
    return asked.page(
        "settings_check.html",
        last=found,
        when=settings.when(found.at),
        sound=settings.soundness(found.found),
        counts=settings.looked_at(found.found.looked_at),
    )


@router.post("/settings/check")
def check_now(asked: Asked, depth: Annotated[str, Form(max_length=20)] = "whole") -> Response:
    """Check the book now, with progress."""
    given = {"book": str(asked.shop.folder), "recompute": depth != "files"}
    return asked.start("check", given, "check of the book", "/settings/check")


@router.post("/settings/backup")
def backup(asked: Asked) -> Response:
    """Make a back-up in a private place, with progress."""
    with asked.book() as kept:
        made = BACKUPS.prepare(kept.folder)
    given = {"book": str(made.book), "target": str(made.file)}
    return asked.start("backup", given, "back-up of the book", f"/settings/backup/{made.id}")


@router.get("/settings/backup/{id}")
def backup_made(asked: Asked, id: Id) -> Response:
    """Where the back-up can be taken away."""
    with asked.book() as kept:
        made = BACKUPS.get(id, kept.folder)
    size = None if made is None else made.size
    if made is None or size is None:
        return asked.page("settings_backup.html", 404, made=None)
    return asked.page("settings_backup.html", made=made, size=settings.size(size))


@router.get("/settings/backup/{id}/file")
def backup_file(asked: Asked, id: Id) -> Response:
    """The back-up itself."""
    with asked.book() as kept:
        made = BACKUPS.get(id, kept.folder)
    if made is None or made.size is None:
        return asked.page("settings_backup.html", 404, made=None)
    return FileResponse(made.file, media_type="application/x-tar", filename=made.file.name)
