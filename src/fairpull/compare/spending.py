"""Looking after every pull: how much of the error allowance each look may spend."""

from __future__ import annotations

import math

from fairpull.terms.errors import Fault, ValueRefused

ALPHA = 0.05


def level_at(look: int, planned_looks: int | None, alpha: float = ALPHA) -> float:
    """Error probability that one look may use.

    With a planned number of looks the allowance follows the Pocock-type spending function
    ``a(t) = alpha ln(1 + (e - 1) t)`` at ``t = look / planned_looks``; each look uses its increment. Without a plan
    look k uses ``alpha / (k (k + 1))``, which adds up to alpha over any number of looks. Using the increments as they
    stand is Bonferroni's bound: never too narrow, a little wide.

    Args:
        look: number of this look, 1 for the first.
        planned_looks: how many looks were planned; None when open-ended.
        alpha: error probability over all looks together.

    Returns:
        Error probability for this look; a single planned look gets all of ``alpha``.

    Raises:
        ValueRefused: look below 1, or beyond the plan.

    Source: lan-demets-1983, section 2 (Pocock-type function); open-ended rule own, by Bonferroni's inequality.
    """
    if look < 1 or (planned_looks is not None and look > planned_looks):
        raise ValueRefused(
            Fault(
                "look-out-of-plan",
                "look",
                f"look {look} of {planned_looks}",
                "count looks from 1 up to the plan",
            )
        )
    if planned_looks is None:
        return alpha / (look * (look + 1.0))

    def spent(share: float) -> float:
        return alpha * math.log(1.0 + (math.e - 1.0) * share)

    return spent(look / planned_looks) - spent((look - 1) / planned_looks)
