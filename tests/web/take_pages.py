"""Handing files in through the pages as a browser does: forms as they stand, works followed to their end."""

from __future__ import annotations

import io
import re
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import html5lib
from starlette.testclient import TestClient

from fairpull.tasks.bench.door import the_book
from fairpull.tasks.bench.stay_files import Stay
from fairpull.tasks.bench.stays import STAYS
from tests.web.conftest import posted

LOG = "anvil-log"
PATIENCE = 60.0
HEAD = "clock [s],shaft,load on arm [furlongs]"
GOOD = "clock [s],rpm,torque [N m]"


def sweep(head: str = HEAD, rows: int = 400) -> bytes:
    """A sweep of 20 s with full load from 2 to 17 s; by default its names and units say nothing."""
    lines = [head]
    for n in range(rows):
        t = n * 0.05
        rpm = 1500 + 200 * min(max(t - 2.0, 0.0), 15.0)
        torque = (250 + 40 * ((rpm - 1500) / 3000)) * (1.0 if 2.0 < t < 17.0 else 0.05)
        lines.append(f"{t:.2f},{rpm + 3 * (n % 2):.1f},{torque + 0.3 * (n % 3):.2f}")
    return "\n".join(lines).encode()


def begun(client: TestClient, files: Sequence[tuple[str, bytes]], **data: str) -> Any:
    """The answer to files that are handed in."""
    sent = [("files", (name, io.BytesIO(content))) for name, content in files]
    return posted(client, "/take", {"build": LOG, **data}, page="/take", files=sent)


def hand_in(client: TestClient, files: Sequence[tuple[str, bytes]], **data: str) -> Any:
    """Hand files in, and wait until they were looked at."""
    return settled(client, begun(client, files, **data))


def settled(client: TestClient, answer: Any) -> Any:
    """Follow to where a work leads."""
    until = time.monotonic() + PATIENCE
    while answer.status_code == 303:
        url = answer.headers["location"]
        answer = client.get(url, follow_redirects=False)
        while answer.status_code == 200 and "data-hx-trigger" in answer.text and url.startswith("/works/"):
            assert time.monotonic() < until, "the work never ended"
            time.sleep(0.15)
            answer = client.get(url, follow_redirects=False)
    return answer


def fields(html: str) -> dict[str, str]:
    """The form's fields as a browser would send them."""
    tree = html5lib.parse(html, namespaceHTMLElements=False)
    form = next(one for one in tree.iter("form") if one.get("id") == "take-look")
    found: dict[str, str] = {}
    for one in form.iter():
        name = one.get("name")
        if not name or one.tag == "button":
            continue
        if one.tag == "select":
            options = list(one.iter("option"))
            chosen = next((opt for opt in options if opt.get("selected") is not None), options[0])
            found[name] = chosen.get("value", "".join(chosen.itertext()))
        elif one.tag == "textarea":
            found[name] = "".join(one.itertext())
        elif one.get("type") != "checkbox" or one.get("checked") is not None:
            found[name] = one.get("value", "")
    return found


def send(client: TestClient, page: Any, do: str, changed: dict[str, str] | None = None) -> Any:
    """Send the form of a page with some fields changed."""
    told = {**fields(page.text), **(changed or {}), "do": do}
    url = re.search(r'action="(/take/[^"]+)"', page.text)
    assert url, "no form on this page"
    headers = {"origin": str(client.base_url).rstrip("/")}
    return settled(client, client.post(url[1], data=told, headers=headers, follow_redirects=False))


def row_of(page: Any, column: str, file: int = 0) -> str:
    """Number of a column's row in the form of a file."""
    found = re.search(rf'id="f{file}-r(\d+)">{re.escape(column)}<', page.text)
    assert found, f"no row of {column}"
    return found[1]


def overruled(page: Any, file: int = 0, unit: str = "lb-ft") -> dict[str, str]:
    """What a person who knows the logger types about ``sweep()``."""
    shaft, load = row_of(page, "shaft", file), row_of(page, "load on arm", file)
    return {f"f{file}.c{shaft}": "rpm", f"f{file}.c{load}": "torque", f"f{file}.u{load}": unit}


def stay_of(page: Any) -> Stay:
    """The stay that a page is about."""
    return STAYS._known[urlsplit(str(page.url)).path.rpartition("/")[2]]


def names(folder: Path) -> list[str]:
    """Names of all pulls of a book."""
    with the_book(folder, read_only=True) as kept:
        return [line.name for line in kept.pulls()]
