"""All detectors over one pull."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from fairpull.health.decide import decide
from fairpull.health.limits import DEFAULTS, HealthLimits
from fairpull.health.signs import ALL
from fairpull.health.view import View, make_view
from fairpull.terms.engine import Engine
from fairpull.terms.health import SIGN_KINDS, HealthReport, Sign, Unseen
from fairpull.terms.pull import Pull

Seen = Sign | Unseen | None | tuple[Sign | Unseen, ...]
Detector = Callable[[View], Seen]
TOO_SHORT = "more than a handful of samples over a range of speed"


def look(
    pull: Pull,
    *,
    engine: Engine | None = None,
    references: Sequence[Pull] = (),
    factor: float = 1.0,
    reference_factors: Sequence[float] = (),
    limits: HealthLimits = DEFAULTS,
) -> HealthReport:
    """Look for signs of trouble in a pull.

    Args:
        pull: cleaned, from its first row to its last (or to ``valid_to``).
        engine: for displacement, fuel, cylinders and induction.
        references: earlier counted pulls of the same build, in running order; without any, what needs them says so.
        factor: corrected torque = observed x factor, for this pull.
        reference_factors: the same of each reference; empty: 1 for all.
        limits: what is allowed.

    Returns:
        The signs, one a cause; what could not be looked at; what was.
    """
    names = tuple(one.name for one in references)
    view = make_view(
        pull,
        engine=engine,
        references=references,
        factor=factor,
        reference_factors=reference_factors,
        limits=limits,
    )
    if view is None:
        blind = tuple(Unseen(kind, (TOO_SHORT,), f"needs {TOO_SHORT}") for kind in SIGN_KINDS)
        return HealthReport(pull.name, (), blind, (), names)
    signs: list[Sign] = []
    unseen: list[Unseen] = []
    for detector in ALL:
        seen = detector(view)
        for one in seen if isinstance(seen, tuple) else (seen,):
            if isinstance(one, Sign):
                signs.append(one)
            elif isinstance(one, Unseen):
                unseen.append(one)
    blind_kinds = {one.kind for one in unseen} - {one.kind for one in signs}
    looked = tuple(kind for kind in SIGN_KINDS if kind not in blind_kinds)
    return HealthReport(
        pull.name, decide(signs), tuple(one for one in unseen if one.kind in blind_kinds), looked, names
    )
