"""Taking in: once for every bytes, all or nothing, in running order, with what the build and the session know."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from fairpull.book import Book
from fairpull.logs import ReadOptions
from fairpull.pulls import PullOptions
from fairpull.tasks.bench.door import change_setting
from fairpull.tasks.bench.judge import Reference, judged
from fairpull.tasks.bench.sheet_files import keep_sheets
from fairpull.tasks.bench.take import REFERENCES, TakeOptions, references_of, take_files
from fairpull.tasks.bench.take_request import take_options
from fairpull.terms.bench import COUNTS, SET_ASIDE, NewPull, Sheet
from fairpull.terms.errors import FairpullError, ReadRefused, UnknownName, ValueRefused
from fairpull.terms.recording import Conditions
from tests.tasks.bench.shop import DAY, MILL, codes, sweep

LB_FT = 1.3558179483314004  # N m


def names(kept: Book) -> list[str]:
    return [line.name for line in kept.pulls()]


def test_a_log_becomes_a_counted_pull_with_its_bytes_kept(kept: Book, tmp_path: Path) -> None:
    log = sweep(tmp_path / "first.csv")
    (line,) = take_files(kept, [log], "plain").kept
    assert (line.name, line.build, line.build_version, line.state) == ("first", "plain", 1, COUNTS)
    assert line.summary["observed_peak_torque"] == pytest.approx(300.0, abs=0.3)
    assert kept.original(line.original).read_bytes() == log.read_bytes()
    assert line.original_name == "first.csv"


def test_the_same_bytes_twice_are_one_pull(kept: Book, tmp_path: Path) -> None:
    log = sweep(tmp_path / "first.csv")
    first = take_files(kept, [log], "plain")
    copy = Path(shutil.copy(log, tmp_path / "copy of first.csv"))
    again = take_files(kept, [log, copy], "plain")
    assert [line.name for line in first.kept] == ["first"]
    assert again.kept == ()
    assert again.already == {str(log): ("first",)}
    assert again.findings == ()
    assert names(kept) == ["first"]


def test_the_same_bytes_twice_in_one_go_are_one_pull(kept: Book, tmp_path: Path) -> None:
    log = sweep(tmp_path / "first.csv")
    copy = Path(shutil.copy(log, tmp_path / "copy.csv"))
    assert len(take_files(kept, [log, copy, log], "plain").kept) == 1


def test_old_and_new_files_go_together(kept: Book, tmp_path: Path) -> None:
    old, new = sweep(tmp_path / "old.csv"), sweep(tmp_path / "new.csv", "10:05:00", gain=1.001)
    take_files(kept, [old], "plain")
    report = take_files(kept, [old, new], "plain")
    assert [line.name for line in report.kept] == ["new"]
    assert list(report.already) == [str(old)]


def test_one_bad_file_among_several_keeps_nothing_and_all_faults_are_told(kept: Book, tmp_path: Path) -> None:
    good = [sweep(tmp_path / "a.csv"), sweep(tmp_path / "b.csv", "10:05:00")]
    bad = tmp_path / "letter.csv"
    bad.write_text("Dear helper,\nplease come early.\n", "utf-8")
    short = sweep(tmp_path / "short.csv", "10:10:00", high=1800.0)
    with pytest.raises(ReadRefused) as refusal:
        take_files(kept, [good[0], bad, short, good[1]], "plain")
    said = " ".join(fault.where for fault in refusal.value.faults)
    assert "letter.csv" in said
    assert "short" in said
    assert kept.pulls() == ()
    assert not list((kept.folder / "originals").rglob("*.csv"))
    assert [line.name for line in take_files(kept, good, "plain").kept] == ["a", "b"]


def test_files_that_are_not_there_are_told_all_at_once(kept: Book, tmp_path: Path) -> None:
    with pytest.raises(ReadRefused) as refusal:
        take_files(kept, [tmp_path / "no.csv", tmp_path / "nothing.csv", tmp_path], "plain")
    assert codes(refusal.value) == ["file-unreadable"] * 3


def test_a_wrong_build_or_session_is_refused_before_a_file_is_read(kept: Book, tmp_path: Path) -> None:
    log = sweep(tmp_path / "first.csv")
    told: list[Path] = []
    for build, options in (("tub", TakeOptions()), ("tube", TakeOptions(session="monday"))):
        with pytest.raises(UnknownName):
            take_files(kept, [log], build, options, lambda path, number, total: told.append(path))
    assert told == []
    assert kept.pulls() == ()


def test_no_build_named_and_none_fitted_is_refused_with_the_builds(kept: Book, tmp_path: Path) -> None:
    with pytest.raises(UnknownName, match=r"builds: .*plain") as refusal:
        take_files(kept, [sweep(tmp_path / "first.csv")])
    assert codes(refusal.value) == ["no-build"]


def test_what_is_fitted_and_the_current_session_are_taken(kept: Book, tmp_path: Path) -> None:
    change_setting(kept, "fitted", "tube")
    change_setting(kept, "session", "tuesday")
    (line,) = take_files(kept, [sweep(tmp_path / "first.csv", day="")]).kept
    assert (line.build, line.session) == ("tube", "tuesday")
    assert line.choices["started_at"].startswith(DAY)  # the session's day, for a log with a time of day only
    assert line.reading["read"]["altitude"] == 120.0


def test_a_log_that_was_kept_under_another_build_is_told(kept: Book, tmp_path: Path) -> None:
    log = sweep(tmp_path / "first.csv")
    take_files(kept, [log], "plain")
    report = take_files(kept, [log], "tube")
    (finding,) = report.findings
    assert finding.code == "taken-under-another-build"
    assert "first of build plain" in finding.text
    assert kept.pull("first").build == "plain"


def test_the_sessions_weights_are_applied_where_it_says_so(kept: Book, tmp_path: Path) -> None:
    """Read = hung + 2 lb-ft: 300 N m on the log are 297.29 N m."""
    weights = {"unit": "lb-ft", "hung": [0, 100, 200], "read": [2.0, 102.0, 202.0]}
    for name, apply in (("kept", False), ("applied", True)):
        keep_sheets(kept, [Sheet("session", name, {"dead_weights": {**weights, "apply": apply}})])
    found = {
        name: take_files(kept, [sweep(tmp_path / f"{name}.csv", clock)], "plain", TakeOptions(session=name)).kept[0]
        for name, clock in (("kept", "10:00:00"), ("applied", "10:05:00"))
    }
    high, low = (found[name].summary["observed_peak_torque"] for name in ("kept", "applied"))
    assert high - low == pytest.approx(2.0 * LB_FT, abs=1e-6)
    assert "calibration" in found["applied"].choices
    assert "calibration" not in found["kept"].choices


def test_the_engines_inertia_is_used_and_an_option_goes_before_it(kept: Book, tmp_path: Path) -> None:
    """250 rpm/s x pi / 30 x 0.2 kg m2 = 5.24 N m."""
    keep_sheets(kept, [Sheet("engine", "Mill", {**MILL, "inertia": "0.2 kg m2"})])
    (sheet,) = take_files(kept, [sweep(tmp_path / "a.csv")], "plain").kept
    more = take_options({}, inertia="0.4kg.m2")
    (option,) = take_files(kept, [sweep(tmp_path / "b.csv", "10:05:00")], "plain", more).kept
    assert sheet.summary["observed_peak_torque"] == pytest.approx(305.24, abs=0.3)
    assert option.summary["observed_peak_torque"] == pytest.approx(310.47, abs=0.3)


def test_the_books_own_column_names_are_used_and_the_logs_go_before_them(kept: Book, tmp_path: Path) -> None:
    (kept.folder / "channels.toml").write_text('[probe]\nchannel = "oil_temperature"\nunit = "degC"\n', "utf-8")
    own = tmp_path / "own"
    own.mkdir()
    (own / "channels.toml").write_text('[probe]\nchannel = "coolant_out"\nunit = "degC"\n', "utf-8")
    (book,) = take_files(kept, [sweep(tmp_path / "a.csv", more={"probe": 90.0})], "plain").kept
    (beside,) = take_files(kept, [sweep(own / "b.csv", "10:05:00", more={"probe": 90.0})], "plain").kept
    assert book.figures["oil_temperature"].mean == pytest.approx(363.15)
    assert "oil_temperature" not in beside.figures
    assert beside.figures["coolant_out"].mean == pytest.approx(363.15)


def noted(monkeypatch: pytest.MonkeyPatch, aside: Sequence[str] = ()) -> dict[str, list[str]]:
    """What each pull is held against; pulls whose name begins with one of ``aside`` are set aside."""
    held: dict[str, list[str]] = {}
    plain = judged

    def look(pull: object, build: object, references: Sequence[Reference], **rest: object) -> NewPull:
        made = plain(pull, build, references, **rest)  # type: ignore[arg-type]
        held[made.pull.name] = [one.pull.name for one in references]
        if made.pull.name.startswith(tuple(aside) or ("?",)):
            return replace(made, state=SET_ASIDE, reason="for a test")
        return made

    monkeypatch.setattr("fairpull.tasks.bench.take.judged", look)
    return held


def test_references_are_earlier_counted_pulls_in_running_order(
    kept: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    held = noted(monkeypatch, aside=["odd"])
    take_files(kept, [sweep(tmp_path / "before.csv", "09:00:00")], "plain")
    take_files(kept, [sweep(tmp_path / "other.csv", "09:30:00")], "tube")
    late, odd, early = (
        sweep(tmp_path / f"{name}.csv", clock)
        for name, clock in (("late", "11:00:00"), ("odd", "10:30:00"), ("early", "10:00:00"))
    )
    report = take_files(kept, [late, odd, early], "plain")
    assert held == {
        "before": [],
        "other": [],
        "early": ["before"],
        "odd": ["before", "early"],
        "late": ["before", "early"],
    }
    assert [line.name for line in report.kept] == ["late", "odd", "early"]  # as they were given


def test_at_most_the_latest_references_are_taken(kept: Book, tmp_path: Path) -> None:
    logs = [sweep(tmp_path / f"p{n}.csv", f"10:{n:02d}:00") for n in range(REFERENCES + 2)]
    take_files(kept, logs, "plain")
    assert [one.pull.name for one in references_of(kept, "plain")] == [f"p{n}" for n in range(2, REFERENCES + 2)]
    assert len(references_of(kept, "plain", most=100)) == REFERENCES + 2
    assert references_of(kept, "tube") == []


def test_progress_is_told_of_each_new_file(kept: Book, tmp_path: Path) -> None:
    logs = [sweep(tmp_path / f"p{n}.csv", f"10:0{n}:00") for n in range(2)]
    told: list[tuple[str, int, int]] = []
    take_files(kept, logs, "plain", progress=lambda path, number, total: told.append((path.name, number, total)))
    assert told == [("p0.csv", 1, 2), ("p1.csv", 2, 2)]


def test_the_house_standard_corrects(kept: Book, tmp_path: Path) -> None:
    change_setting(kept, "standard", "din-70020")
    (line,) = take_files(kept, [sweep(tmp_path / "first.csv")], "plain").kept
    assert line.choices["correction"].startswith("din-70020, factor ")


def test_words_become_options() -> None:
    made = take_options({"by": "who"}, session="tuesday", inertia="0.2kg.m2", lags={"lambda_1": "300ms"})
    assert made == TakeOptions("tuesday", ReadOptions(by="who"), PullOptions(inertia=0.2, lags={"lambda_1": 0.3}))


def test_words_that_are_no_values_are_told_all_at_once(tmp_path: Path) -> None:
    with pytest.raises(ValueRefused) as refusal:
        take_options({}, inertia="heavy", lags={"lambda_1": "late"}, calibration=tmp_path / "no.csv")
    assert [fault.where for fault in refusal.value.faults][:2] == ["--lag lambda_1", "--inertia"]
    assert len(refusal.value.faults) == 3
    assert isinstance(refusal.value, FairpullError)


def bare(path: Path, clock: str = "10:00:00", *, columns: int = 3) -> Path:
    """A sweep whose logger knows nothing of the air, or only its pressure."""
    log = sweep(path, clock)
    lines = log.read_text("utf-8").splitlines()
    log.write_text("\n".join([lines[0], *(",".join(line.split(",")[:columns]) for line in lines[1:])]) + "\n", "utf-8")
    return log


def test_the_sessions_weather_fills_what_nobody_else_says(kept: Book, tmp_path: Path) -> None:
    """A logged barometer, a conditions.toml and an option each go before it, quantity by quantity."""
    keep_sheets(kept, [Sheet("session", "hot", {"weather": "1003 hPa 30 degC 50 %"})])
    options = TakeOptions(session="hot")
    (line,) = take_files(kept, [bare(tmp_path / "bare.csv")], "plain", options).kept
    assert line.given == Conditions(pressure=100300.0, temperature=303.15, relative_humidity=0.5)
    assert line.choices["given pressure"] == "from session hot"
    assert line.summary["factor"] != 1.0
    (logged,) = take_files(kept, [bare(tmp_path / "logged.csv", "10:05:00", columns=4)], "plain", options).kept
    assert (logged.given.pressure, logged.given.temperature) == (None, 303.15)
    (full,) = take_files(kept, [sweep(tmp_path / "full.csv", "10:10:00")], "plain", options).kept
    assert full.given == Conditions()
    said = replace(options, read=ReadOptions(given=Conditions(temperature=290.0, dew_point=280.0)))
    (option,) = take_files(kept, [bare(tmp_path / "option.csv", "10:15:00")], "plain", said).kept
    assert option.given == Conditions(pressure=100300.0, temperature=290.0, dew_point=280.0)
    (tmp_path / "conditions.toml").write_text('pressure = "99 kPa"\n', "utf-8")
    (beside,) = take_files(kept, [bare(tmp_path / "beside.csv", "10:20:00")], "plain", options).kept
    assert (beside.given.pressure, beside.given.temperature) == (99e3, 303.15)
    watched = replace(options, weather=Conditions(temperature=295.0))
    (filled,) = take_files(kept, [bare(tmp_path / "filled.csv", "10:25:00")], "plain", watched).kept
    assert filled.given.temperature == 295.0
    assert filled.choices["given temperature"] == "from option --weather"


def test_papers_among_the_logs_are_left_alone_with_a_note(kept: Book, tmp_path: Path) -> None:
    log = sweep(tmp_path / "p.csv")
    papers = [tmp_path / "conditions.toml", tmp_path / "photo.JPG"]
    for paper in papers:
        paper.write_text("", "utf-8")
    report = take_files(kept, [papers[0], log, papers[1]], "plain")
    assert [line.name for line in report.kept] == ["p"]
    (finding,) = report.findings
    assert (finding.code, finding.where) == ("not-a-log", "conditions.toml, photo.JPG")
    with pytest.raises(ReadRefused, match="no log among"):
        take_files(kept, papers, "plain")


def test_missing_folders_and_unreadable_files_are_told_together(kept: Book, tmp_path: Path) -> None:
    bad = tmp_path / "letter.csv"
    bad.write_text("Dear helper,\nno numbers.\n", "utf-8")
    with pytest.raises(ReadRefused) as refusal:
        take_files(kept, [tmp_path / "none.csv", bad, tmp_path], "plain")
    said = " ".join(fault.line() for fault in refusal.value.faults)
    assert "none.csv: No such file" in said
    assert "letter.csv" in said
    assert "a folder" in said


def test_weather_that_is_not_known_is_said_once(kept: Book, tmp_path: Path) -> None:
    (line,) = take_files(kept, [bare(tmp_path / "p.csv")], "plain").kept
    assert [finding.code for finding in line.findings].count("no-weather") == 1
