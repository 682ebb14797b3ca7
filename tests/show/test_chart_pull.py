"""A pull's charts as data: what is drawn is what the pull says, findings stand where they show, one cursor for all."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import pairwise
from typing import Any

import altair as alt
import numpy as np
import pytest

from fairpull.show import chart_pull, chart_pull_channels, chart_pull_panels, chart_pull_rows, pictures
from fairpull.show.chart_pull_marks import CURSOR
from fairpull.show.chart_theme import DARK, LIGHT, NARROW, WIDE
from fairpull.show.facts import pull_words
from fairpull.terms.pull_page import CONCERNS, PullPage
from tests.show import pull_pages
from tests.show.pull_pages import FACTOR, FLOAT, KNOCK, SOAK

Spec = dict[str, Any]
LB_FT = 1.3558179483314004


def rows_of(spec: Spec, layer: Spec) -> list[Spec]:
    return spec["datasets"][layer["data"]["name"]]  # type: ignore[no-any-return]


def marked(spec: Spec, panel: int, kind: str) -> list[Spec]:
    """The layers of one panel with this mark."""
    every: list[Spec] = spec["vconcat"][panel]["layer"]
    return [one for one in every if one["mark"]["type"] == kind]


def words(spec: Spec, panel: int, field: str) -> list[str]:
    """What the text layers of a panel say under a field, halos left out."""
    said: list[str] = []
    for layer in marked(spec, panel, "text"):
        if layer["encoding"]["text"].get("field") == field and "stroke" not in layer["mark"]:
            said += [row[field] for row in rows_of(spec, layer)]
    return said


def titles(spec: Spec) -> list[str]:
    """Titles of the panels' axes of values."""
    return [panel["layer"][0]["encoding"]["y"]["axis"]["title"] for panel in spec["vconcat"]]


def limited() -> PullPage:
    return pull_pages.page(pull_pages.trace(valid_to=4350.0), earlier=2)


def rich(**more: Any) -> dict[str, np.ndarray]:
    return pull_pages.channels(
        knock=3.0, oil_temperature=360.0, lambda_1=0.87, lambda_2=0.88, manifold_pressure=98000.0, **more
    )


@pytest.mark.parametrize("system", ["us", "metric"])
def test_corrected_stands_in_front_of_observed_by_the_factor(system: str) -> None:
    page = pull_pages.page()
    spec = chart_pull.curve(page, LIGHT, WIDE, system)
    observed, corrected = (rows_of(spec, one) for one in marked(spec, 0, "line"))
    assert page.counted is not None
    unit = LB_FT if system == "us" else 1.0
    np.testing.assert_allclose([row["value"] for row in observed], page.counted.torque / unit, rtol=1e-5)
    np.testing.assert_allclose([row["value"] for row in corrected], page.counted.torque * FACTOR / unit, rtol=1e-5)
    full, thin = marked(spec, 0, "line")[1]["mark"], marked(spec, 0, "line")[0]["mark"]
    assert full["strokeWidth"] > thin["strokeWidth"]
    assert "strokeDash" not in full
    assert thin["strokeDash"]


def test_power_stands_beneath_on_the_same_axis() -> None:
    page = pull_pages.page()
    spec = chart_pull.curve(page, LIGHT, WIDE, "metric")
    rows = rows_of(spec, marked(spec, 1, "line")[-1])
    assert page.counted is not None
    wanted = page.counted.torque * FACTOR * page.counted.rpm * np.pi / 30e3
    np.testing.assert_allclose([row["value"] for row in rows], wanted, rtol=1e-5)
    domains = [panel["layer"][0]["encoding"]["x"]["scale"]["domain"] for panel in spec["vconcat"]]
    assert domains[0] == domains[1]
    assert spec["resolve"]["scale"]["x"] == "shared"


def test_the_band_is_the_curves_own_standard_error_and_says_so() -> None:
    page = pull_pages.page()
    assert page.counted is not None
    noisy = replace(page, counted=replace(page.counted, torque_se=np.full(page.counted.rpm.size, 2.0)))
    spec = chart_pull.curve(noisy, LIGHT, WIDE, "metric")
    (area,) = marked(spec, 0, "area")
    row = rows_of(spec, area)[5]
    assert row["high"] - row["low"] == pytest.approx(2 * 1.959964 * 2.0 * FACTOR, rel=1e-3)
    assert "95 % of the curve's own standard error" in titles(spec)[0]
    assert "not what differs from one pull to the next" in pull_words.curve_caption(noisy)


