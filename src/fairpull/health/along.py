"""Shapes along rpm that several detectors look for: stretches, late departures from a line, growth with rpm squared."""

from __future__ import annotations

import numpy as np

from fairpull.health.view import View
from fairpull.pulls.blocks import runs
from fairpull.terms.arrays import BoolArray, FloatArray
from fairpull.terms.units import from_house

UNSETTLED = 0.08  # share of the range after the load came on that slow sensors still trail
UNSETTLED_RPM = 200.0  # the trade discards the first 200 to 300 rpm
LOWER = 0.45  # share of the range that a late fault leaves alone
SQUARE = 0.7  # share that k rpm^2 takes up of what a restriction does
LACKS = 0.35  # of it at the top, in the lower third
_TRIMS = 6


def settled(view: View) -> BoolArray:
    """Nodes of a sweep beyond its first rpm, where load and slow sensors have settled; all nodes of held steps.

    Args:
        view: the pull.

    Returns:
        Shape (g,).

    Source: practice (the first 200 to 300 rpm are discarded); never more than 15 % of a short range.
    """
    if view.pull.kind == "steps":
        return np.ones(view.rpm.size, dtype=np.bool_)
    span = float(view.rpm[-1] - view.rpm[0])
    skipped = min(max(UNSETTLED * span, UNSETTLED_RPM), 0.15 * span)
    return np.asarray(view.rpm >= view.rpm[0] + skipped, dtype=np.bool_)


def lower(view: View, share: float = LOWER) -> BoolArray:
    """Settled nodes in the lower share of the tested range.

    Args:
        view: the pull.
        share: of the range, fraction.

    Returns:
        Shape (g,).

    Source: own definition.
    """
    edge = view.rpm[0] + share * (view.rpm[-1] - view.rpm[0])
    return np.asarray(settled(view) & (view.rpm <= edge), dtype=np.bool_)


def upper(view: View, share: float = 0.25) -> BoolArray:
    """Nodes in the upper share of the tested range.

    Args:
        view: the pull.
        share: of the range, fraction.

    Returns:
        Shape (g,).

    Source: own definition.
    """
    return np.asarray(view.rpm >= view.rpm[-1] - share * (view.rpm[-1] - view.rpm[0]))


def middle(values: FloatArray, where: BoolArray) -> float:
    """Median of the present values on some nodes; NaN where none is present.

    Args:
        values: shape (g,), any unit.
        where: nodes, shape (g,).

    Returns:
        The median, unit of the values.

    Source: definition.
    """
    chosen = values[where]
    chosen = chosen[np.isfinite(chosen)]
    return float(np.median(chosen)) if chosen.size else float("nan")


def longest(flags: BoolArray, fewest: int = 3) -> tuple[int, int] | None:
    """The longest unbroken stretch of flagged nodes.

    Args:
        flags: shape (g,).
        fewest: nodes that make a stretch.

    Returns:
        First and last node, or None.

    Source: definition.
    """
    found = [run for run in runs(flags) if run[1] - run[0] + 1 >= fewest]
    return max(found, key=lambda run: run[1] - run[0]) if found else None


def to_the_end(flags: BoolArray, present: BoolArray, fewest: int = 3) -> int | None:
    """Where a stretch of flagged nodes begins that lasts to the last node with a value.

    Args:
        flags: shape (g,).
        present: nodes with a value, shape (g,).
        fewest: nodes that make a stretch.

    Returns:
        Its first node, or None.

    Source: definition.
    """
    held = np.flatnonzero(present)
    if held.size < fewest or not flags[held[-fewest:]].all():
        return None
    clear = np.flatnonzero(~flags[held])
    return int(held[clear[-1] + 1] if clear.size else held[0])


def above_from(values: FloatArray, level: float) -> int:
    """First node of the stretch, up to the last present value, that lies above a level throughout.

    Args:
        values: shape (g,), any unit.
        level: unit of the values.

    Returns:
        The node; the last present one where even that lies below.

    Source: definition.
    """
    held = np.flatnonzero(np.isfinite(values))
    if not held.size:
        return 0
    below = np.flatnonzero(values[held] <= level)
    return int(held[min(below[-1] + 1, held.size - 1)] if below.size else held[0])


