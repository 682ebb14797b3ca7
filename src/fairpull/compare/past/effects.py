"""From a comparison to an effect that can be pooled, and effects that rest on the same pulls."""

from __future__ import annotations

from collections.abc import Sequence

from fairpull.terms.comparison import Difference
from fairpull.terms.tuning import Effect

NORMAL = 1.959964  # a 95 % interval's half-width over its standard error


def effect_of(difference: Difference, *, name: str = "", per: float = 1.0, pulls: Sequence[str] = ()) -> Effect:
    """A comparison's band-average effect with its standard error.

    Args:
        difference: one build against its reference.
        name: label; "" names both builds.
        per: amount of the change where effects are per unit (boost [Pa]); 1 leaves the fraction of torque.
        pulls: names of the pulls of both sides, so that shared ones are seen.

    Returns:
        The effect, a fraction of torque or a fraction per unit.

    Source: own definition; half of the 95 % interval over the normal quantile.
    """
    mean = difference.mean_ratio
    error = (mean.high - mean.low) / (2.0 * NORMAL)
    label = name or f"{difference.other} against {difference.reference}"
    low, high = sorted((mean.low / per, mean.high / per))
    return Effect(label, mean.value / per, error / abs(per), difference.verdict.sentence, tuple(pulls), low, high)


def sharing(effects: Sequence[Effect]) -> tuple[tuple[str, ...], ...]:
    """Groups of effects that rest on common pulls, directly or through another effect.

    Args:
        effects: with their pulls.

    Returns:
        Names of each group of two or more, in order.

    Source: own definition (connected components).
    """
    groups: list[tuple[set[str], list[int]]] = []
    for place, effect in enumerate(effects):
        touching = [group for group in groups if group[0] & set(effect.pulls)]
        pulls = set(effect.pulls).union(*(group[0] for group in touching))
        places = sorted([place, *(one for group in touching for one in group[1])])
        groups = [group for group in groups if group not in touching] + [(pulls, places)]
    return tuple(tuple(effects[n].name for n in places) for _, places in groups if len(places) > 1)
