"""Every sniffer against every sample: exactly one claims, all give a reason."""

from __future__ import annotations

from pathlib import Path

import pytest

from fairpull import logs
from fairpull.logs import sniff
from fairpull.logs.options import ReadOptions
from fairpull.terms.errors import ReadRefused, UnknownName

SAMPLES = Path(__file__).parents[1] / "samples"
ENDINGS = {
    ".csv": "delimited",
    ".txt": "delimited",
    ".log": "delimited",
    ".dat": "delimited",
    ".jsonl": "jsonlines",
    ".parquet": "parquet",
    ".xlsx": "workbook",
    ".ods": "workbook",
    ".mf4": "mdf",
}
LOGS = sorted(path for path in SAMPLES.rglob("*") if path.suffix in ENDINGS)
EACH = pytest.mark.parametrize("path", LOGS, ids=lambda path: path.name)


def head(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(65536)


def test_every_format_has_a_sample() -> None:
    assert {ENDINGS[path.suffix] for path in LOGS} == set(sniff.FORMATS)


@EACH
def test_exactly_one_claims_and_all_give_a_reason(path: Path) -> None:
    said = sniff.opinions(path, head(path))
    assert [name for name, opinion in said.items() if opinion.claims] == [ENDINGS[path.suffix]]
    assert all(len(opinion.reason) > 8 for opinion in said.values())


@EACH
def test_the_name_does_not_matter(path: Path, tmp_path: Path) -> None:
    renamed = tmp_path / "log.bin"
    renamed.write_bytes(path.read_bytes())
    assert ENDINGS[path.suffix] == sniff.choose(renamed, head(renamed))[0].NAME


@pytest.mark.parametrize("name", sniff.FORMATS)
def test_each_module_is_called_what_it_is_listed_as(name: str) -> None:
    assert name == sniff.format_named(name).NAME


def test_a_named_format_is_not_sniffed() -> None:
    path = SAMPLES / "sweep_plain.csv"
    module, reason = sniff.choose(path, head(path), "parquet")
    assert (module.NAME, reason) == ("parquet", "named by the person")
    with pytest.raises(ReadRefused) as error:
        logs.read(path, ReadOptions(format="parquet"))
    assert error.value.faults[0].code == "parquet-damaged"


@pytest.mark.parametrize(
    ("asked", "nearest"),
    [("csv", "delimited"), (".xlsx", "workbook"), ("delimitted", "delimited"), ("mf4", "mdf"), ("parket", "parquet")],
)
def test_an_unknown_format_lists_the_others_and_the_nearest(asked: str, nearest: str) -> None:
    with pytest.raises(UnknownName) as error:
        sniff.format_named(asked)
    remedy = error.value.faults[0].remedy
    assert remedy.startswith(f"nearest: {nearest};")
    assert all(name in remedy for name in sniff.FORMATS)


def test_what_nobody_claims_is_refused_with_all_reasons(tmp_path: Path) -> None:
    path = tmp_path / "picture.csv"
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(200))
    with pytest.raises(ReadRefused) as error:
        logs.read(path)
    (fault,) = error.value.faults
    assert "a PNG picture" in fault.seen
    assert all(f"{name}: " in fault.seen for name in sniff.FORMATS)
