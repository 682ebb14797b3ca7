"""On a network: no page without a log-in, no change by readers, no way to another site."""

from __future__ import annotations

from pathlib import Path

import pytest
from fastapi import Depends, FastAPI, Form, Request
from starlette.types import ASGIApp

from fairpull.tasks.shop.passwords import set_password
from fairpull.web.guard.doors import Doors, guarded
from fairpull.web.guard.logins import local_next, try_log_in
from fairpull.web.guard.visits import need_token, token_of, visit_of
from tests.web.guard.asking import HOST, ORIGIN, Answer, ask, scope_of

FORM = ("content-type", "application/x-www-form-urlencoded")
READER, WRITER = "the brake is wet", "the dyno is dry"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("book")
    set_password(made, "reads", READER)
    set_password(made, "writes", WRITER)
    return made


def pages(folder: Path | None) -> ASGIApp:
    app = FastAPI()

    @app.get("/log-in")
    @app.get("/today")
    def page(request: Request) -> str:
        return token_of(request)

    @app.post("/log-in", dependencies=[Depends(need_token)])
    async def log_in(request: Request, password: str = Form("")) -> str:
        outcome = await try_log_in(request, password)
        return f"{outcome.role or outcome.wait}"

    @app.post("/log-out", dependencies=[Depends(need_token)])
    def log_out(request: Request) -> str:
        visit_of(request).log_out()
        return "out"

    @app.api_route("/today", methods=["POST", "PUT", "PATCH", "DELETE"], dependencies=[Depends(need_token)])
    def change() -> str:
        return "changed"

    return guarded(app, Doors(open_to_network=True, folder=folder))


class Browser:
    """Keeps cookies."""

    def __init__(self, app: ASGIApp, client: str = "192.0.2.1") -> None:
        self.app, self.client = app, client
        self.jar: dict[str, str] = {}

    def ask(self, path: str, *headers: tuple[str, str], method: str = "GET", body: str = "", query: str = "") -> Answer:
        cookie = ("cookie", "; ".join(f"{name}={value}" for name, value in self.jar.items()))
        own = (ORIGIN, FORM) if method != "GET" else ()
        scope = scope_of(path, [HOST, *own, cookie, *headers], method=method, client=self.client, query=query)
        answer = ask(self.app, scope, [body.encode()])
        for set_cookie in answer.cookies:
            name, _, value = set_cookie.partition(";")[0].partition("=")
            self.jar[name] = value
        return answer

    def token(self) -> str:
        return self.ask("/log-in").text.strip('"')

    def post(self, path: str, fields: str = "", method: str = "POST") -> Answer:
        return self.ask(path, method=method, body=f"token={self.token()}&{fields}")

    def log_in(self, password: str) -> str:
        return self.post("/log-in", f"password={password.replace(' ', '+')}").text.strip('"')


def test_a_stranger_is_sent_to_the_log_in_and_told_where_to_go_on(folder: Path) -> None:
    browser = Browser(pages(folder))
    answer = browser.ask("/today", query="big=1&q=a%26b")
    assert answer.status == 303
    assert answer.header("location") == "/log-in?next=%2Ftoday%3Fbig%3D1%26q%3Da%2526b"
    assert browser.ask("/").header("location") == "/log-in"
    assert browser.ask("/no/such/page").status == 303
    assert browser.ask("/today", ("hx-request", "true")).header("hx-redirect") == "/log-in"
    assert browser.ask("/compare/chart/a.svg", ("sec-fetch-dest", "image")).status == 401
    assert browser.ask("/today", method="POST").status == 401
    assert browser.ask("/openapi.json", ("sec-fetch-dest", "empty")).status == 401


def test_the_password_says_the_role(folder: Path) -> None:
    app = pages(folder)
    writer, reader, guesser = Browser(app), Browser(app), Browser(app)
    assert writer.log_in(WRITER) == "writes"
    assert reader.log_in(READER) == "reads"
    assert guesser.log_in("something else") == "0"
    assert [one.ask("/today").status for one in (writer, reader, guesser)] == [200, 200, 303]
    for method in ("POST", "PUT", "PATCH", "DELETE"):
        assert [one.post("/today", method=method).status for one in (writer, reader, guesser)] == [200, 403, 401]


