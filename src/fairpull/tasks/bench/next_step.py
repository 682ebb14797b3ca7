"""The one thing that matters next on the bench: one rule after another, the first that holds speaks."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from math import ceil

from fairpull.terms.bench import COUNTS
from fairpull.terms.comparison import CANNOT_TELL, DIFFERS, Difference
from fairpull.terms.looking import BenchDay, Came, Judged, NextStep

BASELINE = 3  # counted pulls of a build that nothing is judged against yet, before something is changed
WATCHED = 3  # newest arrivals that a refusal is looked for in


@dataclass(frozen=True, slots=True)
class State:
    """What the rules look at.

    Attributes:
        day: pulls of the day.
        judged: the verdict on its pair.
        came: files that a watched folder brought, newest first; None where none is watched.
        empty: the book has no pull; builds: whether it has a build.
        reference_ever: counted pulls of the pair's reference in the whole book.
        is_reference: the newest pull's build is what another build is judged against.
    """

    day: BenchDay
    judged: Judged
    came: tuple[Came, ...] | None = None
    empty: bool = False
    builds: bool = True
    reference_ever: int = 0
    is_reference: bool = False
    counted: dict[str, int] = field(default_factory=dict)


Rule = Callable[[State], NextStep | None]


def next_step(state: State) -> NextStep:
    """What to do next, and why.

    Args:
        state: of the bench.

    Returns:
        The step of the first rule that holds.
    """
    for rule in RULES:
        step = rule(state)
        if step is not None:
            return step
    return NextStep("take-in", "Take in a log", "Nothing of today asks for anything else.", ("take",))


def _no_build(state: State) -> NextStep | None:
    if state.builds:
        return None
    reason = "A pull is kept with the build that it ran with, and the book has no build yet."
    return NextStep("no-build", "Write down the engine", reason, ("new", "engine"))


def _refused(state: State) -> NextStep | None:
    for came in (state.came or ())[:WATCHED]:
        if came.faults:
            return NextStep("refused", f"See why {came.file} was refused", f"{came.faults[0].seen}.", ("here", "came"))
        if came.pulls:
            return None  # what came after the refusal went well
    return None


def _no_pull(state: State) -> NextStep | None:
    if not state.empty:
        return None
    return NextStep("no-pull", "Take in the first log", "The book has builds, and no pull yet.", ("take",))


def _aside(state: State) -> NextStep | None:
    newest = state.day.newest
    if not state.day.live or newest is None or newest.state == COUNTS:
        return None
    reason = f"The newest pull does not count: {newest.reason or newest.state}."
    return NextStep("set-aside", f"Look at {newest.name}", reason.replace("..", "."), ("pull", newest.name))


def _baseline(state: State) -> NextStep | None:
    """The build is judged against nothing: the start of a day's work, or a forgotten entry of its sheet."""
    newest = state.day.newest
    if newest is None or state.judged.pair is not None:
        return None
    done = sum(line.build == newest.build and line.state == COUNTS for line in state.day.pulls)
    if state.day.live and done < BASELINE:
        left = BASELINE - done
        reason = f"{done} counted today: only repeats show how far pulls of one build scatter."
        return NextStep("baseline", f"{_pulls(left)} more of {newest.build}", reason, ("build", newest.build))
    if state.is_reference:
        reason = f"{newest.build} stands; the build that is to be judged against it comes next."
        return NextStep("change", "Make the change, and its build", reason, ("sheets", "build"))
    reason = f"The sheet of {newest.build} names no reference, so nothing can be judged."
    return NextStep("no-reference", f"Say what {newest.build} is judged against", reason, ("edit", newest.build))


def _reference_missing(state: State) -> NextStep | None:
    pair = state.judged.pair
    if pair is None or (_today(state, pair.reference) and state.reference_ever):
        return None
    if not state.reference_ever:
        reason = f"{pair.reference} has no counted pull, so {pair.build} cannot be judged."
    elif state.day.live:
        reason = f"{pair.reference} was not pulled today; between days, more than the change differs."
    else:
        return None
    return NextStep("pull-reference", f"Pull {pair.reference}", reason, ("build", pair.reference))


