"""Whatever channels a log has, and whatever holes: the detectors answer, and never with a number that is none."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from fairpull.health.signs import (
    belt_slip,
    boost_creep,
    boost_shortfall,
    brake_water,
    coolant_window,
    exhaust_restriction,
    flow_lambda,
    fuel_starvation,
    intake_restriction,
    knock,
    mixture_lean,
    mixture_rich,
    oil_window,
    reversion,
)
from fairpull.health.view import make_view
from fairpull.terms.health import SIGN_KINDS, Sign
from fairpull.terms.pull import Pull
from tests.health.plain_pull import channels, engine, pull

MODULES = (
    fuel_starvation,
    knock,
    mixture_rich,
    mixture_lean,
    belt_slip,
    boost_creep,
    boost_shortfall,
    exhaust_restriction,
    intake_restriction,
    flow_lambda,
    reversion,
    oil_window,
    coolant_window,
    brake_water,
)
KEPT = ("time", "rpm", "torque")


def torn(random: np.random.Generator, seed: int, kind: str) -> Pull:
    """A pull whose channels are missing, holed, stuck or cut short at random."""
    table = channels(seed, kind)
    size = table["rpm"].size
    table["boost"] = 3e4 * random.standard_normal() + 2e3 * random.standard_normal(size)
    table["blower_rpm"] = 5.0 * table["rpm"]
    table = {name: values for name, values in table.items() if name in KEPT or random.random() < 0.7}
    for name, values in table.items():
        fate = random.random()
        if name not in KEPT and fate < 0.1:
            values[:] = values[0]
        elif name not in KEPT and fate < 0.25 and kind == "sweep":
            values[random.random(size) < 0.5 * random.random()] = np.nan
    first = int(random.integers(0, size // 2))
    return replace(pull(seed=seed, kind=kind), channels={name: values[first:] for name, values in table.items()})


@pytest.mark.parametrize("seed", range(40))
def test_every_detector_answers(seed: int) -> None:
    random = np.random.default_rng(seed)
    kind = "steps" if seed % 4 == 0 else "sweep"
    references = [torn(random, 100 + seed + n, kind) for n in range(seed % 3)]
    induction = ("natural", "belt", "turbo", "turbo-held")[seed % 4]
    view = make_view(
        torn(random, seed, kind), engine=None if seed % 5 == 0 else engine(induction), references=references
    )
    assert view is not None
    for module in MODULES:
        assert set(module.KINDS) <= set(SIGN_KINDS)
        seen = module.look(view)
        if isinstance(seen, Sign):
            assert seen.kind in module.KINDS
            assert math.isfinite(seen.size)
            assert view.rpm[0] <= seen.low <= seen.high <= view.rpm[-1]
            assert "nan" not in seen.evidence
            assert "<" not in seen.evidence
