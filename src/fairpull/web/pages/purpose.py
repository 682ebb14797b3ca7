"""Purpose: builds scored on what the engine is for, the ranking and the curves first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from fastapi import APIRouter, HTTPException, Response

from fairpull.show.facts import purpose_page
from fairpull.show.facts.words import STANDARD_NAMES, plain
from fairpull.tasks.bench.answers import Answer, purpose_seen
from fairpull.tasks.bench.offers import MOST_BUILDS, build_offers, duty_offers, few_pulls
from fairpull.terms.errors import FairpullError, Fault, ValueRefused
from fairpull.web import figures
from fairpull.web.answer_ask import Question, build_links, by_engine, in_form, question, status_of
from fairpull.web.ask import Asked

if TYPE_CHECKING:
    from fairpull.tasks.bench.door import Book
    from fairpull.terms.duty_view import DutyView
    from fairpull.web.ask import Ask

router = APIRouter()

WORDS = ("duty", "altitude", "temperature", "standard", "rated", "intermediate")
FIELDS = {
    "--rated": "rated",
    "--intermediate": "intermediate",
    "--altitude": "height of the place",
    "--temperature": "air temperature there",
    "--standard": "standard",
}
CHARTS = ("ranking", "curves")


@dataclass(frozen=True, slots=True)
class Offered:
    """What can be chosen, and what is scored where nothing was."""

    duties: tuple[Any, ...]
    builds: tuple[Any, ...]
    unasked: tuple[str, ...]


@router.get("/purpose")
def show(asked: Asked) -> Response:
    """The scores of a duty; without one, what can be chosen."""
    try:
        want = question(asked, WORDS)
    except FairpullError as error:
        return _page(asked, Question(), faults=in_form(error, FIELDS), status=422)
    if not want.word("duty"):
        return _page(asked, want)
    try:
        answer = _answer(asked, want)
    except FairpullError as error:
        return _page(asked, want, faults=in_form(error, FIELDS), status=status_of(error))
    return _page(asked, want, answer=answer)


@router.get("/purpose/chart/{name}.{kind}")
def chart(asked: Asked, name: str, kind: str) -> Response:
    """The ranking or the curves, live or as a file."""
    if name not in CHARTS:
        raise HTTPException(404, "no such chart")
    want = question(asked, WORDS)
    answer = _answer(asked, want)
    view, system = answer.value, asked.system

    def draw(theme: Any, size: Any) -> dict[str, Any]:
        from fairpull.show import chart_purpose

        return {"ranking": chart_purpose.ranking, "curves": chart_purpose.curves}[name](view, theme, size, system)

    def table() -> str:
        from fairpull.show import chart_purpose_rows as rows

        return rows.ranking_csv(view.scores, system) if name == "ranking" else rows.curves_csv(view, system)

    def reading() -> dict[str, Any]:
        from fairpull.show import chart_purpose_rows

        fields, rows = chart_purpose_rows.reading(view, system)
        return {"fields": fields, "rows": rows}

    return figures.answer(
        asked,
        kind,
        draw=draw,
        csv=table,
        name=f"{plain(view.scores.duty.name)}-{name}",
        reading=reading if name == "curves" else None,
        key=f"{answer.key} {name}",
    )


def _answer(asked: Ask, want: Question) -> Answer[DutyView]:
    with asked.book() as kept:
        names = want.of or _unasked(kept)
        if not names:
            raise ValueRefused(_choose(kept))
        few_pulls(kept, names, "choose fewer builds; fairpull purpose scores any number")
        return purpose_seen(
            kept,
            want.word("duty"),
            names,
            altitude=want.word("altitude"),
            temperature=want.word("temperature"),
            standard=want.word("standard"),
            rated=want.word("rated"),
            intermediate=want.word("intermediate"),
        )


def _unasked(kept: Book) -> tuple[str, ...]:
    """Builds scored where none is named: all, as long as a picture can tell them apart."""
    offers = build_offers(kept)
    return tuple(one.name for one in offers) if len(offers) <= MOST_BUILDS else ()


def _choose(kept: Book) -> Fault:
    many = len(build_offers(kept))
    if not many:
        return Fault("no-counted-pull", "builds", "no build has a pull that counts", "take in a log first")
    return Fault(
        "choose-builds", "builds", f"{many} builds have pulls that count", f"choose up to {MOST_BUILDS} of them"
    )


def _page(
    asked: Ask,
    want: Question,
    *,
    answer: Answer[DutyView] | None = None,
    faults: tuple[Fault, ...] = (),
    status: int = 200,
) -> Response:
    with asked.book() as kept:
        offered = Offered(duty_offers(kept), build_offers(kept), _unasked(kept))
    scores = answer.value.scores if answer else None
    return asked.page(
        "purpose.html",
        status,
        want=want,
        faults_found=faults,
        duties=[one for one in offered.duties if not one.cycle],
        cycles=[one for one in offered.duties if one.cycle],
        engines=by_engine(offered.builds),
        chosen=want.of or offered.unasked,
        standards=STANDARD_NAMES,
        most=MOST_BUILDS,
        query=want.query(),
        scores=scores,
        said=_said(answer.value, asked.system) if answer else None,
        links=build_links([one.build for one in scores.scores]) if scores else {},
    )


def _said(view: DutyView, system: str) -> dict[str, Any]:
    """Tables and words of the page; the terminal draws the same ones."""
    scores = view.scores
    own, reading = purpose_page.own_findings(scores.findings)
    return {
        "tone": purpose_page.tone(scores),
        "kind": purpose_page.kind(scores),
        "duty": purpose_page.duty_table(scores.duty, system),
        "scores": purpose_page.scores_table(scores, system),
        "parts": purpose_page.parts_table(scores, system),
        "differences": purpose_page.differences_table(scores, system),
        "choices": purpose_page.choices_table(scores),
        "made": purpose_page.made_table(scores),
        "findings": own,
        "reading": reading.replace("fairpull pull NAME", "Each pull's own page"),
        "ranking_alt": purpose_page.ranking_alt(scores, system),
        "curves_alt": purpose_page.curves_alt(scores),
        "curves_caption": purpose_page.curves_caption(scores.duty),
    }