def test_an_observed_pull_is_drawn_once_and_not_called_corrected() -> None:
    spec = chart_pull.curve(pull_pages.page(standard="none"), LIGHT, WIDE)
    assert words(spec, 0, "label") == ["observed"]
    assert "corrected" not in pull_words.curve_caption(pull_pages.page(standard="none"))


def test_lines_carry_their_names() -> None:
    assert sorted(words(chart_pull.curve(limited(), LIGHT, WIDE), 0, "label")) == [
        "2 earlier pulls",
        "corrected",
        "observed",
    ]


def test_findings_are_marked_at_their_rpm_with_the_numbers_of_the_list() -> None:
    spec = chart_pull.curve(pull_pages.page(), LIGHT, WIDE)
    shades = {
        (row["x"], row["x2"], row["said"]): layer["mark"]["color"]
        for layer in marked(spec, 0, "rect")
        for row in rows_of(spec, layer)
        if "weight" in row
    }
    assert (4400.0, 4700.0, "1") in shades
    assert (2500.0, 2700.0, "2") in shades
    assert not any(said == "3" for _, _, said in shades)  # everywhere is no place: a bar, no shade
    bars = [row for layer in marked(spec, 0, "rule") for row in rows_of(spec, layer) if "weight" in row]
    assert {(row["x"], row["x2"], row["said"]) for row in bars} == {
        (FLOAT.low, FLOAT.high, "1"),
        (KNOCK.low, KNOCK.high, "2"),
        (SOAK.low, SOAK.high, "3"),
    }
    assert sorted(words(spec, 0, "said")[:3]) == ["1", "2", "3"]
    assert len(set(shades.values())) == 2  # a fault is told from a warning by tone, and by its number


def test_what_does_not_count_is_dotted_and_hatched() -> None:
    spec = chart_pull.curve(limited(), LIGHT, WIDE)
    lines = marked(spec, 0, "line")
    beyond = [one for one in lines if one["mark"].get("strokeDash") == list(chart_pull.BEYOND_DASH)]
    assert [rows_of(spec, one)[0]["x"] for one in beyond] == [4350.0]
    counted = rows_of(spec, lines[-1])
    assert max(row["x"] for row in counted) == 4350.0
    assert "not counted" in words(spec, 0, "said")
    hatch = [row for layer in marked(spec, 0, "rule") for row in rows_of(spec, layer) if "y2" in row]
    assert any(4350.0 <= row["x"] < 5000.0 for row in hatch)


def test_a_hole_breaks_the_line() -> None:
    page = pull_pages.page()
    assert page.counted is not None
    torque = page.counted.torque.copy()
    torque[10:13] = np.nan
    spec = chart_pull.curve(replace(page, counted=replace(page.counted, torque=torque)), LIGHT, WIDE)
    rows = rows_of(spec, marked(spec, 0, "line")[-1])
    assert [n for n, row in enumerate(rows) if row["value"] is None] == [10, 11, 12]


def test_the_keyboard_reads_finished_strings() -> None:
    fields, rows = chart_pull_rows.curve_reading(limited(), "us")
    assert [name for name, _ in fields] == ["at", "c_torque", "o_torque", "c_power", "o_power", "signs", "counted"]
    at = {row["at"]: row for row in rows}
    assert at["3,000"]["o_torque"] == "221.2"
    assert at["3,000"]["counted"] == "yes"
    assert at["4,500"]["counted"].startswith("no")
    assert at["4,500"]["signs"].startswith("1 valve float")
    assert at["2,600"]["signs"] == "2 knock, 3 heat soak"


def test_one_cursor_goes_through_all_panels() -> None:
    page = pull_pages.page(pull_pages.trace(given=rich()))
    for spec in (chart_pull.curve(page, LIGHT, WIDE), chart_pull_channels.channels(page, LIGHT, WIDE)):
        (param,) = spec["params"]
        assert param["name"] == CURSOR
        assert len(param["views"]) == len(spec["vconcat"])
        for panel, view in zip(spec["vconcat"], param["views"], strict=True):
            assert [one["name"] for one in panel["layer"] if "name" in one] == [view]
            rules = [one for one in panel["layer"] if one["encoding"].get("opacity", {}).get("condition")]
            assert all(one["encoding"]["opacity"]["condition"]["param"] == CURSOR for one in rules)
            assert rules
    assert "params" not in chart_pull_channels.channels(page, LIGHT, WIDE, live=False)


