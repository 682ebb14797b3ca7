"""Past work: what such changes did before in this book."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from fastapi import APIRouter, Response

from fairpull.show.facts import past_page
from fairpull.show.facts.words import plain
from fairpull.tasks.bench.answers import Answer, past_seen
from fairpull.tasks.bench.offers import MOST_PULLS, change_offers
from fairpull.tasks.bench.past_of import meant
from fairpull.terms.errors import FairpullError, Fault, NotComparable, ValueRefused
from fairpull.web import figures
from fairpull.web.answer_ask import Question, in_form, question, status_of
from fairpull.web.ask import Asked

if TYPE_CHECKING:
    from fairpull.terms.tuning import PastWork
    from fairpull.web.ask import Ask

router = APIRouter()

WORDS = ("change",)


@router.get("/past")
def show(asked: Asked) -> Response:
    """The expectation; without a kind of change, those that the book has."""
    try:
        want = question(asked, WORDS)
    except FairpullError as error:
        return _page(asked, Question(), faults=in_form(error, {}), status=422)
    if not want.word("change"):
        return _page(asked, want)
    try:
        answer = _answer(asked, want)
    except FairpullError as error:
        return _page(asked, want, faults=in_form(error, {}), status=status_of(error))
    return _page(asked, want, answer=answer)


@router.get("/past/chart.{kind}")
def chart(asked: Asked, kind: str) -> Response:
    """Every comparison with its interval, the mean and the expectation."""
    answer = _answer(asked, question(asked, WORDS))
    past, system = answer.value, asked.system

    def draw(theme: Any, size: Any) -> dict[str, Any]:
        from fairpull.show import chart_past

        return chart_past.forest(past, theme, size, system)

    def table() -> str:
        from fairpull.show import chart_past

        return chart_past.forest_csv(past, system)

    return figures.answer(asked, kind, draw=draw, csv=table, name=f"past-{plain(past.kind)}", key=f"{answer.key} past")


def _answer(asked: Ask, want: Question) -> Answer[PastWork]:
    word = want.word("change")
    if not word:
        raise ValueRefused(Fault("change-kind", "kind of change", "none named", "name one, e.g. camshaft"))
    with asked.book() as kept:
        kind = meant(kept, word)
        pulls = sum(one.pulls for one in change_offers(kept) if one.kind == kind)
        if pulls > MOST_PULLS:
            seen = f"{pulls} pulls would have to be compared, and a page compares {MOST_PULLS} at most"
            raise NotComparable(
                Fault("too-many-pulls", plain(word), seen, f'use fairpull past "{kind}", which shows its progress')
            )
        return past_seen(kept, kind)


def _page(
    asked: Ask,
    want: Question,
    *,
    answer: Answer[PastWork] | None = None,
    faults: tuple[Fault, ...] = (),
    status: int = 200,
) -> Response:
    with asked.book() as kept:
        offers = change_offers(kept)
    past = answer.value if answer else None
    system = asked.system
    return asked.page(
        "past.html",
        status,
        want=want,
        faults_found=faults,
        offers=[(one, f"/past?{Question((), {'change': one.kind}).query()}") for one in offers],
        query=want.query(),
        past=past,
        sentence=past_page.past_sentence(past, system) if past else "",
        summary=past_page.summary_table(past, system) if past else None,
        effects=past_page.effects_table(past, system) if past else None,
        compares=_compares(past) if past else {},
        alt=past_page.alt(past, system) if past else "",
    )


def _compares(past: PastWork) -> dict[str, str]:
    """Name of each comparison -> its page."""
    found = {}
    for effect in past.effects:
        build, _, reference = effect.name.partition(" against ")
        if reference:
            found[effect.name] = f"/compare?{Question((reference, build), {}).query()}"
    return found
