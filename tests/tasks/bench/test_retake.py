"""A kept log is read again with what was forgotten; what was there before stays in its history."""

from __future__ import annotations

from pathlib import Path

import pytest

from fairpull.book import Book
from fairpull.logs import ReadOptions
from fairpull.pulls import PullOptions
from fairpull.tasks.bench.reading import read_again
from fairpull.tasks.bench.recompute import whole_check
from fairpull.tasks.bench.retake import take_again
from fairpull.tasks.bench.sheet_files import keep_sheets
from fairpull.tasks.bench.take import TakeOptions, take_files
from fairpull.tasks.bench.take_request import take_options
from fairpull.terms.bench import COUNTS, SET_ASIDE, VOID, Sheet
from fairpull.terms.errors import ReadRefused, ValueRefused
from fairpull.terms.recording import Conditions
from tests.tasks.bench.shop import codes, sweep

WEATHER = Conditions(pressure=98e3, temperature=303.15, relative_humidity=0.5)
GIVEN = TakeOptions(read=ReadOptions(given=WEATHER))


def bare(path: Path, clock: str = "10:00:00", **more: float) -> Path:
    """A sweep whose logger knows nothing of the air."""
    log = sweep(path, clock, **more)  # type: ignore[arg-type]
    lines = log.read_text("utf-8").splitlines()
    log.write_text("\n".join([lines[0], *(",".join(line.split(",")[:3]) for line in lines[1:])]) + "\n", "utf-8")
    return log


def test_forgotten_weather_is_given_later(kept: Book, tmp_path: Path) -> None:
    log = bare(tmp_path / "p.csv")
    (before,) = take_files(kept, [log], "plain").kept
    assert before.summary["factor"] == 1.0
    (report,) = take_again(kept, [log], "weather forgotten", GIVEN, by="KL")
    (after,) = report.kept
    assert after.summary["factor"] > 1.01
    assert after.summary["observed_peak_torque"] == before.summary["observed_peak_torque"]
    assert after.summary["peak_torque"] == pytest.approx(before.summary["peak_torque"] * after.summary["factor"])
    assert after.given == WEATHER
    assert "no-weather" in {finding.code for finding in before.findings}
    assert "no-weather" not in {finding.code for finding in after.findings}
    same = ("number", "name", "build", "build_version", "original", "piece", "taken_at")
    assert [getattr(after, name) for name in same] == [getattr(before, name) for name in same]
    (remark,) = kept.remarks(("pull", "p"))
    assert remark.by == "KL"
    assert remark.text.startswith("read again: weather forgotten. Changed: given pressure: not said -> 98000")
    assert "correction factor 1.0000 -> 1.0" in remark.text
    assert before.trace[:12] in remark.text
    assert kept.pull("p") == after
    assert whole_check(kept).findings == ()


def test_options_for_kept_bytes_are_said_to_be_unused(kept: Book, tmp_path: Path) -> None:
    log = bare(tmp_path / "p.csv")
    take_files(kept, [log], "plain")
    report = take_files(kept, [log], "plain", take_options({"given": WEATHER}, inertia="0.4kg.m2"))
    (finding,) = report.findings
    assert finding.code == "options-not-used"
    assert finding.text.endswith("Not used now: weather, inertia.")
    assert "--again" in finding.remedy
    take_again(kept, [log], "forgotten", take_options({"given": WEATHER}, inertia="0.4kg.m2"))
    again = take_files(kept, [log], "plain", take_options({"given": WEATHER}, inertia="0.4kg.m2"))
    assert again.findings == ()  # it is read that way now


def test_a_conditions_file_laid_beside_it_goes_before_what_was_said_then(kept: Book, tmp_path: Path) -> None:
    log = bare(tmp_path / "p.csv")
    take_files(kept, [log], "plain", GIVEN)
    (tmp_path / "conditions.toml").write_text('pressure = "99 kPa"\n', "utf-8")
    ((after,),) = [report.kept for report in take_again(kept, [log], "barometer read wrongly")]
    assert after.given == Conditions(pressure=99e3, temperature=303.15, relative_humidity=0.5)


def test_columns_inertia_and_lags_are_laid_over_what_was_said_then(kept: Book, tmp_path: Path) -> None:
    log = sweep(tmp_path / "p.csv", more={"probe": 90.0, "spare": 80.0})
    first = TakeOptions(read=ReadOptions(columns={"probe": "oil_temperature"}, units={"probe": "degC"}))
    take_files(kept, [log], "plain", first)
    now = TakeOptions(
        read=ReadOptions(columns={"spare": "coolant_out"}, units={"spare": "degC"}), clean=PullOptions(inertia=0.4)
    )
    (after,) = take_again(kept, [log], "a column more", now)[0].kept
    assert after.figures["oil_temperature"].mean == pytest.approx(363.15)
    assert after.figures["coolant_out"].mean == pytest.approx(353.15)
    assert after.reading["clean"]["inertia"] == 0.4
    trace = kept.trace("p")
    for name, values in read_again(kept, after).channels.items():
        assert values.tobytes() == trace.channels[name].tobytes()


