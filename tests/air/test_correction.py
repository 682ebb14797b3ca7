from __future__ import annotations

import pytest

from fairpull import air
from fairpull.terms.errors import UnknownName, ValueRefused
from fairpull.terms.pull import Air
from fairpull.terms.sources import SOURCES

ROOM = Air(97400.0, 303.15, 1500.0)
NATURAL = [key for key in air.STANDARDS if key != "none"]


def finding_codes(key: str, room: Air = ROOM, **engine: object) -> list[str]:
    correction = air.correct(key, room, **engine)  # type: ignore[arg-type]
    return [finding.code for finding in correction.findings]


def test_the_keys_of_the_contract() -> None:
    assert set(air.STANDARDS) == {
        "none", "sae-j1349", "sae-j607", "iso-1585", "un-r85", "din-70020", "jis-d1001", "iso-3046", "iso-15550",
        "eec-80-1269",
    }  # fmt: skip


@pytest.mark.parametrize("key", list(air.STANDARDS))
def test_every_standard_says_what_it_is(key: str) -> None:
    standard = air.STANDARDS[key]
    assert standard.key == key
    for text in (standard.title, standard.reference, standard.formula, standard.charged):
        assert text
    assert set(standard.sources) <= set(SOURCES)
    for limit in standard.limits:
        assert limit.low < limit.high
        assert limit.status in ("memory", "second-hand")


def test_an_unknown_standard_names_the_nearest_and_all() -> None:
    with pytest.raises(UnknownName) as refusal:
        air.correct("SAE J1439", ROOM)
    (fault,) = refusal.value.faults
    assert "did you mean sae-j1349?" in fault.remedy
    assert "din-70020" in fault.remedy


def test_unknown_engine_words_are_refused_together() -> None:
    with pytest.raises(UnknownName) as refusal:
        air.correct("iso-1585", ROOM, induction="blown", ignition="diesel")
    assert {fault.code for fault in refusal.value.faults} == {"unknown-induction", "unknown-ignition"}


def test_none_leaves_the_observed_value_in_any_air_and_without_air() -> None:
    for room in (ROOM, None):
        for induction in air.INDUCTIONS:
            found = air.correct("none", room, induction=induction)
            assert found.factor == 1.0
            assert found.findings == ()
    assert air.correct("none", None).air is None
    assert air.correct("none", ROOM).dry_pressure == 95900.0


@pytest.mark.parametrize("key", NATURAL)
def test_unknown_weather_is_refused_with_a_way_out(key: str) -> None:
    with pytest.raises(ValueRefused) as refusal:
        air.correct(key, None)
    assert refusal.value.faults[0].code == "weather-unknown"
    assert "none" in refusal.value.faults[0].remedy


def test_dry_pressure_is_kept_with_the_factor() -> None:
    assert air.correct("iso-1585", ROOM).dry_pressure == 95900.0


@pytest.mark.parametrize("key", ["iso-1585", "un-r85"])
@pytest.mark.parametrize(
    ("kilopascal", "flagged"), [(93.574, False), (93.572, True), (105.171, False), (105.173, True)]
)
def test_the_factor_limit_bites_where_it_should(key: str, kilopascal: float, flagged: bool) -> None:
    codes = finding_codes(key, Air(1000.0 * kilopascal, 298.15, 0.0))
    assert ("outside-standard-limits" in codes) is flagged


def test_a_limit_finding_says_which_and_by_how_much() -> None:
    found = air.correct("iso-1585", Air(95000.0, 303.15, 2547.62))
    (finding,) = found.findings
    assert "1.0965" in finding.text
    assert "0.0265 above 1.07" in finding.text
    assert "from memory" in finding.text
    assert finding.where == "standard iso-1585, factor"


def test_temperature_and_dry_pressure_limits_are_shown_in_readable_units() -> None:
    texts = [finding.text for finding in air.correct("sae-j1349", Air(89500.0, 310.15, 0.0)).findings]
    assert any("37.0 °C lies 2.0 °C above 35 °C" in text for text in texts)
    assert any("89.50 kPa lies 0.50 kPa below 90 kPa" in text for text in texts)


def test_limits_differ_by_ignition() -> None:
    cold = Air(99000.0, 285.15, 0.0)
    assert "outside-standard-limits" in finding_codes("un-r85", cold)
    assert "outside-standard-limits" not in finding_codes("un-r85", cold, ignition="compression", fuel_per_cycle=0.05)


@pytest.mark.parametrize("key", ["sae-j1349", "sae-j607", "din-70020", "eec-80-1269", "iso-3046", "iso-15550"])
@pytest.mark.parametrize("induction", ["belt", "turbo", "turbo-held"])
def test_silence_on_charged_engines_is_said(key: str, induction: str) -> None:
    codes = finding_codes(key, induction=induction)
    assert "charged-engine-not-covered" in codes
    assert ("held-boost-corrected" in codes) is (induction == "turbo-held")


