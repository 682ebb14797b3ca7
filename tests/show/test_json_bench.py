"""Pulls, health, loops and comparisons of the book as strict JSON with units."""

from __future__ import annotations

import json
from typing import Any

import pytest

from fairpull.show.json_bench import health_to_json, pulls_to_json, summary_unit
from fairpull.show.json_fair import fair_json_text
from fairpull.show.json_parts import dumps
from fairpull.show.json_tune import tune_to_json
from fairpull.terms.health import HealthReport
from tests.show import bench_days


def strict(text: str) -> dict[str, Any]:
    def refuse(word: str) -> None:
        raise AssertionError(f"{word} is no JSON")

    found: dict[str, Any] = json.loads(text, parse_constant=refuse)
    return found


def test_pulls_as_a_document() -> None:
    found = strict(dumps(pulls_to_json(bench_days.lines(), "metric")))
    assert (found["schema"], found["schema_version"]) == ("fairpull/kept-pulls", 1)
    one, limited, aside, old = found["pulls"]
    assert one["summary"]["peak_power"] == {"value": 118300.0, "unit": "W"}
    assert one["summary"]["peak_power_rpm"] == {"value": 4400.0, "unit": "rpm"}
    assert one["summary"]["factor"] == {"value": 0.9912, "unit": "1"}
    assert one["figures"]["oil_temperature"] == {"least": 360.0, "mean": 365.0, "most": 369.0, "unit": "K"}
    assert one["figures"]["exhaust_temperature_5"]["unit"] == "K"
    assert one["file"] == {"name": "02-baseline.csv", "sha256": "ab" * 32, "piece": 0}
    assert limited["valid_to"] == {"value": 5050.0, "unit": "rpm"}
    assert limited["health"]["signs"][0]["counts_to"]["value"] == 5050.0
    assert (aside["state"], aside["reason"].split(":")[0]) == ("set aside", "fuel-starvation")
    assert (old["health"], old["summary"]) == (None, {})


@pytest.mark.parametrize(
    ("name", "unit"),
    [
        ("peak_power", "W"),
        ("observed_peak_power", "W"),
        ("mean_torque", "N m"),
        ("observed_peak_torque", "N m"),
        ("peak_torque_rpm", "rpm"),
        ("rpm_low", "rpm"),
        ("rpm_high", "rpm"),
        ("factor", "1"),
        ("duration", "s"),
        ("sweep_rate", "rpm/s"),
    ],
)
def test_every_summary_figure_has_its_unit(name: str, unit: str) -> None:
    assert summary_unit(name) == unit


def test_health_as_a_document() -> None:
    reports = [line.health for line in bench_days.lines() if line.health is not None]
    found = strict(dumps(health_to_json(reports)))
    assert found["schema"] == "fairpull/health"
    second = found["pulls"][1]
    assert second["signs"][0]["kind"] == "valve-float"
    assert second["signs"][0]["severity"] == "fault"
    assert second["references"] == ["first", "second"]
    assert second["not_looked_at"][0] == {"kind": "knock", "missing": ["knock"], "text": "needs a knock level"}
    assert second["looked_at"] == ["valve-float"]
    assert strict(dumps(health_to_json([HealthReport("p", (), (), ())])))["pulls"][0]["signs"] == []


@pytest.mark.parametrize(("kind", "unit"), [("spark", "rad"), ("mixture", "1")])
def test_loops_as_a_document(kind: str, unit: str) -> None:
    found = strict(dumps(tune_to_json(bench_days.tune(kind))))
    assert (found["schema"], found["kind"], found["build"]) == ("fairpull/tune", kind, "anvil-log")
    whole, _, empty = found["loops"]
    assert whole["next"]["unit"] == whole["points"]["setting"]["unit"] == unit
    assert whole["best_torque"]["unit"] == "N m"
    assert whole["points"]["knock"]["values"] == [None, None, None]
    assert empty["best"] is None
    assert empty["fit"]["setting"]["values"] == []
    assert found["cautions"]
    assert "safe" not in dumps(tune_to_json(bench_days.tune(kind)))


def test_a_comparison_from_the_book_is_the_plain_document_with_more() -> None:
    found = strict(fair_json_text(bench_days.fair()))
    assert found["schema"] == "fairpull/comparison"
    (ledger,) = found["ledgers"]
    assert ledger["summary"].startswith("Under test: exhaust")
    ((name, (look,)),) = found["fair_looks"].items()
    assert name == "header"
    assert look["ratio"]["values"] == [0.01, 0.03]
    assert look["ratio"]["low"] == pytest.approx([0.0, 0.02])
    assert look["ratio"]["high"] == pytest.approx([0.02, 0.04])
    assert look["mean"]["value"] == 0.02
    assert found["boost"] == []


def test_words_from_files_are_only_text() -> None:
    found = strict(dumps(pulls_to_json(bench_days.hostile_lines())))
    assert found["pulls"][0]["name"] == bench_days.HOSTILE