def own_line(rpm: FloatArray, values: FloatArray, basis: BoolArray, *, bent: bool = False) -> FloatArray:
    """A line through the basis nodes, carried over the whole range; points far off it are left out in turns.

    Args:
        rpm: grid, shape (g,) [rpm].
        values: shape (g,), any unit.
        basis: nodes that the line is laid through, shape (g,).
        bent: a power law (line between logarithms) in place of a straight line; values above zero.

    Returns:
        The line, shape (g,), unit of the values; NaN where fewer than four nodes carry it.

    Source: own definition (least squares, points beyond three robust standard deviations left out).
    """
    x = np.log(rpm) if bent else rpm
    with np.errstate(invalid="ignore", divide="ignore"):
        y = np.log(values) if bent else values
    kept = basis & np.isfinite(y)
    for _ in range(_TRIMS):
        if np.count_nonzero(kept) < 4:
            return np.full(rpm.size, np.nan)
        slope, level = np.polyfit(x[kept], y[kept], 1)
        rest = np.abs(y - slope * x - level)
        wide = 3.0 * 1.4826 * float(np.median(rest[kept]))
        again = basis & np.isfinite(y) & (rest <= max(wide, 1e-12))
        if (again == kept).all():
            break
        kept = again
    line = slope * x + level
    return np.asarray(np.exp(line) if bent else line)


def grows_as_square(rpm: FloatArray, values: FloatArray, where: BoolArray) -> float:
    """How well ``k rpm^2`` describes values that a flow restriction would make: 1 wholly, 0 not at all.

    Args:
        rpm: grid, shape (g,) [rpm].
        values: shape (g,), any unit, zero where nothing restricts.
        where: nodes to look at, shape (g,).

    Returns:
        Share of the values' sum of squares that ``k rpm^2`` takes up, with its sign of ``k``.

    Source: practice (losses of pipes grow about with rpm squared); least squares through zero, textbook.
    """
    used = where & np.isfinite(values)
    if np.count_nonzero(used) < 4:
        return 0.0
    x, y = np.square(rpm[used] / rpm[used].max()), values[used]
    total = float(y @ y)
    if total <= 0.0:
        return 0.0
    along = float(x @ y)
    return float(np.sign(along) * along * along / (float(x @ x) * total))


def restricts(view: View, values: FloatArray) -> bool:
    """Whether values grow along the pull as a restriction makes them: about as rpm squared, and not a constant.

    Args:
        view: the pull.
        values: shape (g,), any unit, zero where nothing restricts.

    Returns:
        True where ``k rpm^2`` takes up seven tenths, and the lower third lacks a third of what the top has.

    Source: own definition (a constant takes up as much as eight tenths of a narrow range by itself).
    """
    top, low = middle(values, upper(view, 0.15)), middle(values, ~upper(view, 0.65) & settled(view))
    return bool(grows_as_square(view.rpm, values, settled(view)) > SQUARE and top - low > LACKS * top)


def spread_on_grid(view: View, channel: str) -> float:
    """Standard error of one node of a smooth channel, from the scatter of its samples.

    Args:
        view: the pull.
        channel: its name.

    Returns:
        The error, unit of the channel. Neighbouring samples of a filtered sensor are alike; a fourth of them counts.

    Source: own definition.
    """
    noise = view.noise(channel)
    if view.pull.kind == "steps":
        return noise
    samples = view.rows.sum() * 150.0 / max(float(view.rpm[-1] - view.rpm[0]), 150.0)
    return noise / float(np.sqrt(max(0.25 * samples, 1.0)))


def degrees(kelvin: float) -> float:
    """A temperature difference as the trade reads it.

    Args:
        kelvin: difference [K].

    Returns:
        Difference [degF].

    Source: definition.
    """
    return float(from_house(kelvin, "°R", "K"))


def breathed(view: View) -> FloatArray | None:
    """Air taken in at each turn over the references': by the air meter, or by fuel flow times lambda.

    Args:
        view: the pull.

    Returns:
        Ratio along rpm, shape (g,); None where neither can be had on both sides.

    Source: definition (air is fuel times the air-fuel ratio).
    """
    air = view.ratio("air_each_rev")
    if air is not None:
        return air.values
    fuel, mixture = view.ratio("fuel_each_rev"), view.ratio("lambda_sensor")
    return None if fuel is None or mixture is None else np.asarray(fuel.values * mixture.values)


def shown(value: float, unit: str, house: str, places: int = 1) -> str:
    """A house value in the trade's unit, as evidence writes it.

    Args:
        value: [house].
        unit: to show.
        house: house unit.
        places: decimals.

    Returns:
        Number and unit.
    """
    return f"{from_house(float(value), unit, house):,.{places}f} {unit.replace('°', 'deg')}"


def last_value(values: FloatArray) -> float:
    """The last present value; NaN where there is none.

    Args:
        values: shape (g,), any unit.

    Returns:
        The value, same unit.

    Source: definition.
    """
    present = values[np.isfinite(values)]
    return float(present[-1]) if present.size else float("nan")


def earlier(count: int) -> str:
    """How many references there were, as evidence says it.

    Args:
        count: of references.

    Returns:
        Words.

    Source: definition.
    """
    return f"{count} earlier pull{'' if count == 1 else 's'}"
