from __future__ import annotations

import pytest

from fairpull import air
from fairpull.terms.errors import UnknownName
from fairpull.terms.pull import Air

ROOM = air.air_from(100305.0, 293.15, relative_humidity=0.56)


def test_everything_stands_side_by_side() -> None:
    found = air.overview(ROOM)
    assert [correction.standard for correction in found.corrections] == list(air.STANDARDS)
    assert found.left_out == {}
    assert found.dry_pressure == ROOM.pressure - ROOM.vapour_pressure
    assert found.relative_humidity == pytest.approx(0.56, rel=1e-12)
    assert found.density == float(air.density(ROOM.pressure, ROOM.temperature, ROOM.vapour_pressure))
    assert found.dew_point is not None
    assert float(air.saturation_pressure(found.dew_point)) == pytest.approx(ROOM.vapour_pressure, rel=1e-12)
    assert found.density_altitude > found.pressure_altitude > 0.0
    assert found.findings == ()
    for correction in found.corrections:
        assert correction == air.correct(correction.standard, ROOM)


def test_dry_air_has_no_dew_point() -> None:
    found = air.overview(Air(100000.0, 293.15, 0.0))
    assert found.dew_point is None
    assert found.relative_humidity == 0.0


def test_standards_that_cannot_be_applied_are_left_out_with_reason() -> None:
    found = air.overview(ROOM, ignition="compression")
    assert set(found.left_out) == {"sae-j1349", "iso-1585", "un-r85", "jis-d1001", "iso-15550"}
    assert "fuel" in found.left_out["un-r85"]
    assert {correction.standard for correction in found.corrections} | set(found.left_out) == set(air.STANDARDS)
    with_fuel = air.overview(ROOM, ignition="compression", fuel_per_cycle=0.05)
    assert set(with_fuel.left_out) == {"sae-j1349"}


def test_a_typing_slip_is_refused_not_left_out() -> None:
    with pytest.raises(UnknownName):
        air.overview(ROOM, induction="turbos")


def test_a_sea_level_barometer_is_found_when_the_altitude_is_known() -> None:
    # 30.00 inHg typed at 1500 m, where the station's own barometer shows about 84.6 kPa
    found = air.overview(Air(101590.0, 293.15, 1000.0), altitude=1500.0)
    (finding,) = found.findings
    assert finding.code == "sea-level-barometer"
    assert "101.59 kPa" in finding.text
    assert "84.78 kPa" in finding.text
    assert air.overview(Air(84600.0, 293.15, 1000.0), altitude=1500.0).findings == ()
    assert air.overview(Air(101590.0, 293.15, 1000.0), altitude=120.0).findings == ()
