"""fairpull read: what a log holds and how it was understood."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import jsonschema

import fairpull.show
from tests.cli.conftest import Ran
from tests.tasks.small import write

SCHEMA = Path(fairpull.show.__file__).parent / "schema" / "recordings-1.json"
Run = Callable[..., Ran]


def test_each_column_and_its_reason(run: Run, tmp_path: Path) -> None:
    ran = run("read", write(tmp_path / "a.csv"), write(tmp_path / "b.csv"))
    assert (ran.code, ran.err) == (0, "")
    for word in ("a.csv", "b.csv", "rpm", "torque", "barometer", "inlet_temperature", "relative_humidity"):
        assert word in ran.out
    assert max(map(len, ran.out.splitlines())) <= 80


def test_json_keeps_its_schema_with_and_without_values(run: Run, tmp_path: Path) -> None:
    path = write(tmp_path / "a.csv")
    schema = json.loads(SCHEMA.read_text("utf-8"))
    plain, whole = (run("read", path, "--json", *more) for more in ((), ("--values",)))
    for ran in (plain, whole):
        assert ran.code == 0
        jsonschema.validate(json.loads(ran.out), schema)
    assert "208.0" not in plain.out
    assert len(whole.out) > len(plain.out)


def test_options_overrule_what_was_recognised(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_text("rpm,twist,oil\n2000,200,1\n3000,210,2\n4000,190,3\n", "utf-8")
    assert run("read", path).code == 2
    found = run("read", path, "--column", "twist=torque", "--unit", "twist=lb-ft", "--json", "--values")
    assert found.code == 0
    (recording,) = json.loads(found.out)["recordings"]
    mapped = {row["column"]: row for row in recording["columns"]} if "columns" in recording else {}
    assert not mapped or mapped["twist"]["channel"] == "torque"
    assert "271.16" in found.out  # 200 lb-ft in N m
    assert "[no-equals]" in run("read", path, "--column", "twist").refusals[0]


def test_all_refused_files_are_named(run: Run, tmp_path: Path) -> None:
    (tmp_path / "empty.csv").write_text("", "utf-8")
    refusals = run("read", tmp_path / "empty.csv", write(tmp_path / "a.csv"), tmp_path / "nix.csv").refusals
    assert [name in line for name, line in zip(("empty.csv", "nix.csv"), refusals, strict=True)] == [True, True]


def test_the_demos_formats(run: Run, demo_day: Path) -> None:
    paths = sorted((demo_day / "anvil-log").glob("0*"))
    ran = run("read", *paths, "--units", "metric")
    assert ran.code == 0
    assert {path.suffix for path in paths} == {".txt", ".csv", ".parquet"}
    assert all(path.name in ran.out for path in paths)
