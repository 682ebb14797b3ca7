"""Tune: spark and mixture loops, and running in; pictures first, cautions always."""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING, Any

from fastapi import APIRouter, HTTPException, Response

from fairpull.show.facts import tune_page
from fairpull.show.facts.words import plain
from fairpull.tasks.bench.answers import Answer, running_in_seen, tune_seen
from fairpull.tasks.bench.offers import build_offers, engine_offers, few_pulls, loop_offers
from fairpull.terms.errors import FairpullError, Fault, UnknownName, ValueRefused
from fairpull.web import figures
from fairpull.web.answer_ask import Question, by_engine, findings_in_form, in_form, question, status_of
from fairpull.web.ask import Asked

if TYPE_CHECKING:
    from fairpull.terms.tune_view import RunningInView, TuneView
    from fairpull.web.ask import Ask

router = APIRouter()

WORDS = ("kind", "by", "speeds", "limits", "knock_limit", "engine")
FIELDS = {
    "--limits": "what may be run",
    "--speeds": "speeds",
    "--by": "kind of loop",
    "--knock-limit": "knock level that counts",
}
KINDS = {"spark": ("spark", ""), "mixture": ("mixture", ""), "jets": ("mixture", "jet")}
"""What the form calls a kind of loop -> kind and way of telling the setting."""
RUNNING_IN = "running-in"
CHARTS = ("loops", "settings")
MOST_SPEEDS, MOST_RPM = 24, 30_000.0
SPEED = re.compile(r"\d{2,5}(?:\.\d{1,3})?")


@router.get("/tune")
def show(asked: Asked) -> Response:
    """Loops or a trend; without a question, what can be asked."""
    try:
        want = question(asked, WORDS)
    except FairpullError as error:
        return _page(asked, Question(), faults=in_form(error, FIELDS), status=422)
    running = want.word("kind") == RUNNING_IN
    if not (want.word("engine") if running else want.of):
        return _page(asked, want)
    try:
        if running:
            return _page(asked, want, trend=_trend(asked, want))
        return _page(asked, want, loops=_loops(asked, want))
    except FairpullError as error:
        return _page(asked, want, faults=in_form(error, FIELDS), status=status_of(error))


@router.get("/tune/chart/{name}.{kind}")
def chart(asked: Asked, name: str, kind: str) -> Response:
    """The loops, or the settings over rpm."""
    if name not in CHARTS:
        raise HTTPException(404, "no such chart")
    answer = _loops(asked, question(asked, WORDS))
    view, system = answer.value, asked.system

    def draw(theme: Any, size: Any) -> dict[str, Any]:
        from fairpull.show import chart_tune

        return {"loops": chart_tune.loops, "settings": chart_tune.settings}[name](view, theme, size, system)

    def table() -> str:
        from fairpull.show import chart_tune_rows

        return chart_tune_rows.loops_csv(view, system) if name == "loops" else chart_tune_rows.map_csv(view)

    return figures.answer(asked, kind, draw=draw, csv=table, name=f"tune-{name}", key=f"{answer.key} {name}")


@router.get("/tune/running-in.{kind}")
def trend_chart(asked: Asked, kind: str) -> Response:
    """The trend of an engine that runs in."""
    want = question(asked, WORDS)
    answer = _trend(asked, want)
    view, system = answer.value, asked.system

    def draw(theme: Any, size: Any) -> dict[str, Any]:
        from fairpull.show import chart_running_in

        return chart_running_in.trend(view, theme, size, system)

    def table() -> str:
        from fairpull.show import chart_running_in

        return chart_running_in.trend_csv(view.result, system)

    name = f"running-in-{plain(view.result.engine)}"
    return figures.answer(asked, kind, draw=draw, csv=table, name=name, key=f"{answer.key} running in")


