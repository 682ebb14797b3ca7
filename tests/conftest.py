"""What all tests share: a fixed screen, the folder of reference data, a browser, the demo day."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

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