def test_every_channel_stands_in_the_order_of_the_brake_with_its_unit() -> None:
    page = pull_pages.page(pull_pages.trace(given=rich(unheard=4.0)))
    spec = chart_pull_channels.channels(page, LIGHT, WIDE)
    assert titles(spec) == [
        *("torque, observed, lb-ft", "lambda, 2 channels", "knock", "manifold pressure, absolute, inHg"),
        *("oil temperature, °F", "unheard"),
    ]
    assert words(spec, 1, "label") == ["1", "2"]
    by_time = titles(chart_pull_channels.channels(page, LIGHT, WIDE, "metric", by="time"))
    assert by_time[:2] == ["torque, observed, N m", "rpm"]
    assert "oil temperature, °C" in by_time


def test_findings_shade_the_channels_they_concern() -> None:
    page = pull_pages.page(pull_pages.trace(given=rich()))
    spec = chart_pull_channels.channels(page, LIGHT, WIDE)
    told = {title.partition(",")[0]: words(spec, n, "said") for n, title in enumerate(titles(spec))}
    assert told["torque"] == ["3", "1"]
    assert told["knock"] == ["2"]
    assert told["oil temperature"] == ["3"]
    assert told["lambda"] == []


def test_along_time_findings_stand_when_the_pull_ran_there() -> None:
    page = pull_pages.page(pull_pages.trace(given=rich()))
    spec = chart_pull_channels.channels(page, LIGHT, WIDE, by="time")
    knock = titles(spec).index("knock")
    (row,) = [row for layer in marked(spec, knock, "rule") for row in rows_of(spec, layer) if "weight" in row]
    rate = 3300.0 / 13.2
    assert row["x"] == pytest.approx((2500.0 - 1700.0) / rate, abs=0.05)
    assert row["x2"] == pytest.approx((2700.0 - 1700.0) / rate, abs=0.05)


def test_the_latest_earlier_pull_is_grey_behind() -> None:
    page = pull_pages.page(pull_pages.trace(given=rich()), earlier=2)
    spec = chart_pull_channels.channels(page, LIGHT, WIDE)
    assert spec["title"][1] == "grey: before-1"
    tones = [one["mark"]["color"] for one in marked(spec, 0, "line")]
    assert tones == [LIGHT.faint, LIGHT.builds[0]]
    assert [one["mark"]["color"] for one in marked(spec, 1, "line")].count(LIGHT.faint) == 0  # it had no lambda


def test_thinning_keeps_extremes_and_gaps() -> None:
    x = np.linspace(0.0, 100.0, 5001)
    values = np.sin(x)
    values[1234], values[4000] = 9.0, -9.0
    values[2000:2600] = np.nan
    kept = chart_pull_rows.thinned(x, values, 200)
    known = [value for _, value in kept if value is not None]
    assert (max(known), min(known)) == (9.0, -9.0)
    assert len(kept) <= 202
    gaps = [at for at, value in kept if value is None]
    assert len(gaps) == 1
    assert 40.0 <= gaps[0] <= 52.0
    assert all(one <= two for (one, _), (two, _) in pairwise(kept))


def test_few_samples_are_not_thinned_and_missing_ends_are_no_gap() -> None:
    values = np.array([np.nan, 1.0, np.nan, 3.0, np.nan])
    assert chart_pull_rows.thinned(np.arange(5.0), values, 100) == [(1, 1), (2, None), (3, 3)]
    assert chart_pull_rows.thinned(np.arange(3.0), np.full(3, np.nan), 100) == []
    assert chart_pull_rows.thinned(np.array([np.nan, 2.0, 1.0]), np.array([9.0, 5.0, 4.0]), 100) == [(1, 4), (2, 5)]


def test_a_pull_without_a_clock_is_drawn_along_rpm() -> None:
    given = rich()
    del given["time"]
    page = pull_pages.page(pull_pages.trace(given=given))
    spec = chart_pull_channels.channels(page, LIGHT, WIDE, by="time")
    assert spec["vconcat"][-1]["layer"][0]["encoding"]["x"]["axis"]["title"] == "rpm"
    assert spec["title"] == ["one: channels by rpm, as logged"]


