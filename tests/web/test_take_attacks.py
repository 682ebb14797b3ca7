"""Files from outside that are no friends: names, swelling containers, claims, noise."""

from __future__ import annotations

import io
import re
import time
import zipfile

import pytest
from starlette.testclient import TestClient

from tests.web.conftest import token_in
from tests.web.take_pages import GOOD, hand_in, stay_of, sweep

NAMES = (
    "../../../../etc/passwd",
    "..\\..\\windows\\system32\\a.csv",
    "/tmp/absolute.csv",
    ".hidden",
    "....",
    "-rf.csv",
    "<script>alert(1)</script>.csv",
    "a" * 500 + ".csv",
    "\u202eevil.csv",
    "ünïcödé grün.csv",
    "stay.json",
    "a.csv",
    "A.csv",
)


def test_no_name_from_outside_reaches_the_disk(own_pages: TestClient) -> None:
    page = hand_in(own_pages, [(name, f"{name} is no log".encode()) for name in NAMES])
    folder = stay_of(page).folder
    laid = sorted((folder / "files").iterdir())
    assert len(laid) == len({one.name.lower() for one in laid}) == len(NAMES)
    assert all(re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9_.-]{0,100}", one.name) for one in laid)
    assert {one.name for one in folder.iterdir()} == {"files", "stay.json", "look.json"}
    assert "<script>alert" not in page.text
    assert str(folder) not in page.text


def bomb(claim: int = 0) -> bytes:
    """A workbook with a sheet of 200 MB, or one that claims to be of 4 GB."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as made:
        made.writestr("xl/workbook.xml", "<workbook/>")
        made.writestr("xl/worksheets/sheet1.xml", b"0" if claim else b"0" * (200 << 20))
    content = bytearray(packed.getvalue())
    if claim:
        at = content.rfind(b"PK\x01\x02")
        content[at + 24 : at + 28] = claim.to_bytes(4, "little")
    return bytes(content)


BAD = {
    "bomb.xlsx": bomb(),
    "claim.xlsx": bomb(0xFFFFFFF0),
    "gz.csv": b"\x1f\x8b\x08\x00" + b"\x00" * 500,
    "empty.csv": b"",
    "noise.mf4": b"MDF     4.10    " + bytes(range(256)) * 40,
    "noise.parquet": b"PAR1" + bytes(range(256)) * 40 + b"PAR1",
    "deep.jsonl": b'{"a":' * 50_000 + b"1" + b"}" * 50_000,
}


def test_what_swells_or_is_no_log_is_refused_and_does_not_hide_the_others(own_pages: TestClient) -> None:
    began = time.monotonic()
    page = hand_in(own_pages, [*BAD.items(), ("good.csv", sweep(GOOD))])
    assert page.text.count("Cannot be kept like this") == len(BAD)
    assert "1 pull found" in page.text
    assert time.monotonic() - began < 30


def test_a_length_of_ten_gigabytes_is_refused_before_it_is_read(own_pages: TestClient) -> None:
    token = token_in(own_pages.get("/take").text)
    headers = {"origin": str(own_pages.base_url), "content-length": "10000000000", "x-token": token}
    assert own_pages.post("/take", content=b"x", headers=headers).status_code == 413


def test_too_many_files_and_too_large_ones_are_refused_at_once(
    own_pages: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    from fairpull.tasks.bench import stays

    monkeypatch.setattr(stays, "LARGEST", 1000)
    monkeypatch.setattr(stays, "MOST_FILES", 3)
    before = set(stays.STAYS._known)
    large = hand_in(own_pages, [("a.csv", b"x" * 2000), ("b.csv", b"x"), ("c.csv", b"x" * 3000)])
    assert large.status_code == 422
    assert "a.csv" in large.text
    assert "c.csv" in large.text
    many = hand_in(own_pages, [(f"{n}.csv", b"x") for n in range(5)])
    assert "5 files" in many.text
    assert set(stays.STAYS._known) == before
