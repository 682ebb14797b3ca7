"""The engine itself: float, misfire, a low cylinder, heat soak."""

from __future__ import annotations

import numpy as np
import pytest

from fairpull.health.signs import heat_soak, low_cylinder, misfire, valve_float
from fairpull.terms.arrays import FloatArray
from fairpull.terms.findings import Severity
from fairpull.terms.health import Sign, Unseen
from fairpull.terms.pull import Pull
from tests.health.plain_pull import channels, pull, share, speeds, view


def sure(found: object) -> Sign:
    """A sign, or the test fails."""
    assert isinstance(found, Sign)
    return found


def dip(depth: float, at: float = 4700.0, width: float = 65.0) -> FloatArray:
    """Share that is left of a channel with a dip."""
    return np.asarray(1.0 - depth * np.exp(-0.5 * np.square((speeds() - at) / width)))


def scaled(by: FloatArray | float, *names: str, seed: int = 1) -> Pull:
    """A sound pull with some channels multiplied."""
    table = channels(seed)
    return pull({name: by * table[name] for name in names}, seed=seed)


@pytest.mark.parametrize("references", [0, 3])
def test_float_is_found_where_it_begins(references: int) -> None:
    """A 5 % dip at 4,700 rpm that the air shares; the pull counts to below it."""
    found = sure(valve_float.look(view(scaled(dip(0.05), "torque", "air_mass_flow"), references=references)))
    assert found.low == pytest.approx(4550.0, abs=100.0)
    assert found.high == pytest.approx(4850.0, abs=150.0)
    assert found.size == pytest.approx(-0.05, abs=0.015)
    assert found.counts_to is not None
    assert 4300.0 <= found.counts_to < found.low


def test_a_small_dip_is_believed_where_lambda_and_manifold_hash() -> None:
    """0.6 % is too little where both are quiet, enough where both hash; one of two is not enough."""
    table = channels(1)
    noise = np.random.default_rng(5).standard_normal(speeds().size)
    near = np.exp(-0.5 * np.square((speeds() - 4700.0) / 80.0))
    dipped = {name: dip(0.006) * table[name] for name in ("torque", "air_mass_flow")}
    rough = {
        "lambda": table["lambda"] * (1.0 + 0.06 * near * noise),
        "manifold_pressure": table["manifold_pressure"] * (1.0 + 0.02 * near * noise),
    }
    found = sure(valve_float.look(view(pull({**dipped, **rough}))))
    assert "hashes there" in found.evidence
    assert found.low < 4700.0 < found.high
    assert valve_float.look(view(pull(dipped))) is None
    assert valve_float.look(view(pull({**dipped, "lambda": rough["lambda"]}))) is None


def test_hash_without_a_dip_is_no_float() -> None:
    """A loose connector hashes too."""
    table = channels(1)
    noise = np.random.default_rng(5).standard_normal(speeds().size)
    near = np.exp(-0.5 * np.square((speeds() - 4700.0) / 80.0))
    rough = {name: table[name] * (1.0 + 0.05 * near * noise) for name in ("lambda", "manifold_pressure")}
    assert valve_float.look(view(pull(rough))) is None


def test_a_loss_that_stays_reaches_to_the_end() -> None:
    """Torque that never comes back is lost to the last speed."""
    gone = np.where(speeds() > 4700.0, 0.97, 1.0) * dip(0.05)
    found = sure(valve_float.look(view(scaled(gone, "torque", "air_mass_flow"), references=3)))
    assert found.high == 5200.0
    assert "does not come back" in found.evidence


def test_dip_without_the_air_is_no_float() -> None:
    """The valves let the air in."""
    assert valve_float.look(view(scaled(dip(0.05), "torque"), references=3)) is None


def test_broad_and_low_dips_are_tuning() -> None:
    """A hump 1,000 rpm wide, or a dip in the lower half, is not the springs."""
    broad = scaled(dip(0.05, width=420.0), "torque", "air_mass_flow")
    low = scaled(dip(0.05, at=2700.0), "torque", "air_mass_flow")
    assert valve_float.look(view(broad)) is None
    assert valve_float.look(view(low)) is None