def test_held_steps_are_dots_on_straight_lines() -> None:
    rpm = np.array([2000.0, 2500.0, 3000.0, 3500.0, 4000.0])
    steps = pull_pages.trace("steps", {"rpm": rpm, "torque": np.array([250.0, 280.0, 300.0, 290.0, 260.0])})
    page = pull_pages.page(steps, signs=())
    spec = chart_pull.curve(page, LIGHT, WIDE, "metric")
    dots = [rows_of(spec, one) for one in marked(spec, 0, "point") if one["mark"].get("size") == 40]
    assert [row["x"] for row in dots[0]] == rpm.tolist()
    assert marked(spec, 0, "area") == []  # no standard error was logged, so no band is drawn
    small = chart_pull_channels.channels(page, LIGHT, WIDE, "metric")
    assert titles(small) == ["torque, observed, N m"]
    assert marked(small, 0, "line")[0]["mark"]["point"]["filled"]


def test_a_pull_with_one_channel_beside_speed_is_drawn() -> None:
    page = pull_pages.page(pull_pages.trace(given=pull_pages.channels()))
    assert titles(chart_pull_channels.channels(page, LIGHT, NARROW)) == ["torque, observed, lb-ft"]


def test_without_a_trace_an_empty_frame_says_so() -> None:
    bare = replace(pull_pages.page(), trace=None, counted=None, whole=None)
    spec = chart_pull_channels.channels(bare, LIGHT, WIDE)
    assert "no channel can be drawn" in json.dumps(spec["datasets"])
    assert pictures.render(spec, "svg").startswith(b"<svg")
    assert pictures.render(chart_pull.curve(bare, LIGHT, WIDE), "svg").startswith(b"<svg")
    assert chart_pull_rows.curve_reading(bare, "us") == ([], [])


HOSTILE = ('<script>alert("x")</script>', "a.b[0]['c']", "datum.value", "=1+1", "\u202e\x1b[31mred", "x" * 300, "")


def test_hostile_channel_names_are_words_and_nothing_else() -> None:
    given = pull_pages.channels()
    given |= {name: np.full(400, float(n)) for n, name in enumerate(HOSTILE)}
    spec = chart_pull_channels.channels(pull_pages.page(pull_pages.trace(given=given)), LIGHT, WIDE)
    assert len(spec["vconcat"]) == 1 + len(HOSTILE)
    drawn = pictures.render(spec, "svg").decode()
    assert "<script" not in drawn
    assert "\x1b" not in json.dumps(spec, ensure_ascii=False)
    assert max(map(len, titles(spec))) <= chart_pull_panels.LONGEST_NAME


def test_sixty_channels_of_a_long_pull_stay_small() -> None:
    rng = np.random.default_rng(3)
    given = pull_pages.channels(1200)
    given |= {f"sensor {n}": rng.normal(100.0, 5.0, 1200) for n in range(58)}
    page = pull_pages.page(pull_pages.trace(given=given), earlier=1)
    spec = chart_pull_channels.channels(page, LIGHT, WIDE)
    assert len(spec["vconcat"]) == 59
    assert len(json.dumps(spec, separators=(",", ":"))) < 300_000


def test_the_cursor_reads_every_panel() -> None:
    page = pull_pages.page(pull_pages.trace(given=rich()))
    fields, rows = chart_pull_panels.reading(page, "rpm", "us")
    assert [title for _, title in fields][:3] == ["rpm", "torque, observed, lb-ft", "lambda, 2 channels"]
    assert 50 <= len(rows) <= 80
    row = next(one for one in rows if one["at"] == "2,600")
    assert row["p1"] == "0.870 / 0.880"
    assert row["signs"] == "2 knock, 3 heat soak"
    by_time = chart_pull_panels.reading(page, "time", "us")[1]
    assert by_time[0]["at"] == "0.0"


@pytest.mark.parametrize(("size", "theme"), [(WIDE, LIGHT), (NARROW, DARK)])
def test_charts_keep_to_the_schema(size: Any, theme: Any) -> None:
    page = pull_pages.page(pull_pages.trace(given=rich(), valid_to=4350.0), earlier=2)
    for spec in (chart_pull.curve(page, theme, size), chart_pull_channels.channels(page, theme, size, by="time")):
        alt.Chart.from_dict(spec, validate=True)
        assert pictures.render(spec, "svg").startswith(b"<svg")


def test_every_kind_of_sign_names_its_channels() -> None:
    from fairpull.terms.glossary import BY_NAME
    from fairpull.terms.health import SIGN_KINDS

    assert set(CONCERNS) == set(SIGN_KINDS)
    assert {name for names in CONCERNS.values() for name in names} <= set(BY_NAME)