def test_names_from_before_the_log_in_are_worth_nothing_after_it(folder: Path) -> None:
    browser = Browser(pages(folder))
    browser.token()
    before = dict(browser.jar)
    browser.jar["fairpull-8700-session"] = "chosen-by-somebody-else"
    token = browser.token()
    assert browser.log_in(WRITER) == "writes"
    assert browser.jar["fairpull-8700-session"] != "chosen-by-somebody-else"
    assert browser.jar["fairpull-8700-visit"] != before["fairpull-8700-visit"]
    assert browser.ask("/today", method="POST", body=f"token={token}").status == 403
    stale = Browser(browser.app)
    stale.jar = before
    assert stale.ask("/today").status == 303


def test_a_second_log_in_ends_the_first(folder: Path) -> None:
    browser = Browser(pages(folder))
    browser.log_in(WRITER)
    first = Browser(browser.app)
    first.jar = dict(browser.jar)
    browser.log_in(READER)
    assert first.ask("/today").status == 303


def test_logged_out_is_out(folder: Path) -> None:
    browser = Browser(pages(folder))
    browser.log_in(READER)
    kept = Browser(browser.app)
    kept.jar = dict(browser.jar)
    answer = browser.post("/log-out")
    assert answer.text == '"out"'
    assert any("Max-Age=0" in cookie for cookie in answer.cookies)
    assert [one.ask("/today").status for one in (browser, kept)] == [303, 303]


def test_a_session_belongs_to_its_visit(folder: Path) -> None:
    browser = Browser(pages(folder))
    browser.log_in(WRITER)
    thief = Browser(browser.app)
    thief.jar = {"fairpull-8700-session": browser.jar["fairpull-8700-session"]}
    assert thief.ask("/today").status == 303


def test_another_password_logs_out_who_came_with_the_one_before(folder: Path, tmp_path: Path) -> None:
    set_password(tmp_path, "reads", READER)
    set_password(tmp_path, "writes", WRITER)
    app = pages(tmp_path)
    writer, reader = Browser(app), Browser(app)
    writer.log_in(WRITER)
    reader.log_in(READER)
    set_password(tmp_path, "writes", "the dyno is drier")
    assert [one.ask("/today").status for one in (writer, reader)] == [303, 200]
    (tmp_path / "shop.toml").write_text("broken", "utf-8")
    assert reader.ask("/today").status == 303


def test_without_a_password_nobody_gets_in(tmp_path: Path) -> None:
    browser = Browser(pages(tmp_path))
    assert browser.log_in("") == "0"
    assert Browser(pages(None)).log_in("") == "0"
    assert browser.ask("/today").status == 303


def test_guessing_is_slowed_and_the_right_one_waits_too(folder: Path) -> None:
    browser = Browser(pages(folder))
    assert [browser.log_in("wrong password") for _ in range(5)][-1] == "1"
    assert browser.log_in(WRITER) == "1"
    assert Browser(browser.app, "192.0.2.2").log_in(WRITER) == "writes"


@pytest.mark.parametrize("given", ["/", "/today?big=1&q=a%20b", "/compare?of=A&of=B", "/pulls/http%3A%2F%2Fx"])
def test_a_local_way_on_is_taken(given: str) -> None:
    assert local_next(given) == given


@pytest.mark.parametrize(
    "given",
    [
        *(
            "",
            "today",
            "//rebound.example",
            "///rebound.example",
            "/\\rebound.example",
            "\\\\rebound.example",
            "http://x/",
        ),
        *("javascript:alert(1)", "/\t/rebound.example", "/\n/rebound.example", " /today", "/a b", "/\u00e9", "/\x00"),
        *("/log-in?next=/log-in", "/log-out", "http:/today", "//[", "/" + "a" * 9000),
    ],
)
def test_another_way_on_leads_to_the_first_page(given: str) -> None:
    assert local_next(given) == "/"
