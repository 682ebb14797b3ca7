"""Per density ratio: torque of each build over how dense its compressor made the charge."""

from __future__ import annotations

import numpy as np

from fairpull.compare.fairness.boost import charge_at, inlet_loss_of, is_boosted
from fairpull.compare.fairness.missing import cannot
from fairpull.compare.fairness.sides import Sides, nodes, plain_ratio, plain_words, ratio_band, same_size, torque_at
from fairpull.compare.fairness.wording import mean_over, more_or_less, per_cent
from fairpull.terms.arrays import FloatArray
from fairpull.terms.comparison import Estimate
from fairpull.terms.ledger import FairLook

NAME = "per density ratio"
ASSUMPTION = (
    "Torque goes with the density of the charge, so friction and drive power are left in; a naturally aspirated build "
    "counts with a ratio of 1"
)


def applies(sides: Sides) -> bool:
    """Was at least one build boosted, on an engine of the same size?

    Args:
        sides: the builds.

    Returns:
        True where the view has a meaning.
    """
    return (is_boosted(sides.reference) or is_boosted(sides.other)) and same_size(sides)


def torque_per_density(torque: FloatArray, density_ratio: FloatArray) -> FloatArray:
    """Torque that would be left with the density of the air before the compressor.

    Args:
        torque: shape (g,) [N m].
        density_ratio: shape (g,) [1].

    Returns:
        Torque over density ratio [N m], shape (g,).

    Source: practice (normalise torque by density ratio).
    """
    per: FloatArray = torque / density_ratio
    return per


def per_density(sides: Sides) -> FairLook:
    """Compare torque over density ratio.

    Args:
        sides: the builds.

    Returns:
        The view along engine speed.

    Raises:
        NotComparable: a density ratio cannot be had from what was logged or declared.

    Source: practice (normalise torque by density ratio).
    """
    rpm = nodes(sides)
    mine, theirs = charge_at(sides.reference, rpm), charge_at(sides.other, rpm)
    plain, low, high = plain_ratio(sides, rpm)
    scale = mine.density_ratio / theirs.density_ratio
    ratio, low, high = ((1.0 + one) * scale - 1.0 for one in (plain, low, high))
    mean = mean_over(ratio, low, high)
    if mean is None:
        names = f"{sides.reference.name}, {sides.other.name}"
        raise cannot(names, "density ratios at no common speed", "log boost and charge temperature in both")
    how = dict.fromkeys(one.how for one in (mine, theirs) if one.how)
    losses = [inlet_loss_of(one) for one in (sides.reference, sides.other)]
    loss = "declared inlet loss taken off" if any(losses) else "inlet loss taken as none"
    return FairLook(
        NAME,
        f"{ASSUMPTION}; {'; '.join(how)}; {loss}.",
        "rpm",
        "torque over density ratio",
        "N m",
        rpm,
        torque_per_density(torque_at(sides.reference, rpm)[0], mine.density_ratio),
        torque_per_density(torque_at(sides.other, rpm)[0], theirs.density_ratio),
        ratio,
        low,
        high,
        plain,
        mean,
        _sentence(sides, mean, plain, mine.density_ratio, theirs.density_ratio),
        "practice",
        ratio_band(sides),
    )


def _sentence(sides: Sides, mean: Estimate, plain: FloatArray, mine: FloatArray, theirs: FloatArray) -> str:
    known = np.isfinite(plain) & np.isfinite(mine) & np.isfinite(theirs)
    denser = float((theirs / mine)[known].mean()) - 1.0
    names = (sides.reference.name, sides.other.name)
    word = "denser" if denser >= 0 else "thinner"
    return (
        f"Per density of the charge {more_or_less(names, mean)}, averaged over rpm; {plain_words(sides, plain, known)} "
        f"goes with a charge {per_cent(denser, signed=False)} {word}."
    )