@pytest.mark.parametrize("key", ["iso-1585", "un-r85", "jis-d1001"])
def test_treatment_of_charged_engines_is_said(key: str) -> None:
    assert "charged-engine-treated" in finding_codes(key, induction="turbo")
    assert air.correct(key, ROOM, induction="turbo").factor == air.correct(key, ROOM).factor


def test_held_boost_says_how_much_the_factor_adds() -> None:
    found = air.correct("iso-1585", ROOM, induction="turbo-held")
    text = next(finding.text for finding in found.findings if finding.code == "held-boost-corrected")
    assert f"{100.0 * (found.factor - 1.0):+.1f} %" in text


def test_held_boost_in_reference_air_is_not_warned_of() -> None:
    assert "held-boost-corrected" not in finding_codes("iso-1585", Air(99000.0, 298.15, 0.0), induction="turbo-held")


@pytest.mark.parametrize("key", ["iso-1585", "un-r85", "jis-d1001", "iso-15550"])
def test_compression_ignition_needs_fuel(key: str) -> None:
    with pytest.raises(ValueRefused) as refusal:
        air.correct(key, ROOM, ignition="compression", induction="turbo")
    assert {fault.code for fault in refusal.value.faults} == {"fuel-per-cycle-missing", "pressure-ratio-missing"}
    with pytest.raises(ValueRefused) as refusal:
        air.correct(key, ROOM, ignition="compression", fuel_per_cycle=50.0)
    assert refusal.value.faults[0].code == "fuel-per-cycle-implausible"
    found = air.correct(key, ROOM, ignition="compression", induction="turbo", fuel_per_cycle=0.1, pressure_ratio=2.0)
    assert [finding.code for finding in found.findings] == ["charged-engine-treated"]
    assert found.factor == pytest.approx(
        air.correct(
            key, ROOM, ignition="compression", induction="turbo", fuel_per_cycle=0.05, pressure_ratio=1.0
        ).factor,
        rel=1e-14,
    )


def test_impossible_pressure_ratio_is_refused() -> None:
    with pytest.raises(ValueRefused) as refusal:
        air.correct("un-r85", ROOM, ignition="compression", induction="turbo", fuel_per_cycle=0.05, pressure_ratio=20.0)
    assert refusal.value.faults[0].code == "pressure-ratio-implausible"


def test_compression_ignition_under_an_unread_standard_is_refused() -> None:
    with pytest.raises(ValueRefused) as refusal:
        air.correct("sae-j1349", ROOM, ignition="compression", fuel_per_cycle=0.05)
    assert refusal.value.faults[0].code == "compression-ignition-unread"


@pytest.mark.parametrize("key", ["sae-j607", "din-70020", "eec-80-1269"])
def test_compression_ignition_under_a_spark_formula_is_said(key: str) -> None:
    assert "compression-ignition-not-covered" in finding_codes(key, ignition="compression")


def test_iso_3046_says_its_assumptions() -> None:
    assert finding_codes("iso-3046", ignition="compression") == ["assumed-mechanical-efficiency"]
    assert finding_codes("iso-3046", ignition="compression", mechanical_efficiency=0.85) == []
    turbo = finding_codes("iso-3046", ignition="compression", induction="turbo")
    assert {"assumed-mechanical-efficiency", "assumed-charge-coolant"} <= set(turbo)
    with pytest.raises(ValueRefused):
        air.correct("iso-3046", ROOM, ignition="compression", mechanical_efficiency=85.0)


def test_iso_3046_factor_undoes_the_adjustment_to_site() -> None:
    from fairpull.air.adjustment import NATURAL_COMPRESSION, TURBO_COMPRESSION

    for induction, exponents, coolant in (("natural", NATURAL_COMPRESSION, None), ("turbo", TURBO_COMPRESSION, 310.15)):
        alpha = air.adjustment_to_site(
            ROOM.pressure,
            ROOM.temperature,
            ROOM.vapour_pressure,
            exponents=exponents,
            mechanical_efficiency=0.85,
            coolant_temperature=coolant,
        )
        found = air.correct(
            "iso-3046",
            ROOM,
            ignition="compression",
            induction=induction,
            mechanical_efficiency=0.85,
            coolant_temperature=coolant,
        )
        assert found.factor * float(alpha) == pytest.approx(1.0, rel=1e-14)


def test_air_that_is_all_vapour_is_refused() -> None:
    with pytest.raises(ValueRefused) as refusal:
        air.correct("iso-1585", Air(1000.0, 298.15, 1200.0))
    assert refusal.value.faults[0].code == "vapour-above-pressure"
