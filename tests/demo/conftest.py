from __future__ import annotations

import pytest

from fairpull.demo import DemoDay, write_day


@pytest.fixture(scope="session")
def demo_day(tmp_path_factory: pytest.TempPathFactory) -> DemoDay:
    return write_day(tmp_path_factory.mktemp("demo") / "demo-day")
