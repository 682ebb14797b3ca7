"""Nothing that comes from outside makes a server error: drawn requests to every route, and a list of nasty words."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlsplit

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from starlette.testclient import TestClient

from fairpull.tasks.apart.registry import Works
from fairpull.web.app import create_app
from fairpull.web.shop import Shop
from tests.web.all_pages import AGAINST, BEGIN, BUILD, PULL, route_of
from tests.web.conftest import BASE, token_in

DRAWN = 6  # requests to each operation
NASTY = (
    "",
    "%00",
    "%ED%A0%80",  # half of a pair
    "%FF%FE",
    "1" + "0" * 400,
    "1e400",
    "-1e400",
    "nan",
    "%E2%80%AE%E2%80%8Ftxt.exe",
    "%F0%9F%94%A7" * 60,
    "x" * 3000,
    "..%2F..%2F..%2Fetc%2Fpasswd",
    "%3Cscript%3Ealert(1)%3C/script%3E",
    "%27%20OR%201%3D1%20--",
    "((((((((((",
    "4600-1800",
    "%0D%0Aset-cookie:%20a=b",
)
SENT = ("params", "data", "files", "content", "json")
"""What of a drawn request is sent on."""
KNOWN = {"name": BUILD, "kind": "build", "other": AGAINST, "chart": "curve"}


@pytest.fixture(scope="module")
def client(demo_book: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """A site of its own; an error inside comes back as an answer, and long work is not really begun."""
    folder = tmp_path_factory.mktemp("hold") / "book"
    shutil.copytree(demo_book, folder)
    patch = pytest.MonkeyPatch()
    patch.setattr(Works, "start", lambda *_, **__: "none")
    shop = Shop(folder)
    with TestClient(create_app(shop), base_url=BASE, raise_server_exceptions=False, follow_redirects=False) as made:
        token = token_in(made.get("/settings").text)
        made.headers.update({"x-token": token, "origin": BASE})
        yield made
    shop.close()
    patch.undo()


def operations(client: TestClient) -> list[Any]:
    """All operations of the pages as schemathesis knows them."""
    schemathesis = pytest.importorskip("schemathesis")
    described = client.app.openapi()  # type: ignore[attr-defined]
    loaded = schemathesis.openapi.from_dict(described)
    return [result.ok() for result in loaded.get_all_operations()]


def sent(client: TestClient, case: Any, *, known: bool) -> int:
    """The status that a drawn request gets; ``known`` puts a name that there is in the place of a drawn one."""
    path = case.operation.path
    if known and case.path_parameters:
        known_here = {**KNOWN, **({"kind": "json"} if "chart" in path else {})}
        known_here |= {"name": PULL} if path.startswith("/pulls") else {}
        case.path_parameters.update({key: known_here[key] for key in case.path_parameters if key in known_here})
    told = case.as_transport_kwargs(base_url=BASE)
    url, method = told.pop("url"), told.pop("method")
    kind = (told.get("headers") or {}).get("Content-Type", case.media_type)  # of parts: with their boundary
    told = {key: value for key, value in told.items() if key in SENT and value}
    if isinstance(told.get("data"), bytes):
        told["content"] = told.pop("data")
    headers = {"content-type": kind} if kind and "files" not in told else {}
    answer = client.request(method, url, headers=headers, **told)
    return int(answer.status_code)


def test_drawn_requests_to_every_route_find_no_server_error(client: TestClient) -> None:
    broken: dict[str, str] = {}
    asked = 0
    for operation in operations(client):

        @settings(
            max_examples=DRAWN,
            phases=[Phase.generate],
            derandomize=True,
            deadline=None,
            database=None,
            suppress_health_check=list(HealthCheck),
        )
        @given(case=operation.as_strategy())
        def hold(case: Any) -> None:
            nonlocal asked
            asked += 1
            status = sent(client, case, known=asked % 2 == 0)
            if status >= 500:
                broken.setdefault(f"{case.method} {case.operation.path}", f"{status} {case.as_curl_command()[:300]}")

        hold()
    assert asked > DRAWN
    assert broken == {}


def questions(client: TestClient) -> Iterator[tuple[str, list[str]]]:
    """A good address of each readable route, and the names of everything that can be asked there."""
    paths = client.app.openapi()["paths"]  # type: ignore[attr-defined]
    seen: set[str] = set()
    for url in BEGIN:
        route, parts = route_of(url), urlsplit(url)
        key = f"{route} {parts.query.count('of=')}"
        if not route or key in seen:
            continue
        seen.add(key)
        described = paths.get(route.replace(":path", ""), {}).get("get", {}).get("parameters", [])
        names = [one["name"] for one in described if one["in"] == "query"]
        names += [pair.partition("=")[0] for pair in parts.query.split("&") if pair]
        yield url, sorted({*names, "units", "theme"})


def test_nasty_words_in_every_question_find_no_server_error(client: TestClient) -> None:
    broken: list[str] = []
    for url, names in questions(client):
        path, _, query = url.partition("?")
        for name in names:
            kept = [pair for pair in query.split("&") if pair and pair.partition("=")[0] != name]
            for word in NASTY:
                address = f"{path}?{'&'.join([*kept, f'{name}={word}'])}"
                if client.get(address).status_code >= 500:
                    broken.append(address[:200])
    assert broken == []


def test_nasty_words_as_names_in_paths_find_no_server_error(client: TestClient) -> None:
    broken: list[str] = []
    for url in dict.fromkeys(urlsplit(one).path for one in BEGIN):
        parts = url.strip("/").split("/")
        for place in range(1, len(parts)):
            for word in NASTY:
                address = "/" + "/".join([*parts[:place], word or quote(" "), *parts[place + 1 :]])
                if client.get(address).status_code >= 500:
                    broken.append(address[:200])
    assert broken == []