def missed(seed: int = 9) -> FloatArray:
    """Cycles lost at random between 3,000 and 4,500 rpm, about 4 % of torque there."""
    lost = np.ones(speeds().size)
    inside = (speeds() > 3000.0) & (speeds() < 4500.0)
    lost[inside & (np.random.default_rng(seed).random(lost.size) < 0.25)] = 0.85
    return lost


@pytest.mark.parametrize("references", [0, 3])
def test_misfire_scatters_downwards(references: int) -> None:
    """The range and the downward lean are named."""
    found = sure(misfire.look(view(scaled(missed(), "torque"), references=references)))
    assert found.severity == Severity.FAULT
    assert found.low < 3400.0
    assert found.high > 4100.0
    assert "drops more than it overshoots" in found.evidence


def test_slow_cell_shows_a_stretch_and_a_cold_exhaust() -> None:
    """No scatter, but 4 % lost about 3,700 rpm with one of four exhausts cold there."""
    table = channels(1)
    base = table["exhaust_temperature_1"]
    pack = {f"exhaust_temperature_{n}": base + 5.0 * n for n in range(1, 5)}
    there = np.exp(-0.5 * np.square((speeds() - 3700.0) / 350.0))
    sick = pull(
        {**pack, "torque": table["torque"] * (1.0 - 0.04 * there), "exhaust_temperature_3": base - 60.0 * there}
    )
    others = tuple(pull(pack, seed=70 + n) for n in range(3))
    found = sure(misfire.look(view(sick, others=others)))
    assert found.low < 3700.0 < found.high
    assert "exhaust 3" in found.evidence


def slow_cell(loss: float, cold: float) -> Sign | Unseen | None:
    """Torque lost smoothly about one speed, one of four exhausts colder there by ``cold`` [K]."""
    table = channels(1)
    base = table["exhaust_temperature_1"]
    pack = {f"exhaust_temperature_{n}": base + 5.0 * n for n in range(1, 5)}
    there = np.exp(-0.5 * np.square((speeds() - 3700.0) / 350.0))
    sick = pull(
        {**pack, "torque": table["torque"] * (1.0 - loss * there), "exhaust_temperature_3": base + 15.0 - cold * there}
    )
    return misfire.look(view(sick, others=tuple(pull(pack, seed=70 + n) for n in range(3))))


def test_a_small_loss_needs_a_cold_exhaust() -> None:
    """1.5 % lost smoothly is called with an exhaust 40 K colder there, and not with one as warm as ever."""
    found = sure(slow_cell(0.015, 40.0))
    assert "exhaust 3" in found.evidence
    assert slow_cell(0.015, 1.0) is None


def test_misfire_over_most_of_the_range_has_no_quiet_part() -> None:
    """Without references, cycles lost almost everywhere leave a quiet part that is not quiet."""
    lost = np.ones(speeds().size)
    lost[np.random.default_rng(4).random(lost.size) < 0.06] = 0.9
    lost[(speeds() > 3000.0) & (speeds() < 4200.0) & (np.random.default_rng(5).random(lost.size) < 0.12)] = 0.85
    found = sure(misfire.look(view(scaled(lost, "torque"))))
    assert "its quiet part" in found.evidence


def test_even_scatter_without_references_is_no_misfire() -> None:
    """A cell that is half as rough again in one stretch leans to neither side."""
    noise = np.random.default_rng(6).standard_normal(speeds().size)
    rough = 1.0 + 0.003 * noise * np.where((speeds() > 3000.0) & (speeds() < 4200.0), 1.5, 1.0)
    assert misfire.look(view(scaled(rough, "torque"))) is None


def test_steps_hide_misfire() -> None:
    """Means of holds have no cycles in them."""
    assert isinstance(misfire.look(view(pull(kind="steps"))), Unseen)


