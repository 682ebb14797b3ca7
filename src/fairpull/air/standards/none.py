"""No correction: the observed value, in that room, on that day."""

from __future__ import annotations

import numpy as np

from fairpull.air.standard import Case, Standard
from fairpull.terms.arrays import Number


def _factor(case: Case) -> Number:
    return 1.0 + 0.0 * np.asarray(case.pressure)[()]


STANDARD = Standard(
    key="none",
    title="Observed, no correction",
    reference="the air of the pull itself",
    formula="1",
    factor=_factor,
    limits=(),
    charged="The observed value is kept for every kind of engine.",
    charged_covered=True,
    compression="own",
    sources=("practice",),
)
