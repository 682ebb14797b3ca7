"""fairpull compare: words in, a verdict out, or refusals that say what to do."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest

import fairpull.show
from fairpull.air import STANDARDS
from tests.cli.conftest import Ran
from tests.tasks.small import write, write_build, write_engine

SCHEMA = Path(fairpull.show.__file__).parent / "schema" / "comparison-1.json"
Run = Callable[..., Ran]


@pytest.fixture
def judge(run: Run, small_day: Path) -> Callable[..., Ran]:
    """Compare the two small builds with some options."""
    return lambda *options: run("compare", small_day / "log", small_day / "header", *options)


@pytest.fixture
def data(judge: Callable[..., Ran]) -> Callable[..., Any]:
    """The same as a JSON document."""

    def ask(*options: str | Path) -> Any:
        ran = judge("--json", *options)
        assert ran.code == 0, ran.err
        return json.loads(ran.out)

    return ask


def test_the_verdict_comes_first(judge: Callable[..., Ran]) -> None:
    ran = judge()
    assert ran.code == 0
    assert ran.out.startswith("header ")
    assert "log" in ran.out.splitlines()[0]
    assert ran.err == ""
    assert max(map(len, ran.out.splitlines())) <= 80


def test_json_is_json_only_and_keeps_its_schema(judge: Callable[..., Ran]) -> None:
    ran = judge("--json")
    assert (ran.code, ran.err) == (0, "")
    document = json.loads(ran.out)
    jsonschema.validate(document, json.loads(SCHEMA.read_text("utf-8")))
    assert document["choices"]["method"].startswith("mixed model of log torque")


def test_units_change_what_is_shown_and_no_number(judge: Callable[..., Ran], data: Callable[..., Any]) -> None:
    us, metric = judge().out, judge("--units", "metric").out
    assert "lb-ft" in us
    assert "lb-ft" not in metric
    assert "N m" in metric
    numbers = [data("--units", name) for name in ("us", "metric")]
    assert [one["differences"] for one in numbers[:1]] == [one["differences"] for one in numbers[1:]]
    (line,) = judge("--units", "imperial").refusals
    assert line == "refused: --units: 'imperial' [units] -> use us or metric"


def test_a_report_stands_alone_and_its_place_is_told(judge: Callable[..., Ran], tmp_path: Path) -> None:
    place = tmp_path / "new" / "out.html"
    ran = judge("--report", place)
    assert ran.code == 0
    assert ran.err == f"report: {place}\n"
    page = place.read_text("utf-8")
    assert "<script src=" not in page
    assert "header" in page
    assert [path.name for path in place.parent.iterdir()] == ["out.html"]


def test_pictures_of_every_chart_in_every_kind(judge: Callable[..., Ran], tmp_path: Path) -> None:
    ran = judge("--pictures", tmp_path, "--step", "500rpm")
    assert ran.code == 0
    written = sorted(path.name for path in tmp_path.iterdir())
    assert {path.rpartition(".")[2] for path in written} == {"png", "svg", "pdf", "csv"}
    assert sorted(line.removeprefix("picture: ").rpartition("/")[2] for line in ran.err.splitlines()) == written


def test_a_place_that_cannot_be_written_is_refused(judge: Callable[..., Ran], tmp_path: Path) -> None:
    taken = tmp_path / "file"
    taken.write_text("", "utf-8")
    ran = judge("--report", taken / "out.html")
    assert ran.code == 2
    assert ran.err.startswith("refused: ")
    assert "[no-access]" in ran.err
    assert "Traceback" not in ran.err


def test_band_smallest_and_step(data: Callable[..., Any], judge: Callable[..., Ran]) -> None:
    found = data("--band", "2500-4000 rpm", "--smallest", "0.5%", "--step", "250rpm")
    assert (found["band"]["low"], found["band"]["high"]) == (2500.0, 4000.0)
    assert found["question"]["smallest"]["value"] == 0.005
    assert found["grid_step"]["value"] == 250.0
    refusals = judge("--band", "4000-2500", "--smallest", "0.5", "--step", "0rpm").refusals
    assert [line.split(":")[1].strip() for line in refusals] == ["--step", "--band", "--smallest"]


def test_a_question_is_quoted_with_the_verdict(judge: Callable[..., Ran], tmp_path: Path) -> None:
    question = tmp_path / "asked.toml"
    question.write_text('question = "Does the tube header pay?"\nexpectation = "two per cent"\n', "utf-8")
    ran = judge("--question", question)
    assert "Does the tube header pay?" in ran.out
    assert "two per cent" in ran.out
    question.write_text('questoin = "?"\nband = "low"\nsmallest = "50 %"\n', "utf-8")
    assert len(judge("--question", question).refusals) == 3


def test_valid_to_leave_out_and_their_refusals(data: Callable[..., Any], judge: Callable[..., Ran]) -> None:
    found = data("--valid-to", "header-1=4000rpm", "--leave-out", "log-2=fuel ran out")
    assert found["choices"]["counts only up to"] == "header-1: 4000 rpm"
    assert found["choices"]["left out"] == "log-2: fuel ran out"
    assert len(found["pulls"]) == 5
    (line,) = judge("--leave-out", "log-9=hot").refusals
    assert "use one of log-0, log-1, log-2, header-0, header-1, header-2" in line
    assert "[no-equals]" in judge("--leave-out", "log-1").refusals[0]
    assert "[no-reason]" in judge("--leave-out", "log-1=").refusals[0]
    assert len(judge("--valid-to", "log-9=4000rpm", "--leave-out", "x=y").refusals) == 2


def test_order_and_looks(data: Callable[..., Any], judge: Callable[..., Ran]) -> None:
    order = "header-0, log-0, header-1, log-1, header-2, log-2"
    found = data("--order", order, "--look", "2", "--planned-looks", "3")
    assert ", ".join(row["pull"] for row in found["pulls"]) == order
    assert found["choices"]["looks"].startswith("look 2 of 3 planned")
    assert "[order-incomplete]" in judge("--order", "log-0").refusals[0]
    assert "[look-out-of-plan]" in judge("--look", "4", "--planned-looks", "3").refusals[0]
    assert "[looks-without-look]" in judge("--planned-looks", "3").refusals[0]


def test_standard_by_name_or_refused_with_the_nearest(data: Callable[..., Any], judge: Callable[..., Ran]) -> None:
    assert data("--standard", "din-70020")["standard"] == "din-70020"
    (line,) = judge("--standard", "din70020").refusals
    assert "did you mean din-70020?" in line
    assert all(key in line for key in STANDARDS)


@pytest.mark.parametrize(
    "words",
    ["29.235inHg 68degF 40%", "99 kPa 20 degC 40 %", "990 mbar 293.15K 0.935 kPa", "40% 20degC 99000Pa"],
)
def test_weather_by_hand_in_many_spellings(run: Run, tmp_path: Path, words: str) -> None:
    builds = [write_build(tmp_path, name, gain, 1, weather=None) for name, gain in (("log", 1.0), ("header", 1.02))]
    ran = run("compare", *builds, "--json", "--step", "500rpm", "--weather", words)
    row = json.loads(ran.out)["pulls"][0]
    assert row["pressure"]["value"] == pytest.approx(99e3, abs=15.0)
    assert row["temperature"]["value"] == pytest.approx(293.15, abs=0.01)
    assert row["vapour_pressure"]["value"] == pytest.approx(935.0, abs=3.0)
    assert row["factor"]["value"] != 1.0


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ("29.62", "weather-word"),
        ("29.62inHg 68degF 56", "weather-word"),
        ("29.62inHg 68degF 20degC", "weather-twice"),
        ("99kPa 1kPa 1kPa", "weather-twice"),
        ("29.62inHg 68degF 156%", "humidity-as-percent"),
        ("29.62psi 68degF 56%", "weather-impossible"),
        ("sunny", "weather-word"),
    ],
)
def test_weather_that_is_none_is_refused(judge: Callable[..., Ran], words: str, code: str) -> None:
    assert all(f"[{code}]" in line for line in judge("--weather", words).refusals)


def test_no_weather_is_a_finding_and_a_named_standard_then_a_refusal(run: Run, tmp_path: Path) -> None:
    logs = [write(tmp_path / f"{name}.csv", gain, weather=None) for name, gain in (("a", 1.0), ("b", 1.02))]
    ran = run("compare", *logs)
    assert ran.code == 0
    assert "no-weather" in ran.out
    (line,) = run("compare", *logs, "--standard", "iso-1585").refusals
    assert "[weather-unknown]" in line


def test_engine_for_all_or_for_each_build(data: Callable[..., Any], judge: Callable[..., Ran], tmp_path: Path) -> None:
    eight = write_engine(tmp_path / "eight.toml")
    four = write_engine(tmp_path / "four.toml", cylinders=4)
    assert "log: eight 5.655 L" in data("--engine", eight)["choices"]["engine"]
    unlike = data("--engine", f"log={eight}", "--engine", f"header={four}")["choices"]["engine"]
    assert unlike == "log: eight 5.655 L; header: four 2.827 L"
    assert "name one of the groups: log, header" in judge("--engine", f"hedaer={four}").refusals[0]
    assert "[file-unreadable]" in judge("--engine", tmp_path / "nix.toml").refusals[0]


def test_a_rating_laid_beside(data: Callable[..., Any], judge: Callable[..., Ran], tmp_path: Path) -> None:
    rating = tmp_path / "ratings.csv"
    rows = "".join(f"{who},{rpm},{310 - rpm / 500}\n" for who in "ab" for rpm in (2500, 3500, 4500))
    rating.write_text("who,rpm,torque [N m]\n" + rows, "utf-8")
    found = data("--declared", rating, "--declared-by", "who")
    assert [curve["name"] for curve in found["declared"]] == ["a", "b"]
    assert found["differences"] == data()["differences"]
    assert "declared-unstated" in judge("--declared", rating, "--declared-by", "who").out
    stated = data(
        "--declared", rating, "--declared-by", "who", "--declared-standard", "sae-j1349", "--declared-basis", "net"
    )
    assert stated["declared"][0]["findings"] == []
    assert "[unknown-standard]" in judge("--declared", rating, "--declared-standard", "j1349").refusals[0]
    assert "[basis]" in judge("--declared", rating, "--declared-basis", "brutto").refusals[0]


def test_calibration_inertia_and_lag(judge: Callable[..., Ran], data: Callable[..., Any], tmp_path: Path) -> None:
    weights = tmp_path / "weights.csv"
    weights.write_text("hung [N m],read [N m]\n" + "".join(f"{n},{n + 5}\n" for n in range(0, 401, 40)), "utf-8")
    plain, all_, one = data(), data("--calibration", weights), data("--calibration", f"log={weights}")

    def means(found: Any) -> list[float]:
        return [group["mean_torque"]["value"] for group in found["groups"]]

    moved = [[a - b for a, b in zip(means(plain), means(other), strict=True)] for other in (all_, one)]
    assert moved[0] == pytest.approx([5.0, 5.0], abs=0.1)  # factors are within 2 % of 1
    assert moved[1] == pytest.approx([5.0, 0.0], abs=0.1)
    refusals = judge("--calibration", tmp_path / "nix.csv", "--inertia", "0.2", "--lag", "lambda=soon").refusals
    assert len(refusals) == 3
    assert "[no-equals]" in judge("--lag", "lambda").refusals[0]
    assert "without a clock" in data("--lag", "lambda=0.3s")["choices"]["lags"]


def test_one_table_split_into_builds(run: Run, reference_data: Path) -> None:
    table = reference_data / "turbo-petrol-vs-natural-gas" / "full_load_bmep.csv"
    ran = run("compare", table, "--by", "fuel", "--displacement", "1.991L", "--json")
    found = json.loads(ran.out)
    assert [group["name"] for group in found["groups"]] == ["gasoline", "natural_gas"]
    assert found["differences"][0]["verdict"]["kind"] == "cannot tell"


def test_nothing_there_is_refused_for_each_word(run: Run, small_day: Path) -> None:
    assert len(run("compare", small_day / "nix", small_day / "nought").refusals) == 2
    assert "[same-group-name]" in run("compare", small_day / "log", small_day / "log").refusals[0]
    assert "[one-group]" in run("compare", small_day / "log").refusals[0]
