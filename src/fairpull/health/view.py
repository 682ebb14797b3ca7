"""One pull as the detectors see it: smooth channels along rpm, their noise, and the same build's earlier pulls."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from fairpull.health.derived import DERIVED, stoichiometric
from fairpull.health.limits import DEFAULTS, HealthLimits
from fairpull.pulls.smooth import Weights, fit, local_weights
from fairpull.pulls.weather import air_of
from fairpull.terms.arrays import BoolArray, FloatArray
from fairpull.terms.engine import Engine
from fairpull.terms.pull import Air, Pull

STEP = 50.0  # rpm between nodes
FEWEST_NODES = 20  # a narrow range gets finer nodes
HALF_WIDTH = 75.0  # rpm, half-width of the kernel: a dip 100 rpm wide keeps most of its depth
SAMPLES_EACH_SIDE = 5
TOLERANCE = 10.0  # rpm, as pulls.curve
FEWEST_SAMPLES = 6
PRIOR_WORTH = 2.0  # the documented scatter counts like this many repeats beyond the first
LOADED = ("torque", "power", "bmep", "air_mass_flow", "fuel_mass_flow", "air_each_rev", "fuel_each_rev")
_FLOWS = ("air_mass_flow", "fuel_mass_flow", "air_each_rev", "fuel_each_rev")
_MIXTURES = ("lambda_flow", "lambda_sensor", "bsfc", "bsac", "ve")


class Against(NamedTuple):
    """A channel against the references.

    Attributes:
        values: ratio or difference along rpm, shape (g,); NaN where either was not tested.
        scatter: standard deviation to expect of its level when nothing is wrong, unit of ``values``.
        n: references behind it.
    """

    values: FloatArray
    scatter: float
    n: int

    @property
    def level(self) -> float:
        """Middle of the values along rpm."""
        return float(np.nanmedian(self.values))


@dataclass(frozen=True, slots=True)
class View:
    """One pull on an rpm grid.

    Attributes:
        pull: the pull, cleaned.
        engine: the engine, where known.
        factor: corrected torque = observed x factor.
        limits: what is allowed.
        rpm: grid, shape (g,) [rpm], ascending, inside the tested range.
        references: views of the references on the same grid (NaN where they were not tested).
        air: mean air of the pull, where known.
    """

    pull: Pull
    engine: Engine | None
    factor: float
    limits: HealthLimits
    rpm: FloatArray
    references: tuple[View, ...] = ()
    air: Air | None = None
    rows: BoolArray = field(default_factory=lambda: np.zeros(0, dtype=np.bool_), repr=False)
    _memo: dict[tuple[str, str], FloatArray | None] = field(default_factory=dict, repr=False, compare=False)
    _weights: list[Weights] = field(default_factory=list, repr=False, compare=False)

    # ---- raw ---------------------------------------------------------------------------------------------------

    def get(self, channel: str) -> FloatArray | None:
        """A channel as it was logged or, failing that, computed from others; see ``raw``."""
        return self.raw(channel)

    def raw(self, channel: str) -> FloatArray | None:
        """A channel on the pull's own rows, shape (n,); measured first, computed otherwise; None where neither.

        Besides the glossary: ``bsfc``, ``bsac``, ``lambda_flow``, ``lambda_sensor`` (mean of the sensors), ``ve``
        (on dry ambient density), ``boost``, ``air_each_rev``, ``fuel_each_rev``.
        """
        key = ("raw", channel)
        if key in self._memo:
            return self._memo[key]
        found: FloatArray | None = self._find(channel)
        self._memo[key] = found
        return found

    def has(self, *channels: str) -> bool:
        """Whether all these can be read or computed."""
        return all(self.raw(channel) is not None for channel in channels)

    def per_cylinder(self, base: str) -> dict[int, FloatArray]:
        """Numbered channels on the pull's rows: number -> shape (n,)."""
        found = {}
        for number in range(1, 17):
            values = self._measured(f"{base}_{number}")
            if values is not None:
                found[number] = values
        return found

    def per_cylinder_on_grid(self, base: str) -> dict[int, FloatArray]:
        """Numbered channels on the grid: number -> shape (g,)."""
        laid = {number: self.on_grid(f"{base}_{number}") for number in self.per_cylinder(base)}
        return {number: values for number, values in laid.items() if values is not None}

    @property
    def seconds(self) -> FloatArray | None:
        """Clock of the rows from the start of the pull [s], shape (n,); None for tables and held steps."""
        time = self._measured("time")
        if time is None or self.pull.kind == "steps":
            return None
        return np.asarray(time - time[0])

    def _find(self, channel: str) -> FloatArray | None:
        if channel == "lambda_sensor":
            return self._sensor_mean()
        # A logged power may be on another basis than the torque beside it.
        measured = None if channel in ("power", "bmep") else self._measured(channel)
        if measured is not None:
            return measured
        formula = DERIVED.get(channel)
        return None if formula is None else formula(self)

    def _measured(self, channel: str) -> FloatArray | None:
        values = self.pull.channels.get(channel)
        if values is None:
            return None
        kept = values[self.rows]
        return kept if np.count_nonzero(np.isfinite(kept)) >= max(2, kept.size // 2) else None

    def _sensor_mean(self) -> FloatArray | None:
        sensors = [*self.per_cylinder("lambda").values()]
        plain = self._measured("lambda")
        sensors = sensors or ([] if plain is None else [plain])
        if not sensors:
            ratios = [*self.per_cylinder("air_fuel_ratio").values()]
            one = self._measured("air_fuel_ratio")
            ratios = ratios or ([] if one is None else [one])
            sensors = [ratio / stoichiometric(self.engine) for ratio in ratios]
        return np.asarray(np.mean(sensors, axis=0)) if sensors else None

    # ---- along rpm ---------------------------------------------------------------------------------------------

    def on_grid(self, channel: str) -> FloatArray | None:
        """A channel along rpm, observed, smooth (local line against measured speed), shape (g,).

        A slow sensor's lag is left as it is: at equal sweep rates it cancels against the references, and the first
        quarter of a sweep is where it shows most.
        """
        key = ("grid", channel)
        if key not in self._memo:
            values = self.raw(channel)
            self._memo[key] = None if values is None else self._lay(values)
        return self._memo[key]

    def corrected(self, channel: str = "torque") -> FloatArray | None:
        """A channel on the grid, with what scales with the air's density brought to the correction's air.

        Torque, power, BMEP: times the factor. Air and fuel flow: times the factor as well (an approximation: the
        factor leaves out friction's share, a tenth of itself). All else: as observed.
        """
        values = self.on_grid(channel)
        return values * self.factor if values is not None and channel in LOADED else values

    def rest(self, channel: str) -> FloatArray | None:
        """What the smooth curve leaves of each sample, shape (n,), unit of the channel."""
        key = ("rest", channel)
        if key not in self._memo:
            values, laid = self.raw(channel), self.on_grid(channel)
            rpm = self.raw("rpm")
            if values is None or laid is None or rpm is None or np.count_nonzero(np.isfinite(laid)) < 2:
                self._memo[key] = None
            else:
                held = np.isfinite(laid)
                self._memo[key] = values - np.interp(rpm, self.rpm[held], laid[held])
        return self._memo[key]

    def noise(self, channel: str) -> float:
        """Robust scatter of the samples about the smooth curve, unit of the channel; 0 where it cannot be told.

        Source: 1.4826 times the median absolute deviation, textbook; for held steps from second differences.
        """
        if self.pull.kind == "steps":
            laid = self.raw(channel)
            if laid is None or laid.size < 5:
                return 0.0
            return float(1.4826 * np.nanmedian(np.abs(np.diff(laid, 2))) / np.sqrt(6.0))
        rest = self.rest(channel)
        if rest is None:
            return 0.0
        return float(1.4826 * np.nanmedian(np.abs(rest - np.nanmedian(rest))))

    def _lay(self, values: FloatArray) -> FloatArray | None:
        rpm = self.pull.channels["rpm"][self.rows]
        good = np.isfinite(values)
        if np.count_nonzero(good) < 2:
            return None
        if self.pull.kind == "steps":
            order = np.argsort(rpm[good], kind="stable")
            x, y = rpm[good][order], values[good][order]
            laid = np.interp(self.rpm, x, y)
            return np.where((self.rpm >= x[0] - TOLERANCE) & (self.rpm <= x[-1] + TOLERANCE), laid, np.nan)
        if good.all():
            if not self._weights:
                self._weights.append(_weights(rpm, self.rpm))
            return fit(self._weights[0], values)
        return fit(_weights(rpm[good], self.rpm), values[good])

    # ---- against the references --------------------------------------------------------------------------------

    def ratio(self, channel: str) -> Against | None:
        """The channel over the mean of the references that have it, corrected (see ``corrected``).

        Returns:
            Ratio along rpm, the scatter to expect of it, and how many references; None without the channel or
            without a reference that was tested over at least a third of the grid.
        """
        return self._against(channel, relative=True)

    def difference(self, channel: str) -> Against | None:
        """The channel minus the mean of the references that have it, in its unit; see ``ratio``."""
        return self._against(channel, relative=False)

    def _against(self, channel: str, *, relative: bool) -> Against | None:
        own = self.corrected(channel)
        others = [laid for view in self.references if (laid := view.corrected(channel)) is not None]
        if own is None:
            return None
        usable = [laid for laid in others if np.isfinite(laid + own).sum() * 3 >= own.size]
        if not usable:
            return None
        table = np.array(usable)
        count = np.isfinite(table).sum(axis=0)
        with np.errstate(invalid="ignore", divide="ignore"):
            mean = np.where(count > 0, np.nansum(table, axis=0) / count, np.nan)
            values = own / mean if relative else own - mean
        known = np.isfinite(values)
        size = float(np.mean(np.abs(mean[known]))) if known.any() else 0.0
        if size == 0.0:
            return None  # a meter that is not connected logs zeros, and nothing can be held against them
        prior = self.prior(channel, size)
        spread = _spread(table, mean, relative)
        return Against(values, _scatter(spread, prior / size if relative else prior), len(usable))

    def prior(self, channel: str, size: float) -> float:
        """Documented scatter from pull to pull, unit of the channel.

        Args:
            channel: its name.
            size: typical value of the channel.
        """
        limits, base = self.limits, channel.rstrip("0123456789").rstrip("_")
        if base in _FLOWS:
            return limits.scatter_flow * size
        if base in _MIXTURES or base in ("lambda", "air_fuel_ratio"):
            return limits.scatter_mixture * size
        if base == "exhaust_temperature":
            return limits.scatter_exhaust_temperature
        if "temperature" in base or base.startswith("coolant"):
            return limits.scatter_temperature
        if "pressure" in base or base in ("boost", "barometer"):
            return limits.scatter_pressure * 1e5
        return limits.scatter_torque * size


def _weights(rpm: FloatArray, grid: FloatArray) -> Weights:
    needed = SAMPLES_EACH_SIDE * float(np.ptp(rpm)) / rpm.size
    return local_weights(rpm, grid, max(HALF_WIDTH, needed), 1, TOLERANCE)


def _spread(table: FloatArray, mean: FloatArray, relative: bool) -> list[float]:
    """How far each reference's level lies from the mean of all, one degree of freedom fewer than references."""
    if len(table) < 2:
        return []
    with np.errstate(invalid="ignore", divide="ignore"):
        away = table / mean - 1.0 if relative else table - mean
    return [float(np.nanmedian(row)) for row in away]


def _scatter(spread: list[float], prior: float) -> float:
    """Standard deviation of one new pull against the mean of n: prior and seen scatter pooled, never below the prior.

    Source: pooled variance, textbook; the floor keeps a lucky pair of repeats from promising too much.
    """
    n = len(spread)
    seen = sum(value**2 for value in spread)
    pooled = (PRIOR_WORTH * prior**2 + seen) / (PRIOR_WORTH + max(n - 1, 0))
    return float(np.sqrt(max(pooled, prior**2) * (1.0 + 1.0 / max(n, 1))))


def _rows(pull: Pull) -> BoolArray:
    rpm, torque = pull.channels["rpm"], pull.channels["torque"]
    good = np.isfinite(rpm) & np.isfinite(torque)
    if pull.valid_to is not None:
        good &= rpm <= pull.valid_to + TOLERANCE
    return np.asarray(good, dtype=np.bool_)


def _grid(pull: Pull, rows: BoolArray) -> FloatArray:
    rpm = pull.channels["rpm"][rows]
    if rpm.size < 2:
        return np.zeros(0)
    low, high = float(rpm.min()), float(rpm.max())
    step = next((s for s in (STEP, 25.0, 20.0, 10.0) if (high - low) / s >= FEWEST_NODES), 5.0)
    first, last = np.ceil((low - TOLERANCE) / step), np.floor((high + TOLERANCE) / step)
    return np.asarray(step * np.arange(first, last + 1))


def make_view(
    pull: Pull,
    *,
    engine: Engine | None = None,
    references: Sequence[Pull] = (),
    factor: float = 1.0,
    reference_factors: Sequence[float] = (),
    limits: HealthLimits = DEFAULTS,
) -> View | None:
    """A pull and its references on the pull's own grid.

    Args:
        pull: the pull to look at.
        engine: its engine, where known.
        references: sound pulls of the same build, made earlier, in running order; their rows beyond their
            ``valid_to`` are left out.
        factor: corrected torque = observed x factor.
        reference_factors: the same of each reference; empty: 1 for all.
        limits: what is allowed.

    Returns:
        The view; None where the pull holds too few samples to look at.
    """
    rows = _rows(pull)
    grid = _grid(pull, rows)
    if np.count_nonzero(rows) < FEWEST_SAMPLES or grid.size < 3:
        return None
    factors = list(reference_factors) or [1.0] * len(references)
    views = []
    for reference, own in zip(references, factors, strict=True):
        kept = _rows(reference)
        if np.count_nonzero(kept) >= FEWEST_SAMPLES:
            views.append(View(reference, engine, own, limits, grid, (), air_of(reference), kept))
    return View(pull, engine, factor, limits, grid, tuple(views), air_of(pull), rows)
