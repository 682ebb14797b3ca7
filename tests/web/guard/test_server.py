"""The server itself, on a real port: what never ends is ended, and it stops when told."""

from __future__ import annotations

import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator

import pytest

from fairpull.terms.errors import ValueRefused
from fairpull.web.guard import server
from fairpull.web.guard.bodies import Limits
from fairpull.web.guard.doors import Doors, guarded
from tests.web.guard.asking import welcome

QUICK = 0.4  # [s] in place of the server's patience


@pytest.fixture
def port(monkeypatch: pytest.MonkeyPatch) -> Iterator[int]:
    """A running server that reads bodies."""
    monkeypatch.setattr(server, "HEADERS_WITHIN", QUICK)
    bound = server.bind("127.0.0.1", 0)
    taken = server.port_of(bound)
    ready = threading.Event()
    made = server.server_for(guarded(welcome, Doors(port=taken, limits=Limits(idle=QUICK))), ready.set)
    thread = threading.Thread(target=lambda: made.run(sockets=[bound]))
    thread.start()
    assert ready.wait(10)
    yield taken
    made.should_exit = True
    thread.join(10)
    assert not thread.is_alive()


def said(port: int, *pieces: bytes) -> bytes:
    """All that comes back until the server closes the connection."""
    with socket.create_connection(("127.0.0.1", port), timeout=10) as line:
        for piece in pieces:
            line.sendall(piece)
        return b"".join(iter(lambda: line.recv(65536), b""))


def head(port: int, first: str, *more: str) -> bytes:
    lines = [first, f"Host: 127.0.0.1:{port}", f"Origin: http://127.0.0.1:{port}", *more]
    return "\r\n".join([*lines, "", ""]).encode()


def test_it_answers_without_boasting(port: int) -> None:
    answer = said(port, head(port, "GET /today HTTP/1.1", "Connection: close"))
    assert answer.startswith(b"HTTP/1.1 200")
    assert b"uvicorn" not in answer.lower()
    assert b"boasting" not in answer


@pytest.mark.parametrize(
    "start", [b"", b"GET /today", b"GET /today HTTP/1.1\r\nHost: x\r\n", b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nA: "]
)
def test_headers_that_never_end_are_not_waited_for(port: int, start: bytes) -> None:
    began = time.monotonic()
    assert said(port, start) == b""
    assert QUICK * 0.5 < time.monotonic() - began < 5


def test_a_body_that_stops_is_answered_and_closed(port: int) -> None:
    answer = said(port, head(port, "POST /x HTTP/1.1", "Content-Length: 500"), b"a=1")
    assert answer.startswith(b"HTTP/1.1 408")


def test_a_claim_of_ten_gigabytes_is_answered_at_once(port: int) -> None:
    answer = said(port, head(port, "POST /take HTTP/1.1", "Content-Length: 10000000000"), b"x" * 1000)
    assert answer.startswith(b"HTTP/1.1 413")


def test_pieces_without_end_are_cut(port: int) -> None:
    pieces = [b"186a0\r\n" + b"x" * 100_000 + b"\r\n"] * 12
    with socket.create_connection(("127.0.0.1", port), timeout=10) as line:
        line.sendall(head(port, "POST /settings HTTP/1.1", "Transfer-Encoding: chunked"))
        try:
            for piece in pieces:
                line.sendall(piece)
        except OSError:
            return  # closed before all was sent
        try:
            answer = line.recv(65536)
        except ConnectionResetError:
            return
    assert answer == b"" or answer.startswith(b"HTTP/1.1 413")


@pytest.mark.parametrize(
    "first",
    [
        "GET /../../etc/passwd HTTP/1.1",
        "GET /%2e%2e/%2e%2e/etc/passwd HTTP/1.1",
        "GET /%00 HTTP/1.1",
        "GET http://x/ HTTP/1.1",
    ],
)
def test_ways_out_of_the_pages_are_refused(port: int, first: str) -> None:
    assert said(port, head(port, first)).startswith(b"HTTP/1.1 400")


def test_two_hosts_and_old_requests_without_one_are_refused(port: int) -> None:
    assert said(port, head(port, "GET / HTTP/1.1", "Host: rebound.example")).startswith(b"HTTP/1.1 400")
    assert said(port, b"GET / HTTP/1.0\r\n\r\n").startswith(b"HTTP/1.1 400")


def test_headers_without_bound_are_refused(port: int) -> None:
    assert said(port, head(port, "GET / HTTP/1.1", "Cookie: " + "a" * 20_000)).startswith(b"HTTP/1.1 431")
    try:
        answer = said(port, head(port, "GET / HTTP/1.1", "Cookie: " + "a" * 400_000))
    except ConnectionError:
        return  # closed before all was sent
    assert answer.startswith(b"HTTP/1.1 400")


def test_a_taken_port_is_refused_with_a_way_out(port: int) -> None:
    with pytest.raises(ValueRefused) as error:
        server.bind("127.0.0.1", port)
    assert error.value.faults[0].code == "port-taken"
    assert "--port 0" in error.value.faults[0].remedy


@pytest.mark.parametrize(
    ("host", "number", "code"),
    [
        ("127.0.0.1", 70000, "port"),
        ("127.0.0.1", -1, "port"),
        ("192.0.2.1", 0, "not-our-address"),
        ("no such host", 0, "not-our-address"),
        ("\u00e9" * 80, 0, "not-our-address"),
    ],
)
def test_what_cannot_be_bound_is_refused(host: str, number: int, code: str) -> None:
    with pytest.raises(ValueRefused) as error:
        server.bind(host, number)
    assert error.value.faults[0].code == code


def test_names_of_this_machine() -> None:
    assert all(map(server.is_this_machine, ("127.0.0.1", "localhost", "LOCALHOST", "::1", "[::1]")))
    assert not any(map(server.is_this_machine, ("0.0.0.0", "::", "192.0.2.7", "bench.shop", "")))
    assert server.names_for("192.0.2.7") == ("192.0.2.7",)
    assert server.names_for("[2001:db8::1]") == ("2001:db8::1",)
    assert socket.gethostname().lower() in server.names_for("0.0.0.0")


ALONE = """
from fairpull.web.guard import server
from fairpull.web.guard.doors import guarded
from tests.web.guard.asking import welcome
with server.bind("127.0.0.1", 0) as bound:
    server.run(guarded(welcome), bound, lambda: print("ready", flush=True))
print("tidied up", flush=True)
"""


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_it_stops_when_told_and_leaves_time_to_tidy_up(number: signal.Signals) -> None:
    with subprocess.Popen([sys.executable, "-c", ALONE], stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "ready\n"
        process.send_signal(number)
        assert process.stdout.readline() == "tidied up\n"
        assert process.wait(10) == 0
