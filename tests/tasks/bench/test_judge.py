"""A pull on its way into the book: its figures by hand, its state from the signs."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import numpy as np
import pytest

from fairpull import pulls
from fairpull.book import Book
from fairpull.tasks.bench.builds import Shelf
from fairpull.tasks.bench.judge import Reference, correction_of, figures_of, judged, summary_of, verdict_on
from fairpull.terms.bench import COUNTS, SET_ASIDE, Figure
from fairpull.terms.engine import Engine
from fairpull.terms.findings import Severity
from fairpull.terms.health import HealthReport, Sign
from fairpull.terms.pull import Pull
from fairpull.terms.recording import Origin

RPM = np.arange(2000.0, 5001.0, 250.0)
ORIGIN = Origin("log.csv", "0" * 64, "delimited", "made")
AIR = {"barometer": np.full(RPM.size, 99e3), "inlet_temperature": np.full(RPM.size, 298.15)}


def steps(torque: np.ndarray, **more: np.ndarray) -> Pull:
    return Pull("p", ORIGIN, "steps", {"rpm": RPM, "torque": torque, **more})


def sign(severity: Severity, kind: str = "heat-soak", counts_to: float | None = None) -> Sign:
    return Sign(kind, severity, 2000.0, 3000.0, 0.02, "1", "It was hot.", "Cool it.", counts_to)


def report(*signs: Sign) -> HealthReport:
    return HealthReport("p", signs, (), ())


def test_summary_figures_by_hand() -> None:
    """Torque 240 N m falling 20 N m a step of 250 rpm from 3,000 rpm; factor 1.02."""
    torque = np.where(RPM <= 3000.0, 240.0, 240.0 - 20.0 * (RPM - 3000.0) / 250.0)
    pull = steps(torque)
    found = summary_of(pulls.curve(pull, step=250.0), 1.02, pull)
    power = torque * RPM * 2.0 * pi / 60.0
    assert found["observed_peak_power"] == pytest.approx(240.0 * 3000.0 * pi / 30.0, rel=1e-9)
    assert found["peak_power"] == pytest.approx(1.02 * 75398.22, rel=1e-6)
    assert found["peak_power_rpm"] == 3000.0
    assert found["observed_peak_torque"] == pytest.approx(240.0)
    assert found["peak_torque"] == pytest.approx(244.8)
    assert found["mean_torque"] == pytest.approx(1.02 * torque.mean())
    assert found["mean_power"] == pytest.approx(1.02 * power.mean())
    assert (found["rpm_low"], found["rpm_high"], found["factor"], found["sweep_rate"]) == (2000.0, 5000.0, 1.02, 0.0)
    assert "duration" not in found


def test_figures_stop_where_the_pull_stops_to_count() -> None:
    pull = replace(steps(200.0 + RPM / 100.0), valid_to=4000.0)
    found = summary_of(pulls.curve(pull, step=250.0), 1.0, pull)
    assert found["rpm_high"] == 4000.0
    assert found["peak_torque"] == pytest.approx(240.0)


def test_a_curve_that_is_empty_leaves_its_figures_out() -> None:
    pull = steps(200.0 + RPM / 100.0)
    empty = replace(pulls.curve(pull, step=250.0), torque=np.full(RPM.size, np.nan))
    assert set(summary_of(empty, 1.0, pull)) == {"factor", "sweep_rate"}


def test_duration_is_the_clocks() -> None:
    pull = steps(200.0 + 0.0 * RPM, time=np.linspace(4.0, 16.5, RPM.size))
    assert summary_of(pulls.curve(pull, step=250.0), 1.0, pull)["duration"] == pytest.approx(12.5)


def test_every_channel_has_its_three_numbers() -> None:
    oil = np.linspace(360.0, 372.0, RPM.size)
    oil[3] = np.nan
    lost = np.full(RPM.size, np.nan)
    found = figures_of(steps(200.0 + 0.0 * RPM, oil_temperature=oil, boost=lost, time=RPM), None)
    assert set(found) == {"rpm", "torque", "oil_temperature"}
    assert found["oil_temperature"] == Figure(360.0, float(np.nanmean(oil)), 372.0)
    assert found["torque"] == Figure(200.0, 200.0, 200.0)


def test_with_an_engine_derived_quantities_come_with_them(kept: Book) -> None:
    """BMEP = 4 pi T / Vd: 300 N m on 4.241 l are 888.9 kPa."""
    engine = Shelf(kept).engine("Mill")
    found = figures_of(steps(300.0 + 0.0 * RPM), engine)
    assert found["bmep"].mean == pytest.approx(4.0 * pi * 300.0 / (6 * pi / 4 * 0.1**2 * 0.09), rel=1e-9)


def test_weather_that_is_not_known_leaves_the_factor_at_one() -> None:
    curve = pulls.curve(steps(200.0 + 0.0 * RPM), step=250.0)
    found = correction_of(curve, None, "din-70020")
    assert (found.factor, found.standard) == (1.0, "none")


def test_the_house_standard_is_taken(kept: Book) -> None:
    """DIN 70020: 1013 mbar / 990 mbar x sqrt((25 + 273) / 293) = 1.0319."""
    pull = steps(200.0 + 0.0 * RPM, **AIR, relative_humidity=np.full(RPM.size, 0.4))
    found = correction_of(pulls.curve(pull, step=250.0), Shelf(kept).engine("Mill"), "din-70020")
    assert found.standard == "din-70020"
    assert found.factor == pytest.approx(1013.0 / 990.0 * (298.0 / 293.0) ** 0.5, rel=1e-6)


@pytest.mark.parametrize(
    ("signs", "expected"),
    [
        ((), (COUNTS, "", None)),
        ((sign(Severity.NOTE), sign(Severity.WARNING)), (COUNTS, "", None)),
        ((sign(Severity.FAULT),), (SET_ASIDE, "heat-soak: It was hot.", None)),
        ((sign(Severity.FAULT, counts_to=4000.0),), (COUNTS, "", 4000.0)),
        ((sign(Severity.FAULT, counts_to=4000.0), sign(Severity.FAULT, counts_to=3500.0)), (COUNTS, "", 3500.0)),
        ((sign(Severity.WARNING, counts_to=3000.0),), (COUNTS, "", None)),
        (
            (sign(Severity.FAULT, counts_to=4000.0), sign(Severity.FAULT, "knock"), sign(Severity.FAULT)),
            (SET_ASIDE, "knock: It was hot.; heat-soak: It was hot.", None),
        ),
    ],
)
def test_the_state_comes_from_the_faults(signs: tuple[Sign, ...], expected: tuple[str, str, float | None]) -> None:
    assert verdict_on(report(*signs)) == expected


def looked(monkeypatch: pytest.MonkeyPatch, *signs: Sign) -> list[tuple[int, list[float]]]:
    """The detectors are asked for nothing but these signs; what they were held against is noted."""
    asked: list[tuple[int, list[float]]] = []

    def look(
        pull: Pull, *, engine: Engine, references: list[Pull], factor: float, reference_factors: list[float]
    ) -> HealthReport:
        del engine
        asked.append((len(references), [factor, *reference_factors]))
        return HealthReport(pull.name, signs, (), ())

    monkeypatch.setattr("fairpull.health.look", look)
    return asked


def test_a_judged_pull_carries_signs_factor_and_the_lower_limit(kept: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = looked(monkeypatch, sign(Severity.FAULT, "valve-float", 4000.0), sign(Severity.NOTE, "reversion"))
    pull = Pull("p", ORIGIN, "steps", {"rpm": RPM, "torque": 200.0 + 0.0 * RPM, **AIR}, valid_to=4500.0)
    reference = Reference(pull, 0.99)
    made = judged(pull, Shelf(kept).build("plain"), [reference], session="tuesday", reading={"read": {"by": "who"}})
    assert asked == [(1, [made.summary["factor"], 0.99])]
    assert (made.state, made.reason, made.pull.valid_to) == (COUNTS, "", 4000.0)
    assert {"sign-valve-float", "sign-reversion"} <= {finding.code for finding in made.pull.findings}
    assert (made.build, made.session, made.reading) == ("plain", "tuesday", {"read": {"by": "who"}})
    assert made.pull.choices["correction"] == f"sae-j1349, factor {made.summary['factor']:.4f}"
    assert made.summary["rpm_high"] == 4000.0


def test_a_pull_with_a_fault_is_set_aside_with_its_evidence(kept: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    looked(monkeypatch, sign(Severity.FAULT))
    made = judged(steps(200.0 + 0.0 * RPM), Shelf(kept).build("plain"), [])
    assert (made.state, made.reason) == (SET_ASIDE, "heat-soak: It was hot.")
    assert made.health is not None


def test_a_printed_curve_at_close_steps_is_looked_at_as_ever(kept: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = looked(monkeypatch)
    rpm = np.arange(1800.0, 5001.0, 25.0)
    pull = Pull("p", ORIGIN, "steps", {"rpm": rpm, "torque": 300.0 - rpm / 50.0}, last_row=rpm.size - 1)
    assert judged(pull, Shelf(kept).build("plain"), []).state == COUNTS
    assert len(asked) == 1


def test_samples_without_a_clock_are_not_looked_at_and_do_not_count(
    kept: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A sweep and its run-down, sorted by speed: full load and drag stand side by side."""
    asked = looked(monkeypatch, sign(Severity.FAULT, "valve-float", 4000.0))
    rpm = np.arange(1800.0, 5001.0, 8.0)
    torque = np.where(np.arange(rpm.size) % 2 == 0, 300.0, -20.0)
    pull = Pull("p", ORIGIN, "steps", {"rpm": rpm, "torque": torque}, last_row=rpm.size - 1)
    made = judged(pull, Shelf(kept).build("plain"), [])
    assert asked == []
    assert made.state == SET_ASIDE
    assert made.reason.startswith("its clock is missing")
    assert made.health is not None
    assert made.health.signs == ()
    assert {one.missing for one in made.health.unseen} == {("time",)}


@pytest.mark.parametrize(("kind", "expected"), [("valve-float", Severity.WARNING), ("torque-zero", Severity.FAULT)])
def test_without_a_clock_a_dip_is_no_proof(
    kept: Book, monkeypatch: pytest.MonkeyPatch, kind: str, expected: Severity
) -> None:
    looked(monkeypatch, sign(Severity.FAULT, kind, 4000.0))
    channels = {"rpm": RPM, "torque": 200.0 + 0.0 * RPM}
    made = judged(Pull("p", ORIGIN, "sweep", channels), Shelf(kept).build("plain"), [])
    assert made.health is not None
    assert made.health.signs[0].severity == expected
    assert made.pull.valid_to == (4000.0 if expected == Severity.FAULT else None)
    timed = Pull("p", ORIGIN, "sweep", {**channels, "time": RPM / 250.0})
    assert judged(timed, Shelf(kept).build("plain"), []).pull.valid_to == 4000.0
