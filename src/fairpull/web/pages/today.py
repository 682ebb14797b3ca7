"""Today: what was pulled, what it says, and the one thing that matters next; it keeps itself up to date."""

from datetime import date
from typing import Annotated, Any
from urllib.parse import quote, urlencode

from fastapi import APIRouter, Query, Response

from fairpull.show import bench_day as today
from fairpull.tasks.bench.today import bench_day, judged, mark_now, next_of
from fairpull.terms.errors import Fault, ValueRefused
from fairpull.terms.looking import NextStep
from fairpull.web.ask import Asked

router = APIRouter()

EVERY = "every 3s"
LIST, NOW = "list", "now"

Short = Annotated[str, Query(max_length=40)]


@router.get("/today")
def show(
    asked: Asked, day: Short = "", big: Short = "", part: Short = "", mark: Short = "", verdict: Short = ""
) -> Response:
    """The page, or its part that changes; no content where nothing did since ``mark``."""
    wanted = asked_day(day)
    fragment = part == LIST and asked.part
    arrivals = asked.shop.arrivals
    came = None if arrivals is None else arrivals.recent()
    beside = "" if arrivals is None else f"-{arrivals.mark}"
    with asked.book() as kept:
        if fragment and mark and mark == mark_now(kept) + beside:
            return Response(status_code=204)
        found = bench_day(kept, wanted, against="" if arrivals is None else arrivals.against)
        said = judged(kept, found, wait=verdict == NOW)
        step = next_of(kept, found, said, came)
    large = big == "1"
    values: dict[str, Any] = {
        "day": found,
        "lines": today.lines(found, asked.system),
        "bigs": today.bigs(found.newest, asked.system) if large and found.newest is not None else (),
        "verdict": today.verdict(said, asked.system),
        "judged": said,
        "step": step,
        "step_address": address(step),
        "basis": today.basis(found, asked.house.get("standard", "")),
        "day_words": today.day_words(found.day) if found.day else "",
        "today_words": today.day_words(found.today),
        "came": today.arrivals(came or ()),
        "watched": "" if arrivals is None else arrivals.folder.name,
        "trouble": () if arrivals is None else arrivals.trouble,
        "fragment": fragment,
        "every": "" if wanted else EVERY,
        "again": asked.url(part=LIST, mark=found.mark + beside),
        "work_out": asked.url(part=LIST, mark=None, verdict=NOW),
        "plain_work_out": asked.url(part=None, mark=None, verdict=NOW),
        "here": asked.url(part=None, mark=None, big=None),
        "enlarge": asked.url(part=None, mark=None, big="1"),
        "before": asked.url(part=None, mark=None, day=f"{found.before}") if found.before else "",
        "after": asked.url(part=None, mark=None, day=f"{found.after}") if found.after else "",
        "that_day": f"/pulls?{urlencode({'where': f'date = {found.day}'})}" if found.day else "",
    }
    name = f"today{'_big' if large else ''}{'_list' if fragment else ''}.html"
    return asked.page(name, **values)


def asked_day(text: str) -> date | None:
    """The day of an address.

    Args:
        text: year, month and day; "" for none.

    Returns:
        The day; None for none.

    Raises:
        ValueRefused: no day.
    """
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        fault = Fault("not-a-day", "day", repr(text), "write year, month and day: 2026-05-23")
        raise ValueRefused(fault) from None


def address(step: NextStep) -> str:
    """Where a step is done.

    Args:
        step: the step.

    Returns:
        Path and query of its page.
    """
    what, *names = step.place
    named = [quote(name, safe="") for name in names]
    if what == "compare":
        return f"/compare?{urlencode([('of', name) for name in names])}"
    if what == "here":
        return f"#{named[0]}"
    one = named[0] if named else ""
    places = {
        "take": "/take",
        "pull": f"/pulls/{one}",
        "build": f"/take?build={one}",
        "edit": f"/sheets/build/{one}/edit",
        "new": f"/sheets/{one}/new",
        "sheets": f"/sheets/{one}",
    }
    return places[what]
