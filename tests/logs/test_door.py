"""The door: what comes back from any file, how it is named, split, hashed; and that nothing but a refusal is raised."""

from __future__ import annotations

import hashlib
import json
import tempfile
from collections.abc import Iterable
from pathlib import Path

import numpy as np
import polars as pl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fairpull import logs
from fairpull.logs import door
from fairpull.logs.options import ReadOptions
from fairpull.logs.signals import climbs
from fairpull.logs.table import LateColumns
from fairpull.terms.errors import FairpullError, ReadRefused
from fairpull.terms.recording import Recording
from tests.logs.small_log import GOOD, ROWS, SPEED, TIME, TORQUE, about, codes, read, refused, write

PIECES = st.sampled_from(
    [
        "rpm",
        "torque",
        "time",
        "Nm",
        "[s]",
        "1.5",
        "1,5",
        "2000",
        "-",
        "nan",
        ",",
        ";",
        "\t",
        "\n",
        "\r\n",
        '"',
        "{",
        "}",
        "#",
    ]
)


def read_or_refusal(path: Path) -> Recording | FairpullError:
    try:
        return logs.read(path)[0]
    except FairpullError as error:
        return error


@settings(max_examples=150, suppress_health_check=[HealthCheck.too_slow])
@given(st.one_of(st.binary(max_size=300), st.lists(PIECES, max_size=80).map(lambda words: "".join(words).encode())))
def test_any_file_is_read_or_refused(content: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.csv"
        path.write_bytes(content)
        outcome = read_or_refusal(path)
        if isinstance(outcome, FairpullError):
            assert outcome.faults
            assert all(fault.remedy and fault.where for fault in outcome.faults)
        else:
            assert "rpm" in outcome.channels


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_a_spoiled_log_is_read_or_refused(data: st.DataObject) -> None:
    """A good log with one piece of it replaced by anything."""
    rows = [",".join(GOOD), *(f"{t:.2f},{n:.1f},{m:.2f}" for t, n, m in zip(TIME, SPEED, TORQUE, strict=True))]
    whole = ("\n".join(rows) + "\n").encode()
    start = data.draw(st.integers(0, len(whole) - 1))
    length = data.draw(st.integers(0, 40))
    spoiled = whole[:start] + data.draw(st.binary(max_size=40)) + whole[start + length :]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.csv"
        path.write_bytes(spoiled)
        outcome = read_or_refusal(path)
        if not isinstance(outcome, FairpullError):
            assert len({len(values) for values in outcome.channels.values()}) == 1


def test_a_large_file_is_hashed_beside_the_reading(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(door, "INLINE", 100)
    path = write(tmp_path, GOOD)
    (found,) = logs.read(path)
    assert found.origin.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()


def test_a_long_table_is_split_by_words_or_numbers(tmp_path: Path) -> None:
    path = tmp_path / "long.csv"
    rows = [f"{label},{n},{number},{n / 20}" for label, number in (("b", 7), ("a", 9)) for n in (2000, 3000, 4000)]
    path.write_text("fuel,rpm,case no,torque [N m]\n" + "\n".join(rows) + "\n", "utf-8")
    assert [part.name for part in logs.read(path, ReadOptions(by="fuel"))] == ["b", "a"]
    parts = logs.read(path, ReadOptions(by="case no"))
    assert [part.name for part in parts] == ["7", "9"]
    assert all(part.channels["rpm"].tolist() == [2000, 3000, 4000] for part in parts)
    (whole,) = logs.read(path)
    (finding,) = (finding for finding in whole.findings if finding.code == "several-curves")
    assert "--by fuel" in finding.remedy
    assert "several-curves" not in {finding.code for finding in parts[0].findings}


def test_rows_that_are_not_measured_are_named(tmp_path: Path) -> None:
    columns: dict[str, Iterable[object]] = {
        "rpm": SPEED,
        "torque [N m]": TORQUE,
        "note": ["measured"] * (ROWS - 2) + ["extension point"] * 2,
    }
    found = read(tmp_path, columns)
    (finding,) = (finding for finding in found.findings if finding.code == "points-not-measured")
    assert f"rows {ROWS}, {ROWS + 1}" in finding.text


def test_a_controllers_log_is_kept_for_joining(tmp_path: Path) -> None:
    found = read(tmp_path, {"Time [s]": TIME, "Speed [rpm]": SPEED, "Lambda": about(0.87)})
    (finding,) = (finding for finding in found.findings if finding.code == "torque-missing")
    assert finding.severity == "fault"
    assert "no-torque" in refused(tmp_path, {"Time [s]": TIME, "Speed [rpm]": SPEED, "Baro [kPa]": about(99)})


def test_a_part_load_map_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "map.csv"
    rows = [f"{n},{load}" for n in (1000, 2000, 3000, 4000) for load in range(0, 200, 20)]
    path.write_text("rpm,torque [N m]\n" + "\n".join(rows) + "\n", "utf-8")
    with pytest.raises(ReadRefused) as error:
        logs.read(path)
    assert error.value.faults[0].code == "part-load-map"


def test_held_steps_are_no_map(tmp_path: Path) -> None:
    steps: dict[str, list[float]] = {"rpm": [2000 + 500 * (at // 10) for at in range(ROWS)], "torque [N m]": TORQUE}
    assert read(tmp_path, steps).kind == "table"


def test_the_weather_that_is_missing_is_named(tmp_path: Path) -> None:
    found = read(tmp_path, GOOD | {"Baro [kPa]": about(99)})
    (finding,) = (finding for finding in found.findings if finding.code == "no-weather")
    assert "temperature" in finding.text
    assert "pressure" not in finding.text


def test_json_lines_with_a_table_of_units_and_values_of_the_day(tmp_path: Path) -> None:
    path = tmp_path / "log.jsonl"
    head = {"Operator": "somebody", "Baro": "29.62 inHg", "units": {"torque": "lb-ft", "t": "ms"}}
    samples = [{"t": 1000 * t, "rpm": n, "torque": m} for t, n, m in zip(TIME, SPEED, TORQUE, strict=True)]
    samples[4]["torque"] = "n/a"  # type: ignore[assignment]
    path.write_text("\n".join(json.dumps(row) for row in [head, *samples]) + "\n", "utf-8")
    (found,) = logs.read(path)
    np.testing.assert_allclose(found.channels["time"], TIME, atol=1e-12)
    assert found.channels["torque"][0] == pytest.approx(1.3558179483314004 * TORQUE[0], rel=1e-14)
    assert np.isnan(found.channels["torque"][4])
    assert found.given.pressure == pytest.approx(29.62 * 3386.38864034, rel=1e-9)


def test_parquet_types_and_field_units(tmp_path: Path) -> None:
    import pyarrow as pa
    import pyarrow.parquet as pq

    path = tmp_path / "log.parquet"
    schema = pa.schema(
        [
            pa.field("t", pa.timestamp("ms")),
            pa.field("rpm", pa.int32()),
            pa.field("torque", pa.float32(), metadata={"unit": "lb-ft"}),
            pa.field("Throttle [%]", pa.decimal128(5, 2)),
        ]
    )
    frame = pl.DataFrame({"t": [round(1000 * t) for t in TIME], "rpm": [round(n) for n in SPEED], "torque": TORQUE})
    table = frame.with_columns(pl.lit(99.5).alias("Throttle [%]")).to_arrow().cast(schema)
    pq.write_table(table, path)
    (found,) = logs.read(path)
    np.testing.assert_allclose(found.channels["time"], TIME, atol=1e-9)
    np.testing.assert_allclose(found.channels["torque"], 1.3558179483314004 * np.array(TORQUE), rtol=1e-6)
    np.testing.assert_allclose(found.channels["throttle"], 0.995, rtol=1e-12)
    assert found.channels["rpm"].dtype == np.float64
    assert codes(found) == set()


def test_late_columns_are_made_once_and_only_when_asked() -> None:
    made: list[str] = []

    def make(name: str) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
        made.append(name)
        return np.zeros(3)

    columns = LateColumns({"a": lambda: make("a"), "b": lambda: make("b")})
    assert list(columns) == ["a", "b"]
    assert made == []
    assert columns["a"] is columns["a"]
    assert made == ["a"]
    assert list(columns.only(["b"])) == ["b"]
    assert "a" not in columns.only(["b"])


@pytest.mark.parametrize(
    ("speeds", "count"),
    [([1000, 2000, 3000], 1), ([1000, 3000, 1000, 3000], 2), ([3000, 2000, 1000], 0), ([1000, 1001, 1002], 0), ([], 0)],
)
def test_climbs(speeds: list[float], count: int) -> None:
    assert climbs(np.array(speeds, dtype=np.float64)) == count
