"""Words taken as typed come out as typer's own checking gives them, without the library it loads for that."""

from __future__ import annotations

import gc
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import typer
from typer.testing import CliRunner

from fairpull.cli import process
from fairpull.cli.plain import PlainCommand

WORDS = (
    ("a.csv", "b.csv", "--many", "x=1", "--many", "", "--where", "some/where", "--count", "3", "--size", "2.5"),
    ("a.csv", "--count", "-7", "--size", "1e3", "--flag"),
    ("a.csv",),
    ("a.csv", "--count", "three"),
    ("a.csv", "--count", "2.5"),
    ("a.csv", "--count", "٣"),
    ("a.csv", "--size", "wide"),
    ("a.csv", "--within", "9"),
    ("a.csv", "--within", "3"),
    ("a.csv", "--there", "no/such/file"),
    (),
)


def command(seen: list[Any], **how: Any) -> typer.Typer:
    app = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None)

    @app.command(**how)
    def one(
        files: list[Path] = typer.Argument(...),  # noqa: B008
        many: list[str] | None = typer.Option(None),  # noqa: B008
        where: Path | None = typer.Option(None),  # noqa: B008
        count: int | None = typer.Option(None),
        size: float = typer.Option(1.5),
        within: int = typer.Option(1, min=0, max=5),
        there: Path | None = typer.Option(None, exists=True),  # noqa: B008
        flag: bool = typer.Option(False, "--flag"),
    ) -> None:
        seen.append((files, many, where, count, size, within, there, flag))

    return app


@pytest.mark.parametrize("words", WORDS)
def test_values_and_refusals_are_typers_own(words: tuple[str, ...]) -> None:
    plain: list[Any] = []
    own: list[Any] = []
    one = CliRunner().invoke(command(plain, cls=PlainCommand), words)
    other = CliRunner().invoke(command(own), words)
    assert (one.exit_code, one.output) == (other.exit_code, other.output)
    assert plain == own
    assert [type(value) for values in plain for value in values] == [type(value) for values in own for value in values]


def test_a_command_runs_without_the_checking_library() -> None:
    code = (
        "import sys; from fairpull.cli.main import main; "
        "assert main(['air', '--pressure', '99kPa', '--temperature', '25degC', '--humidity', '40%']) == 0; "
        "assert 'numpy' in sys.modules; print(sorted({'pydantic', 'pint', 'polars', 'scipy'} & set(sys.modules)))"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.splitlines()[-1] == "[]"


@pytest.fixture
def _as_before() -> Iterator[None]:
    before = gc.get_threshold()
    yield
    gc.unfreeze()
    gc.set_threshold(*before)


@pytest.mark.usefixtures("_as_before")
def test_a_number_of_threads_that_was_set_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("OPENBLAS_NUM_THREADS", "3")
    process.start()
    assert os.environ["OPENBLAS_NUM_THREADS"] == "3"
    monkeypatch.delenv("OPENBLAS_NUM_THREADS")
    process.start()
    assert os.environ["OPENBLAS_NUM_THREADS"] == "1"


@pytest.mark.usefixtures("_as_before")
def test_leaving_carries_the_code() -> None:
    with pytest.raises(SystemExit) as leaving:
        process.leave(2)
    assert leaving.value.code == 2
