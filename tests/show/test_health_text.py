"""Health reports as text."""

from __future__ import annotations

from fairpull.show import health_text, terminal
from fairpull.show.facts.state import sign_line
from tests.show import bench_days


def drawn(parts: list) -> str:  # type: ignore[type-arg]
    return terminal.draw(parts, width=80, colour=False)


def test_a_sign_in_a_line() -> None:
    assert sign_line(bench_days.FLOAT) == "valve float, 5,100 to 5,400 rpm; counts to 5,050 rpm"
    assert sign_line(bench_days.STARVED) == "fuel starvation, 3,800 to 4,600 rpm"


def test_evidence_and_what_would_confirm_it_follow() -> None:
    text = drawn(health_text.signs(bench_days.health("p", bench_days.STARVED)))
    assert text.splitlines() == [
        "  fault fuel starvation, 3,800 to 4,600 rpm",
        "    Fuel pressure fell from 6.2 psi to 2.9 psi.",
        "    -> Change the filter.",
    ]


def test_no_sign_is_said() -> None:
    assert drawn(health_text.signs(bench_days.health("p"))) == "  No sign of trouble.\n"


def test_what_could_not_be_looked_at_is_gathered_by_what_is_missing() -> None:
    text = drawn(health_text.unseen(bench_days.health("p", unseen=bench_days.UNSEEN)))
    assert " ".join(text.split()) == (
        "Not looked at: knock (needs knock); misfire, low cylinder (needs exhaust_temperature, references)."
    )
    assert health_text.unseen(bench_days.health("p")) == []


def test_what_could_not_be_looked_at_may_be_left_out() -> None:
    report = bench_days.health("p", unseen=bench_days.UNSEEN)
    assert "Not looked at" in health_text.health_text([report])
    assert "Not looked at" not in health_text.health_text([report], every=False)


def test_references_and_cautions_stand_below() -> None:
    text = " ".join(health_text.health_text([bench_days.health("p", bench_days.FLOAT)]).split())
    assert "Held against: first, second." in text
    assert text.endswith("people licensed for the work.")