def test_weights_that_the_session_learnt_later_are_used(kept: Book, tmp_path: Path) -> None:
    log = sweep(tmp_path / "p.csv")
    (before,) = take_files(kept, [log], "plain", TakeOptions(session="tuesday")).kept
    weights = {"unit": "N m", "hung": [0, 100, 200], "read": [3.0, 103.0, 203.0], "apply": True}
    keep_sheets(kept, [Sheet("session", "tuesday", {"dead_weights": weights})])
    (after,) = take_again(kept, [log], "weights hung afterwards")[0].kept
    fallen = before.summary["observed_peak_torque"] - after.summary["observed_peak_torque"]
    assert fallen == pytest.approx(3.0, abs=1e-6)


def test_what_a_person_said_stands(kept: Book, tmp_path: Path) -> None:
    logs = [bare(tmp_path / f"{name}.csv", f"10:{n}0:00") for n, name in enumerate(("void", "short", "plain"))]
    take_files(kept, logs, "plain")
    kept.mark("void", VOID, "belt off")
    kept.mark("short", COUNTS, "", valid_to=4000.0)
    reports = take_again(kept, logs, "weather forgotten", GIVEN)
    void, short, plain = (report.kept[0] for report in reports)
    assert (void.state, void.reason) == (VOID, "belt off")
    assert (short.state, short.valid_to) == (COUNTS, 4000.0)
    assert (plain.state, plain.valid_to) == (COUNTS, None)


def test_a_new_judgement_stands_beside_the_old_one(kept: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    log = bare(tmp_path / "p.csv")
    take_files(kept, [log], "plain")
    monkeypatch.setattr("fairpull.tasks.bench.judge.verdict_on", lambda report: (SET_ASIDE, "for a test", None))
    (after,) = take_again(kept, [log], "weather forgotten", GIVEN)[0].kept
    assert (after.state, after.reason) == (SET_ASIDE, "for a test")
    assert [mark.state for mark in kept.marks("p")] == [COUNTS, SET_ASIDE]


def test_all_faults_come_at_once_and_nothing_is_changed(kept: Book, tmp_path: Path) -> None:
    log, new = bare(tmp_path / "p.csv"), bare(tmp_path / "new.csv", "11:00:00")
    take_files(kept, [log], "plain")
    before = kept.pulls(full=True)
    with pytest.raises(ReadRefused) as refusal:
        take_again(kept, [log, new, tmp_path / "none.csv"], "why", GIVEN)
    assert codes(refusal.value) == ["file-unreadable", "not-kept-yet"]
    with pytest.raises(ReadRefused, match="kept under build plain, not tube"):
        take_again(kept, [log], "why", GIVEN, build="tube")
    for reason, files, sheet in (("why", [], None), ("why", [], tmp_path / "day.csv")):
        with pytest.raises(ReadRefused, match="nothing-to-take"):
            take_again(kept, files, reason, sheet=sheet)
    with pytest.raises(ValueRefused, match="--reason"):
        take_again(kept, [log], " ", GIVEN)
    assert kept.pulls(full=True) == before


def test_other_pulls_than_are_kept_are_refused(kept: Book, tmp_path: Path) -> None:
    log = sweep(tmp_path / "three.csv", times=3)
    assert len(take_files(kept, [log], "plain").kept) == 3
    with pytest.raises(ReadRefused) as refusal:
        take_again(kept, [log], "why", TakeOptions(clean=PullOptions(kind="sweep", min_span=9000.0)))
    assert refusal.value.faults
    (report,) = take_again(kept, [log], "weather", GIVEN)
    assert [line.piece for line in report.kept] == [0, 1, 2]
    assert {line.given for line in report.kept} == {WEATHER}


def test_a_clock_named_later_lets_the_log_count(kept: Book, tmp_path: Path) -> None:
    """Rows of a log without a clock are no sweep and no held speeds, whatever a detector would make of them."""
    log = sweep(tmp_path / "p.csv")
    text = log.read_text("utf-8").splitlines()
    head = text[1].replace("time", "zz")
    up = [row.split(",", 1)[1] for row in text[2:]]
    down = [f"{rpm:.1f},-20,99,20,40" for rpm in range(5090, 1700, -25)]
    rows = [f"{n / 10:.1f},{row}" for n, row in enumerate([*up, *down])]
    log.write_text("\n".join([text[0], head, *rows]) + "\n", "utf-8")
    (before,) = take_files(kept, [log], "plain").kept
    assert (before.state, before.kind) == (SET_ASIDE, "steps")
    assert before.reason.startswith("its clock is missing: 272 rows at ")
    assert "samples-without-clock" in {finding.code for finding in before.findings}
    assert before.health is not None
    assert before.health.signs == ()
    named = TakeOptions(read=ReadOptions(columns={"zz": "time"}, units={"zz": "s"}))
    (after,) = take_again(kept, [log], "the clock's column", named)[0].kept
    assert (after.state, after.kind) == (COUNTS, "sweep")
