"""What all tests share: a fixed screen, reference data, a browser, the demo day, and where a book's catalogue lies."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, settings

if TYPE_CHECKING:
    from fairpull.tasks.demo_day import DemoResult
    from tests.catalogues import Catalogues
    from tests.postgres import Server

ROOT = Path(__file__).resolve().parents[1]

# Programs that tests start see this source tree, a fixed screen and no colours, whoever runs the tests.
os.environ["PYTHONPATH"] = str(ROOT / "src")
os.environ["COLUMNS"] = "80"
os.environ["NO_COLOR"] = "1"
for name in ("FORCE_COLOR", "PY_COLORS", "CLICOLOR_FORCE"):
    os.environ.pop(name, None)

# Property tests draw the same examples everywhere and are not timed: two workers share one machine.
settings.register_profile(
    "house", derandomize=True, deadline=None, database=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("house")


def pytest_configure(config: pytest.Config) -> None:
    """Declare the marks that the fixtures here understand."""
    config.addinivalue_line("markers", "sqlite_only(reason): a test of books that PostgreSQL cannot have, and why")


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Run what asks for catalogues once on each kind."""
    if "catalogues" in metafunc.fixturenames:
        from tests.catalogues import chosen

        kinds = chosen(metafunc.definition.get_closest_marker("sqlite_only"))
        metafunc.parametrize("catalogues", kinds, indirect=True, scope="session")


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """One PostgreSQL server a test process; each book has a schema of its own. Skips where none can be started."""
    from tests.postgres import new_server

    running = new_server()
    yield running
    running.stop()
    shutil.rmtree(running.home, ignore_errors=True)


@pytest.fixture(scope="session")
def catalogues(request: pytest.FixtureRequest) -> Catalogues:
    """Where books' catalogues lie: tests that ask for it run on SQLite and on PostgreSQL."""
    from tests.catalogues import POSTGRESQL, Catalogues

    return Catalogues(request.getfixturevalue("server") if request.param == POSTGRESQL else None)


@pytest.fixture(autouse=True)
def _books_lie_where_the_test_says(request: pytest.FixtureRequest) -> Iterator[None]:
    """Books that a test with ``catalogues`` makes without naming a database lie there."""
    if "catalogues" not in request.fixturenames:
        yield
        return
    kept: Catalogues = request.getfixturevalue("catalogues")
    with kept.used(clear=True):
        yield


@pytest.fixture(scope="session")
def reference_data() -> Path:
    """The folder of measured curves beside the project; tests that need it skip where it is absent."""
    folder = ROOT.parent / "shared" / "data"
    if not folder.is_dir():
        pytest.skip("the reference data folder (../shared/data) is not here")
    return folder


@pytest.fixture(scope="session")
def chromium() -> str:
    """Path of a Chromium to drive; browser tests skip where there is none."""
    for name in (os.environ.get("FAIRPULL_CHROMIUM", ""), "chromium", "chromium-browser", "google-chrome"):
        found = shutil.which(name) if name else None
        if found:
            return found
    pytest.skip("no Chromium here (Debian: apt-get install chromium; or name one in FAIRPULL_CHROMIUM)")


@pytest.fixture(scope="session")
def demo_day(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The invented day's raw logs, written once per test process. Tests read it and never write into it."""
    from fairpull import demo

    folder = tmp_path_factory.mktemp("demo") / "demo-day"
    demo.write_day(folder, seed=1)
    return folder


@pytest.fixture(scope="session")
def demo_in_files(tmp_path_factory: pytest.TempPathFactory) -> DemoResult:
    """The demo, run once a process. Tests read its folder and its book and never write into them."""
    from fairpull.tasks.demo_day import run_demo

    return run_demo(tmp_path_factory.mktemp("demo-run") / "day", 1)
