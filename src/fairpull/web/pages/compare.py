"""Builds compared: the verdict first, then what it stands on, and everything that can be asked otherwise."""

from typing import Annotated, Any
from urllib.parse import quote

from fastapi import APIRouter, Form, Response

from fairpull.show.compare_parts import parts
from fairpull.show.facts import compare_page, words
from fairpull.show.facts.words import STANDARD_NAMES, plain
from fairpull.tasks.bench.comparable import Candidate, comparable, judged_band
from fairpull.terms.errors import FairpullError, Fault, UnknownName, ValueRefused
from fairpull.web.ask import Asked
from fairpull.web.compare_ask import LONGEST, MOST_BUILDS, Wanted, clean, splits, wanted
from fairpull.web.compare_made import Compared, compared_as_asked, compared_for

router = APIRouter()


@router.get("/compare")
def show(asked: Asked) -> Response:
    """The page; without builds, those that can be compared."""
    want, faults, long = wanted(asked)
    if faults:
        return _refused(asked, want, ValueRefused(faults))
    if long:
        return asked.away(want.url())
    if not want.names:
        return _chooser(asked, want)
    try:
        made = compared_for(asked, want)
    except FairpullError as error:
        return _refused(asked, want, error)
    return _shown(asked, made)


@router.post("/compare/keep")
def keep(asked: Asked, name: Annotated[str, Form(max_length=LONGEST)] = "") -> Response:
    """Keep the result in the book under a name."""
    from fairpull.tasks.bench.kept_comparison import compare_kept

    made = compared_as_asked(asked)
    given = name.strip()
    try:
        if not given or not clean(given):
            raise ValueRefused(_unfit())
        compare_kept(made.want.names, made.request, str(asked.shop.folder), given)
    except FairpullError as error:
        return _shown(asked, made, 422, typed=plain(given), refused=error)
    return asked.away(f"/results/{quote(given, safe='')}")


def _unfit() -> Fault:
    return Fault("result-name", "name", "no name, or one that no name can be", "give it a short name in plain letters")


def _chooser(asked: Asked, want: Wanted) -> Response:
    with asked.book() as kept:
        offered = comparable(kept)
    return asked.page(
        "compare_choose.html",
        engines=_by_engine(offered),
        pairs=[(one, want.of((one.reference, one.name)).url()) for one in offered if one.reference],
        most=MOST_BUILDS,
    )


def _by_engine(offered: tuple[Candidate, ...]) -> dict[str, list[Candidate]]:
    found: dict[str, list[Candidate]] = {}
    for one in offered:
        found.setdefault(one.engine, []).append(one)
    return found


def _refused(asked: Asked, want: Wanted, error: FairpullError) -> Response:
    """What is wrong, above the form with everything that was typed."""
    status = 404 if isinstance(error, UnknownName) else 422
    with asked.book() as kept:
        offered = comparable(kept)
    near = splits(want) if len(want.names) > MOST_BUILDS else ()
    return asked.page(
        "compare_refused.html",
        status,
        faults_found=error.faults,
        near=[(", ".join(one.names[1:]), one.url()) for one in near],
        ask=_form(asked, want, offered),
    )


def _shown(
    asked: Asked, made: Compared, status: int = 200, typed: str = "", refused: FairpullError | None = None
) -> Response:
    comparison, system = made.fair.comparison, asked.system
    with asked.book() as kept:
        offered = comparable(kept)
        before = judged_band(kept, made.want.names)
    chosen = compare_page.chosen_band(comparison, bool(made.want.words.get("band")), before, system)
    want = made.want
    return asked.page(
        "compare.html",
        status,
        title=compare_page.title(comparison),
        page=parts(made.fair, system, chosen),
        ask=_form(asked, want, offered, made),
        chosen=chosen,
        query=want.query(),
        standards={words.standard_name(key): want.url(standard=key) for key in _computed(made)},
        builds={name: f"/sheets/build/{quote(name, safe='')}" for name in want.names},
        pulls={row.pull: f"/pulls/{quote(row.pull, safe='')}" for row in comparison.pulls},
        beside=_beside(want),
        typed=typed,
        refused=refused,
    )


def _beside(want: Wanted) -> list[tuple[str, str]]:
    reference, *others = (quote(name, safe="") for name in want.names)
    return [
        (name, f"/sheets/build/{reference}/beside/{other}") for name, other in zip(want.names[1:], others, strict=True)
    ]


def _computed(made: Compared) -> list[str]:
    """Every standard that could be computed, in the order of the table."""
    return list(dict.fromkeys(key for one in made.fair.comparison.differences for key in one.by_standard))


def _form(asked: Asked, want: Wanted, offered: tuple[Candidate, ...], made: Compared | None = None) -> dict[str, Any]:
    """Everything the form "ask" shows; what was typed stands in it, defaults only beside it."""
    names = want.names
    comparison = made.fair.comparison if made else None
    band = _ends(want.words.get("band", ""))
    keys = _computed(made) if made else list(STANDARD_NAMES)
    asked_key = want.words.get("standard", "")
    keys += [asked_key] if asked_key and asked_key not in keys else []
    return {
        "names": [_row(want, place) for place in range(len(names))],
        "others": [one for one in offered if one.name not in names],
        "band": band,
        "band_now": [f"{one:.0f}" for one in comparison.band] if comparison else ["", ""],
        "grid": f"{comparison.grid_step:g}" if comparison else "100",
        "smallest_now": f"{100 * comparison.question.smallest:g} %" if comparison else "1 %",
        "words": {name: want.words.get(name, "") for name in ("smallest", "standard", "units", "step", "seed", "band")},
        "standards": [(key, words.standard_name(key)) for key in keys],
        "standard_now": words.standard_name(comparison.standard) if comparison else "",
        "pulls": [row.pull for row in comparison.pulls] if comparison else [],
        "left": [(pull, why, want.counted_again(pull).url()) for pull, why in want.leave_out.items()],
        "typed": {name: asked.request.query_params.get(name, "")[:LONGEST] for name in ("leave_pull", "leave_reason")},
        "whole_band": want.url(band=""),
        "most": MOST_BUILDS,
    }


def _row(want: Wanted, place: int) -> dict[str, str]:
    """One build in the list, with the addresses that move it or drop it."""
    names = list(want.names)
    name = names[place]

    def moved(to: int) -> str:
        if not 0 <= to < len(names):
            return ""
        order = [one for one in names if one != name]
        return want.of([*order[:to], name, *order[to:]]).url()

    fewer = want.of([one for one in names if one != name]).url()
    return {"name": name, "up": moved(place - 1), "down": moved(place + 1), "drop": fewer}


def _ends(band: str) -> tuple[str, str]:
    """Both ends of a band as typed, for the two fields."""
    from fairpull.tasks.question_file import parse_band

    try:
        low, high = parse_band(band) if band else (0.0, 0.0)
    except ValueRefused:
        low, _, high_text = band.partition("-")  # type: ignore[assignment]
        return str(low), high_text
    return (f"{low:g}", f"{high:g}") if band else ("", "")
