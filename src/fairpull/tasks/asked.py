"""The question a comparison answers: declared in a file, found beside the logs, or put by option."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from fairpull.tasks.question_file import read_question
from fairpull.tasks.request import CompareRequest
from fairpull.terms.comparison import Question
from fairpull.terms.findings import Finding, Severity


def asked_question(request: CompareRequest, beside: Path) -> tuple[Question, dict[str, str], tuple[Finding, ...]]:
    """The question, and how it came about.

    Args:
        request: question file, band, smallest difference.
        beside: folder of the reference's logs; a question.toml there is taken.

    Returns:
        The question; choices to show; findings where an option overrules what was declared before the day.

    Raises:
        ValueRefused: the file is no such question.
    """
    found = beside / "question.toml"
    path = request.question_file or (found if found.is_file() else None)
    declared = read_question(path) if path else Question()
    question = replace(
        declared,
        band=declared.band if request.band is None else request.band,
        smallest=declared.smallest if request.smallest is None else request.smallest,
    )
    said = {"question": "none declared"}
    if path:
        said["question"] = f"{path}, " + ("named" if request.question_file else "found beside the logs")
    if request.band is not None:
        said["band"] = f"{_band(request.band)}, by option"
    if request.smallest is not None:
        said["smallest difference worth having"] = f"{request.smallest * 100:g} %, by option"
    return question, said, _overruled(declared, question)


def _band(band: tuple[float, float] | None) -> str:
    return "the common tested range" if band is None else f"{band[0]:.0f}-{band[1]:.0f} rpm"


def _overruled(declared: Question, question: Question) -> tuple[Finding, ...]:
    if not declared.declared:
        return ()
    pairs = (
        ("band", _band(declared.band), _band(question.band)),
        ("smallest difference", f"{declared.smallest * 100:g} %", f"{question.smallest * 100:g} %"),
    )
    return tuple(
        Finding(
            "question-overruled",
            Severity.WARNING,
            what,
            f"{before} was declared before the day, {now} is judged by option",
            "leave the option out, or say that this was chosen after the data were seen",
        )
        for what, before, now in pairs
        if before != now
    )
