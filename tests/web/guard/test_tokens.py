"""Signs that only this process can make."""

from __future__ import annotations

import pytest
from fastapi import Depends, FastAPI, Request
from starlette.types import ASGIApp

from fairpull.web.guard.doors import Doors, guarded
from fairpull.web.guard.tokens import Seal, new_name
from fairpull.web.guard.visits import need_token, token_of
from tests.web.guard.asking import HOST, ORIGIN, Answer, ask, scope_of

FORM = ("content-type", "application/x-www-form-urlencoded")


def pages() -> ASGIApp:
    app = FastAPI()

    @app.get("/form")
    def form(request: Request) -> str:
        return token_of(request)

    @app.post("/form", dependencies=[Depends(need_token)])
    def change() -> str:
        return "changed"

    return guarded(app)


def visited(app: ASGIApp, scheme: str = "http") -> tuple[str, str]:
    """Cookies and token of a new visit."""
    answer = ask(app, scope_of("/form", scheme=scheme))
    return answer.cookie_pairs(), answer.text.strip('"')


def change(app: ASGIApp, cookie: str, body: str, *headers: tuple[str, str]) -> Answer:
    scope = scope_of("/form", [HOST, ORIGIN, FORM, ("cookie", cookie), *headers], method="POST")
    return ask(app, scope, [body.encode()])


def test_a_form_of_the_visit_changes_things() -> None:
    app = pages()
    cookie, token = visited(app)
    assert change(app, cookie, f"token={token}").status == 200
    assert change(app, cookie, "", ("x-token", token)).status == 200


def test_without_the_visits_own_token_nothing_changes() -> None:
    app = pages()
    cookie, token = visited(app)
    other_cookie, other = visited(app)
    assert other != token
    for body in (
        "",
        "token=",
        f"token={other}",
        f"token={token}x",
        f"token={token[:-1]}",
        "token=%C3%A9",
        f"tok={token}",
    ):
        assert change(app, cookie, body).status == 403, body
    assert change(app, other_cookie, f"token={token}").status == 403
    assert change(app, "", f"token={token}").status == 403
    assert change(app, cookie, "", ("x-token", other)).status == 403
    assert change(app, cookie, "token=" + "x" * 5000).status == 403


def test_another_process_made_other_signs() -> None:
    cookie, token = visited(pages())
    assert change(pages(), cookie, f"token={token}").status == 403


def test_a_visit_keeps_its_cookie_and_a_forged_one_is_replaced() -> None:
    app = pages()
    cookie, token = visited(app)
    again = ask(app, scope_of("/form", [HOST, ("cookie", cookie)]))
    assert again.cookies == []
    assert again.text.strip('"') == token
    forged = cookie[:-1] + ("A" if cookie[-1] != "A" else "B")
    assert ask(app, scope_of("/form", [HOST, ("cookie", forged)])).cookies


def test_a_cookie_that_a_neighbour_laid_beside_ours_does_not_hide_it() -> None:
    app = pages()
    cookie, token = visited(app)
    name = cookie.partition("=")[0]
    assert change(app, f"{name}=bad; {cookie}", f"token={token}").status == 200
    assert change(app, f"{cookie}; {name}=bad", f"token={token}").status == 200


def test_cookies_are_for_the_server_and_its_own_pages_only() -> None:
    cookie = ask(pages(), scope_of("/form")).cookies[0]
    assert cookie.startswith("fairpull-8700-visit=")
    assert {"HttpOnly", "SameSite=Strict", "Path=/"} <= set(cookie.split("; "))
    assert "Secure" not in cookie
    assert "Domain" not in cookie
    behind = guarded(FastAPI(), Doors(names=("bench.shop",), behind_proxy=True))
    told = [("host", "bench.shop"), ("x-forwarded-proto", "https")]
    secure = ask(behind, scope_of("/log-in", told)).cookies[0]
    assert secure.startswith("__Host-fairpull-visit=")
    assert "Secure" in secure.split("; ")


def test_what_never_changes_gets_no_cookie() -> None:
    assert ask(pages(), scope_of("/static/pages.css")).cookies == []


@pytest.mark.parametrize(
    "cookie", ["", ".", "x.y", "a" * 24, "a" * 24 + ".", "a" * 24 + ".\u00e9", "\udc80.", "a\x00." * 9]
)
def test_cookies_from_outside_name_no_visit(cookie: str) -> None:
    assert Seal().visit(cookie) == ""


def test_a_sign_is_for_one_purpose() -> None:
    seal, visit = Seal(), new_name()
    assert seal.visit(seal.cookie(visit)) == visit
    assert not seal.good_token(seal.cookie(visit).partition(".")[2], visit)
    assert seal.visit(f"{visit}.{seal.token(visit)}") == ""
    assert seal.token(visit, "a") != seal.token(visit, "b")
    assert not seal.good_token(seal.token(""), "")