def _loops(asked: Ask, want: Question) -> Answer[TuneView]:
    asked_kind = want.word("kind") or "spark"
    if asked_kind not in KINDS:
        raise UnknownName(
            Fault("tune-kind", "kind of loop", repr(plain(asked_kind[:40])), f"one of: {', '.join(KINDS)}")
        )
    if not want.of:
        raise ValueRefused(Fault("tune-of", "builds", "none named", "choose the builds whose pulls make the loop"))
    kind, by = KINDS[asked_kind]
    by = want.word("by") or by
    faults: list[Fault] = []
    speeds = _speeds(want.word("speeds"), faults)
    knock = _knock(want.word("knock_limit"), faults)
    if faults:
        raise ValueRefused(faults)
    with asked.book() as kept:
        few_pulls(kept, want.of, "name single pulls instead of builds; fairpull tune takes any number")
        return tune_seen(kept, kind, want.of, speeds=speeds, by=by, limits=want.word("limits"), knock_limit=knock)


def _speeds(text: str, faults: list[Fault]) -> str:
    """Speeds as the loops take them: "2000,3000"."""
    words = [one for one in re.split(r"[\s,;]+", text.lower().replace("rpm", " ")) if one]
    if not words:
        return ""
    good = all(SPEED.fullmatch(one) and 0.0 < float(one) <= MOST_RPM for one in words)
    if not good or len(words) > MOST_SPEEDS:
        remedy = f"name up to {MOST_SPEEDS} speeds up to {MOST_RPM:,.0f} rpm, e.g. 2000, 3000"
        faults.append(Fault("speeds", "speeds", repr(plain(text[:60])), remedy))
    return ",".join(dict.fromkeys(words))


def _knock(text: str, faults: list[Fault]) -> float | None:
    if not text:
        return None
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        faults.append(Fault("knock-limit", "knock level that counts", repr(plain(text[:40])), "give a number, e.g. 40"))
    return value


def _trend(asked: Ask, want: Question) -> Answer[RunningInView]:
    engine = want.word("engine")
    if not engine:
        raise ValueRefused(Fault("tune-engine", "engine", "none named", "choose an engine"))
    with asked.book() as kept:
        mine = [one.name for one in build_offers(kept) if one.engine == engine]
        if mine:
            few_pulls(kept, mine, "fairpull running-in takes any number")
        return running_in_seen(kept, engine)


def _page(
    asked: Ask,
    want: Question,
    *,
    loops: Answer[TuneView] | None = None,
    trend: Answer[RunningInView] | None = None,
    faults: tuple[Fault, ...] = (),
    status: int = 200,
) -> Response:
    with asked.book() as kept:
        builds, engines, ready = build_offers(kept), engine_offers(kept), loop_offers(kept)
    names = {one.name for one in builds}
    return asked.page(
        "tune.html",
        status,
        want=want,
        faults_found=faults,
        builds=by_engine(builds),
        engines=[one.name for one in engines],
        ready=[(one, _url(one.kind, one.by, one.builds)) for one in ready],
        single=", ".join(name for name in want.of if name not in names),
        extra=[name for name in want.of if name not in names],
        query=want.query(),
        loops=_said(loops.value, asked.system) if loops else None,
        trend=_trend_said(trend.value, asked.system) if trend else None,
    )


def _url(kind: str, by: str, builds: tuple[str, ...]) -> str:
    word = next(word for word, both in KINDS.items() if both == (kind, by))
    return f"/tune?{Question(builds, {'kind': word}).query()}"


def _said(view: TuneView, system: str) -> dict[str, Any]:
    """Tables and words of the page; the terminal draws the same ones."""
    result = view.result
    return {
        "title": f"{result.kind.capitalize()} loops",
        "build": result.build,
        "cautions": result.cautions,
        "sentences": tune_page.sentences(result),
        "next": tune_page.next_table(result),
        "table": tune_page.loops_table(result),
        "worth": tune_page.worth_table(result, system),
        "checks": tune_page.checks_table(result),
        "choices": tune_page.choices_table(result),
        "findings": findings_in_form(tune_page.all_findings(result), FIELDS),
        "alt": tune_page.loops_alt(result),
        "beside": tune_page.beside_word(result),
    }


def _trend_said(view: RunningInView, system: str) -> dict[str, Any]:
    result = view.result
    return {
        "engine": result.engine,
        "sentence": result.sentence,
        "settled": bool(result.settled_at),
        "to_come": tune_page.to_come(result, system),
        "pulls": tune_page.pulls_table(result, system),
        "trends": tune_page.trends_table(result, system),
        "findings": result.findings,
        "drawn": len(result.pulls) > 0,
    }