def pack(cold: float = 0.0, *, seed: int = 1, torque: float = 1.0) -> Pull:
    """Four exhausts within 15 K, the third colder by ``cold``."""
    table = channels(seed)
    base = table["exhaust_temperature_1"]
    exhausts = {f"exhaust_temperature_{n}": base + 5.0 * n - (cold if n == 3 else 0.0) for n in range(1, 5)}
    return pull({**exhausts, "torque": torque * table["torque"]}, seed=seed)


def test_low_cylinder_alone_and_beside_references() -> None:
    """One exhaust 120 K cold; with references torque has to be down as well."""
    alone = sure(low_cylinder.look(view(pack(120.0))))
    assert "Cylinder 3" in alone.evidence
    assert alone.severity == Severity.FAULT
    assert alone.size == pytest.approx(-120.0, abs=10.0)
    others = tuple(pack(seed=80 + n) for n in range(3))
    assert sure(low_cylinder.look(view(pack(120.0, torque=0.93), others=others))).severity == Severity.FAULT


def test_cylinder_that_was_always_cold_is_a_warning() -> None:
    """The references show the same and torque holds: its sensor, or weak since then."""
    others = tuple(pack(120.0, seed=80 + n) for n in range(3))
    found = sure(low_cylinder.look(view(pack(120.0), others=others)))
    assert found.severity == Severity.WARNING
    assert "references" in found.evidence


def test_a_natural_spread_and_a_dead_sensor_are_no_low_cylinder() -> None:
    """30 K is a pack; a sensor at room temperature is no cylinder."""
    assert low_cylinder.look(view(pack(25.0))) is None
    assert low_cylinder.look(view(pack(700.0))) is None


def test_low_cylinder_needs_its_sensors() -> None:
    """One exhaust temperature is no pack."""
    assert isinstance(low_cylinder.look(view(pull())), Unseen)


def soaked(loss: float, warmer: float, *, of: str = "oil_temperature") -> Pull:
    """A pull that lost torque and air everywhere and ran hotter."""
    table = channels(1)
    changed = {name: (1.0 - loss) * table[name] for name in ("torque", "air_mass_flow", "fuel_mass_flow")}
    return pull({**changed, of: table[of] + warmer})


def test_heat_soak_is_a_loss_with_heat() -> None:
    """Neither the loss nor the heat alone is called heat soak."""
    found = sure(heat_soak.look(view(soaked(0.025, 15.0), references=3)))
    assert found.size == pytest.approx(-0.025, abs=0.003)
    assert "oil +15 K (+27 degF)" in found.evidence
    assert heat_soak.look(view(soaked(0.0, 15.0), references=3)) is None
    assert heat_soak.look(view(soaked(0.025, 1.0), references=3)) is None


def test_heat_that_the_air_did_not_feel_is_not_heat_soak() -> None:
    """Torque down 3 % with all its air: burning or the brake."""
    table = channels(1)
    kept = pull({"torque": 0.96 * table["torque"], "oil_temperature": table["oil_temperature"] + 15.0})
    assert heat_soak.look(view(kept, references=3)) is None


def test_a_loss_at_one_end_is_not_heat_soak() -> None:
    """Heat takes from every speed."""
    table = channels(1)
    lost = 1.0 - 0.06 * np.clip(2.0 * share(speeds()) - 1.0, 0.0, 1.0)
    late = {name: lost * table[name] for name in ("torque", "air_mass_flow", "fuel_mass_flow")}
    late["oil_temperature"] = table["oil_temperature"] + 15.0
    assert heat_soak.look(view(pull(late), references=3)) is None


def test_heat_soak_says_what_it_needs() -> None:
    """References, and a temperature."""
    assert isinstance(heat_soak.look(view(pull())), Unseen)
    cold = ("oil_temperature", "inlet_temperature")
    others = (pull(seed=90, without=cold),)
    assert isinstance(heat_soak.look(view(pull(without=cold), others=others)), Unseen)
