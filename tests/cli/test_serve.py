"""fairpull serve in a process of its own, and the passwords that open it to a network."""

from __future__ import annotations

import io
import signal
import socket
import stat
import subprocess
import sys
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from fairpull.cli.commands import serve
from fairpull.tasks.bench.door import new_book
from fairpull.tasks.shop.passwords import read_passwords, role_of, set_password
from tests.cli.conftest import Ran

Run = Callable[..., Ran]
WRITER = "the dyno is dry"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    with new_book(tmp_path / "bench"):
        return tmp_path / "bench"


@contextmanager
def serving(*words: str | Path, where: Path | None = None) -> Iterator[tuple[subprocess.Popen[str], list[str]]]:
    """A server and what it said until it was ready to be stopped."""
    command = [sys.executable, "-m", "fairpull", "serve", "--port", "0", "--no-open", *map(str, words)]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=where, stdin=subprocess.DEVNULL
    ) as process:
        assert process.stdout is not None
        said: list[str] = []
        try:
            while not (said and said[-1].startswith("stop with")):
                line = process.stdout.readline()
                if not line:
                    assert process.stderr is not None
                    pytest.fail(process.stderr.read())
                said.append(line.rstrip())
            yield process, said
        finally:
            if process.poll() is None:
                process.kill()


def fetched(address: str) -> tuple[int, str]:
    try:
        with urllib.request.urlopen(address, timeout=30) as answer:
            return answer.status, answer.read().decode("utf-8")
    except urllib.error.HTTPError as error:
        with error:
            return error.code, error.read().decode("utf-8")


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_it_says_where_the_pages_are_serves_them_and_stops(book: Path, number: signal.Signals) -> None:
    with serving("--book", book) as (process, said):
        label, _, address = said[0].partition("  ")
        assert label == "pages:"
        assert address.startswith("http://127.0.0.1:")
        status, text = fetched(address)
        assert status == 200
        assert "<h1" in text
        process.send_signal(number)
        assert process.wait(20) == 0
        assert process.stderr is not None
        assert process.stderr.read().splitlines() == ["serve ended"]


def test_without_a_book_the_first_page_offers_one(tmp_path: Path) -> None:
    with serving(where=tmp_path) as (_, said):
        status, text = fetched(said[0].partition("  ")[2])
    assert status == 200
    assert "/first" in text
    assert list(tmp_path.iterdir()) == []


def test_a_taken_port_is_refused(book: Path, run: Run) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        refused = run("serve", "--book", book, "--port", str(taken.getsockname()[1])).refusals
    assert len(refused) == 1
    assert "[port-taken]" in refused[0]
    assert "--port 0" in refused[0]


def test_a_network_wants_a_password_first(book: Path, run: Run) -> None:
    for words in (("--host", "0.0.0.0"), ("--behind-proxy",)):
        refused = run("serve", "--book", book, "--port", "0", *words).refusals
        assert "[no-password]" in refused[0]
        assert f"fairpull book password writes --book {book}" in refused[0]


def test_names_that_no_browser_asks_for_are_refused_all_at_once(book: Path, run: Run) -> None:
    refused = run("serve", "--book", book, "--name", "a b", "--name", "bench.shop", "--name", "http://x/").refusals
    assert [line.count("[no-host-name]") for line in refused] == [1, 1]


def test_a_folder_to_watch_must_be_there(book: Path, run: Run, tmp_path: Path) -> None:
    refused = run("serve", "--book", book, "--port", "0", "--watch", tmp_path / "none").refusals
    assert "[no-such-folder]" in refused[0]


def test_on_a_network_it_warns_names_the_phones_address_and_asks_for_the_password(book: Path) -> None:
    set_password(book, "writes", WRITER)
    with serving("--book", book, "--host", "0.0.0.0", "--name", "bench.shop") as (_, said):
        text = " ".join(said)
        assert "phone:  http://" in text
        assert "unencrypted" in text
        port = said[0].rstrip("/").rpartition(":")[2]
        status, page = fetched(f"http://127.0.0.1:{port}/today")
    assert status == 200
    assert 'type="password"' in page
    assert "/static/" in page


def test_the_password_comes_from_standard_input(book: Path, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO(f"{WRITER}\nmore\n"))
    said = run("book", "password", "writes", "--from-stdin", "--book", book)
    assert (said.code, said.out) == (0, f"password of writes: {book / 'shop.toml'}\n")
    assert role_of(read_passwords(book), WRITER) == "writes"
    assert stat.S_IMODE((book / "shop.toml").stat().st_mode) == 0o600


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(
    ("typed", "code"),
    [((WRITER, WRITER), ""), ((WRITER, "other words"), "password-mistyped"), (("x", "x"), "password-short")],
)
def test_on_a_terminal_it_is_typed_twice(
    book: Path, run: Run, monkeypatch: pytest.MonkeyPatch, typed: tuple[str, str], code: str
) -> None:
    left = list(typed)
    monkeypatch.setattr(sys, "stdin", Terminal())
    monkeypatch.setattr("getpass.getpass", lambda prompt: left.pop(0))
    said = run("book", "password", "reads", "--book", book)
    if code:
        assert f"[{code}]" in said.refusals[0]
        assert not (book / "shop.toml").exists()
    else:
        assert role_of(read_passwords(book), WRITER) == "reads"


def test_without_a_terminal_it_says_what_to_add(book: Path, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    assert "--from-stdin" in run("book", "password", "reads", "--book", book).refusals[0]
    assert "[no-such-role]" in run("book", "password", "all", "--book", book).refusals[0]


def test_addresses_are_written_as_a_browser_takes_them() -> None:
    assert serve._address("::1", 8700) == "http://[::1]:8700/"
    assert serve._address("[2001:db8::1]", 8700) == "http://[2001:db8::1]:8700/"
    assert serve._address("bench.shop", 80) == "http://bench.shop:80/"