def _cannot_judge(state: State) -> NextStep | None:
    pair, judged = state.judged.pair, state.judged
    if pair is None or not judged.faults:
        return None
    return NextStep("cannot-judge", f"Look at {pair.build}", f"{judged.faults[0].seen}.", ("build", pair.build))


def _cannot_tell(state: State) -> NextStep | None:
    difference, pair = _difference(state), state.judged.pair
    if difference is None or pair is None or difference.verdict.kind != CANNOT_TELL:
        return None
    verdict = difference.verdict
    if verdict.pulls_needed is None:
        why = verdict.confounded or "the two builds cannot be told apart from their days"
        say = f"Pull {pair.reference}, {pair.build} and {pair.reference} again on one day"
        return NextStep("confounded", say, f"{why[:1].upper()}{why[1:]}.", ("compare", pair.reference, pair.build))
    have = {name: state.counted.get(name, 0) for name in (pair.reference, pair.build)}
    left = {name: max(ceil(verdict.pulls_needed - count), 0) for name, count in have.items()}
    first = pair.build if left[pair.build] >= left[pair.reference] else pair.reference
    if state.day.live and _last_counted(state) == first:
        first = pair.reference if first == pair.build else pair.build
    other = pair.reference if first == pair.build else pair.build
    more = max(left[first], 1)
    reason = (
        f"Cannot tell yet: {verdict.pulls_needed} a side would settle it, and there are {have[pair.build]} of "
        f"{pair.build} and {have[pair.reference]} of {pair.reference}. Alternate with {other} (A-B-A)."
    )
    return NextStep("more-pulls", f"{_pulls(more)} more of {first}", reason, ("build", first))


def _not_returned(state: State) -> NextStep | None:
    """A reference that ran before the change only cannot tell the change from the day's drift."""
    pair = state.judged.pair
    if pair is None or not state.day.live:
        return None
    counted = [line.build for line in reversed(state.day.pulls) if line.state == COUNTS]
    if pair.build not in counted or pair.reference not in counted:
        return None
    if pair.reference in counted[counted.index(pair.build) :]:
        return None
    reason = f"{pair.reference} was not pulled after {pair.build}: drift over the day is not yet told from the change."
    return NextStep("return", f"Pull {pair.reference} again", reason, ("build", pair.reference))


def _settled(state: State) -> NextStep | None:
    difference, pair = _difference(state), state.judged.pair
    if pair is None or state.judged.faults:
        return None
    place = ("compare", pair.reference, pair.build)
    if difference is None:
        return NextStep("compare", "Open the comparison", "The verdict takes a while to work out.", place)
    kind = difference.verdict.kind
    if kind == DIFFERS:
        return NextStep("differs", "Open the comparison", f"{pair.build} differs from {pair.reference}.", place)
    reason = f"No difference that matters between {pair.build} and {pair.reference}: on to the next change."
    return NextStep("no-difference", "Open the comparison", reason, place)


RULES: tuple[Rule, ...] = (
    _refused,
    _no_build,
    _no_pull,
    _aside,
    _baseline,
    _reference_missing,
    _cannot_judge,
    _cannot_tell,
    _not_returned,
    _settled,
)


def _difference(state: State) -> Difference | None:
    made = state.judged.made
    return made.comparison.differences[0] if made is not None and made.comparison.differences else None


def _today(state: State, build: str) -> bool:
    return any(line.build == build and line.state == COUNTS for line in state.day.pulls)


def _last_counted(state: State) -> str:
    return next((line.build for line in state.day.pulls if line.state == COUNTS), "")


def _pulls(count: int) -> str:
    return f"{count} pull{'s' if count != 1 else ''}"
