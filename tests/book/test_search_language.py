"""The search language: what a text comes to mean, and how it is refused."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fairpull.book import parse_where
from fairpull.book.search.tree import Bound, Condition, DateIs, Either, Every, NumberIs, Range, Unless, WordIs
from fairpull.book.search.words import ABOUT, DATES, DERIVED, PICK_WORDS, SUMMARY
from fairpull.terms.build import PART_KINDS
from fairpull.terms.errors import SearchRefused
from fairpull.terms.glossary import CHANNELS
from fairpull.terms.units import parse

ROOT = Path(__file__).resolve().parents[2]
HORSEPOWER = 745.6998715822702  # W, 550 ft lbf/s


def meant(text: str) -> Condition:
    return parse_where(text).condition


def number(text: str) -> NumberIs:
    condition = meant(text)
    assert isinstance(condition, NumberIs)
    return condition


def word(text: str) -> WordIs:
    condition = meant(text)
    assert isinstance(condition, WordIs)
    return condition


def refusal(text: str) -> list[tuple[str, str]]:
    """Codes and places of what is wrong."""
    with pytest.raises(SearchRefused) as caught:
        parse_where(text)
    return [(fault.code, fault.where) for fault in caught.value.faults]


def test_two_conditions_in_trade_units() -> None:
    condition = meant("boost > 0.3 bar and peak power > 150 hp")
    assert isinstance(condition, Every)
    boost, power = condition.parts
    assert boost == NumberIs(("boost",), "any", Bound(">", 30000.0, 30000.0))
    assert isinstance(power, NumberIs)
    assert power.names == ("peak_power",)
    assert power.bound.low == pytest.approx(150 * HORSEPOWER)


def test_and_binds_before_or_and_not_before_both() -> None:
    a, b, c = (meant(f"boost > {n} bar") for n in (1, 2, 3))
    assert meant("boost > 1 bar or boost > 2 bar and boost > 3 bar") == Either((a, Every((b, c))))
    assert meant("(boost > 1 bar or boost > 2 bar) and boost > 3 bar") == Every((Either((a, b)), c))
    assert meant("not boost > 1 bar and boost > 2 bar") == Every((Unless(a), b))
    assert meant("NOT (boost > 1 bar AND boost > 2 bar)") == Unless(Every((a, b)))
    assert meant("not not boost > 1 bar") == a


@pytest.mark.parametrize(
    ("text", "channel", "value"),
    [
        ("oil temperature > 220 degF", "oil_temperature", (220 + 459.67) / 1.8),
        ("Oil_Temp > 220°F", "oil_temperature", (220 + 459.67) / 1.8),
        ("throttle < 98.5 %", "throttle", 0.985),
        ("humidity >= 0.45", "relative_humidity", 0.45),
        ("fuel > 100 lb/h", "fuel_mass_flow", 100 * 0.45359237 / 3600),
        ("MAP > 14.7 psi abs", "manifold_pressure", 14.7 * 6894.757293168361),
        ("boost < 3 inHg vacuum", "boost", -3 * 25.4 * 133.322387415),
        ("rpm > 6000", "rpm", 6000.0),
        ("speed>6000rpm", "rpm", 6000.0),
        ("timing > 31 deg", "spark_advance", 31 * 3.141592653589793 / 180),
    ],
)
def test_channels_go_by_the_spellings_of_the_trade(text: str, channel: str, value: float) -> None:
    condition = number(text)
    assert condition.names[0] == channel
    assert condition.bound.low == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize("channel", CHANNELS, ids=lambda channel: channel.name)
def test_every_spelling_of_the_glossary_is_a_channel(channel: object) -> None:
    assert any(channel is one for one in CHANNELS)
    for spelling in (channel.name, *channel.spellings):  # type: ignore[attr-defined]
        names = number(f"{spelling} > {_some(channel.unit)}").names  # type: ignore[attr-defined]
        assert names[0] in {one.name for one in CHANNELS}
    own = number(f"{channel.name} > {_some(channel.unit)}")  # type: ignore[attr-defined]
    assert own.names[0] == channel.name  # type: ignore[attr-defined]
    assert (len(own.names) > 1) == channel.numbered  # type: ignore[attr-defined]


def _some(unit: str) -> str:
    return f"1 {unit}"


def test_numbered_channels_mean_any_of_them_or_the_one_named() -> None:
    every = number("egt > 700 degC").names
    assert every[:3] == ("exhaust_temperature", "exhaust_temperature_1", "exhaust_temperature_2")
    assert number("egt 3 > 700 degC").names == ("exhaust_temperature_3",)
    assert number("mean lambda_2 > 0.9").names == ("lambda_2",)


@pytest.mark.parametrize(
    ("text", "names", "pick"),
    [
        ("mean boost > 1 bar", ("boost",), "mean"),
        ("average boost > 1 bar", ("boost",), "mean"),
        ("least fuel pressure < 40 psi", ("fuel_pressure",), "least"),
        ("min fuel pressure < 40 psi", ("fuel_pressure",), "least"),
        ("most oil temperature > 120 degC", ("oil_temperature",), "most"),
        ("peak boost > 1 bar", ("boost",), "most"),
        ("mean torque > 200 N m", ("mean_torque",), "any"),
        ("mean observed torque > 200 N m", ("torque",), "mean"),
        ("peak torque > 200 N m", ("peak_torque",), "any"),
        ("observed peak torque > 200 N m", ("observed_peak_torque",), "any"),
        ("engine speed of peak power > 5000", ("peak_power_rpm",), "any"),
        ("correction factor > 1.03", ("factor",), "any"),
        ("factor > 103 %", ("factor",), "any"),
        ("mean bsfc < 260 g/kWh", ("bsfc",), "mean"),
        ("ve > 95 %", ("volumetric_efficiency",), "any"),
        ("mean piston speed > 20 m/s", ("mean_piston_speed",), "any"),
        ("most piston speed > 20 m/s", ("mean_piston_speed",), "most"),
        ("sweep rate > 400 rpm/s", ("sweep_rate",), "any"),
        ("duration > 15 s", ("duration",), "any"),
    ],
)
def test_figures_are_picked(text: str, names: tuple[str, ...], pick: str) -> None:
    condition = number(text)
    assert (condition.names, condition.pick) == (names, pick)


def test_ranges_of_speed() -> None:
    assert number("lambda > 0.95 past 5000 rpm").range == Range(past=5000.0)
    assert number("lambda > 0.95 past 5 krpm").range == Range(past=5000.0)
    assert number("lambda > 0.95 below 3000").range == Range(below=3000.0)
    assert number("torque < 200 lb-ft BETWEEN 3000 AND 4000 rpm").range == Range(first=3000.0, last=4000.0)
    joined = meant("lambda > 0.95 between 3000 and 4000 rpm and boost > 1 bar")
    assert isinstance(joined, Every)
    assert len(joined.parts) == 2


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("peak power = 150 kW", 149.5e3, 150.5e3),
        ("peak power = 150.0 kW", 149.95e3, 150.05e3),
        ("boost = 0.35 bar", 0.345e5, 0.355e5),
        ("boost = 0,35 bar", 0.345e5, 0.355e5),
        ("duration = 12e3 ms", 11.5, 12.5),
        ("rpm = 1,200", 1199.5, 1200.5),
        ("lambda = 0.9", 0.85, 0.95),
        ("inlet temperature = 20 degC", 292.65, 293.65),
        ("boost = 3 inHg vac", -3.5 * 25.4 * 133.322387415, -2.5 * 25.4 * 133.322387415),
    ],
)
def test_equal_means_as_many_digits_as_were_written(text: str, low: float, high: float) -> None:
    if text == "rpm = 1,200":
        assert refusal(text) == [("comma-two-ways", "search, column 7")]
        return
    bound = number(text).bound
    assert [bound.low, bound.high] == pytest.approx([low, high])


def test_words_about_a_pull() -> None:
    assert word("engine = Anvil") == WordIs("engine", "Anvil", column=10)
    assert word("build = anvil-header").value == "anvil-header"
    assert word('build = "the blue one"').value == "the blue one"
    assert word("part ~ cam") == WordIs("part", "cam", part_of=True, column=8)
    assert word("camshaft = cam-b") == WordIs("part", "cam-b", kind="camshaft", column=12)
    assert word("state = void").value == "void"
    assert word("state = set aside").value == word("state = aside").value == "set aside"
    assert word("STATE = Counts").value == "counts"
    assert word("change = Camshaft").value == "camshaft"
    assert word("change = header").value == "exhaust"
    assert word("change = boost").value == "setting boost"
    assert word('change = "setting Main_Jet"').value == "setting main jet"
    assert word("change = paint").value == "setting paint"  # whether there is one, only the book can tell
    assert word("sign = heat soak").value == word("sign = heat-soak").value == "heat-soak"
    assert word('text ~ "burnt lead"') == WordIs("text", "burnt lead", part_of=True, column=8)
    assert word("kind = steps").value == "steps"


@pytest.mark.parametrize("kind", PART_KINDS)
def test_every_kind_of_part_is_a_word(kind: str) -> None:
    assert word(f"{kind} = some-name") == WordIs("part", "some-name", kind=kind, column=len(kind) + 4)
    assert word(f"change = {kind}").value == kind


def test_a_word_that_is_also_a_channel_is_told_apart_by_its_value() -> None:
    assert word("fuel = e85").kind == "fuel"
    assert word('fuel = "100 lb/h"').value == "100 lb/h"
    assert number("fuel = 100 lb/h").names == ("fuel_mass_flow",)
    assert word("throttle = tb-52").kind == "throttle"
    assert number("throttle = 99 %").names == ("throttle",)


def test_dates_are_days_months_or_years() -> None:
    assert meant("date = 1970-01-02") == DateIs("date", "=", 86400.0, 172800.0)
    assert meant("date >= 2026-05-23") == DateIs("date", ">=", 1779494400.0, 1779580800.0)
    assert meant("date = 1970-02") == DateIs("date", "=", 31 * 86400.0, 59 * 86400.0)
    assert meant("date < 1972") == DateIs("date", "<", 730 * 86400.0, 1096 * 86400.0)
    assert meant("taken > 1969-12-31") == DateIs("taken", ">", -86400.0, 0.0)
    assert meant("date <= 9999-12-31") == meant("date <= 9999-12-31")


@pytest.mark.parametrize(
    ("text", "code", "column"),
    [
        ("", "search-empty", 0),
        ("   ", "search-empty", 0),
        ("boost", "search-sentence", 6),
        ("boost >", "search-sentence", 8),
        ("boost > 1 bar and", "search-sentence", 18),
        ("boost > 1 bar (", "search-sentence", 15),
        ("(boost > 1 bar", "search-sentence", 15),
        ("boost > 1 bar)", "search-sentence", 14),
        ("> 3", "search-sentence", 1),
        ("lambda above 0.95", "search-sentence", 18),
        ("bost > 1 bar", "search-name", 1),
        ("boost > 1", "unit-missing", 9),
        ("boost > one bar", "not-a-number", 9),
        ("boost > 1 hp", "unit-of-another-quantity", 9),
        ("boost > 1 blurb", "unit-unknown", 9),
        ("boost > 1e999 bar", "search-number", 9),
        ("boost > 20 psi abs", "search-reference", 9),
        ("boost ~ 1 bar", "search-comparison", 7),
        ("build > 3", "search-comparison", 7),
        ("build = the blue one", "search-word", 9),
        ('build = ""', "search-word", 9),
        ("state = gone", "search-word", 9),
        ("sign = heatsoak", "search-word", 8),
        ("date = 2026-13-01", "search-date", 8),
        ("date ~ 2026", "search-comparison", 6),
        ('text ~ "burnt', "search-quote", 8),
        ("peak power > 9 hp past 3000", "search-range", 19),
        ("bsfc < 260 g/kWh past 3000", "search-range", 18),
        ("lambda > 1 past 3000 hp", "unit-of-another-quantity", 17),
        ("lambda > 1 between 4000 and 3000", "search-range", 20),
        ("lambda > 1 between 3000", "search-sentence", 24),
        ("build = a past 3000", "search-range", 11),
        ("lambda > 1 past 3000 below 4000", "search-sentence", 22),
        ("(" * 41 + "boost > 1 bar" + ")" * 41, "search-sentence", 41),
        (" or ".join(["rpm > 1"] * 101), "search-sentence", 1101),
        ("x" * 4001, "search-too-long", 0),
    ],
)
def test_what_cannot_be_understood_is_refused_with_its_column(text: str, code: str, column: int) -> None:
    assert refusal(text) == [(code, f"search, column {column}" if column else "search")]


def test_wrong_names_and_values_are_told_all_at_once() -> None:
    assert refusal("bost > 1 bar and peak power > 12 and date > soon or sign = x") == [
        ("search-name", "search, column 1"),
        ("unit-missing", "search, column 31"),
        ("search-date", "search, column 45"),
        ("search-word", "search, column 60"),
    ]


def test_a_forgotten_joining_word_is_told_with_the_value_before_it() -> None:
    assert refusal("boost > 1 bar peak power > 3 hp") == [
        ("unit-unknown", "search, column 9"),
        ("search-sentence", "search, column 26"),
    ]


def test_near_names_are_offered() -> None:
    with pytest.raises(SearchRefused) as caught:
        parse_where("oil temprature > 220 degF or mean bost > 1 bar or sign = heat-sock")
    remedies = [fault.remedy for fault in caught.value.faults]
    assert "oil temperature" in remedies[0]
    assert "mean boost" in remedies[1]
    assert "heat-soak" in remedies[2]


PIECES = st.sampled_from(
    [
        "boost",
        "peak power",
        "lambda",
        "mean",
        "egt 3",
        "build",
        "camshaft",
        "date",
        "text",
        "state",
        "sign",
        "throttle",
        ">",
        ">=",
        "<",
        "<=",
        "=",
        "~",
        "≥",
        "(",
        ")",
        "and",
        "or",
        "not",
        "past",
        "below",
        "between",
        '"',
        "'",
        ";",
        "--",
        "0.3 bar",
        "150 hp",
        "5000 rpm",
        "0.95",
        "2026-05-23",
        "anvil",
        "x'); DROP TABLE pulls; --",
        "%",
        "_",
        "\x00",
        "😀",
    ]
)


@given(st.one_of(st.text(max_size=60), st.lists(PIECES, max_size=14).map(" ".join)))
def test_any_text_is_understood_or_refused(text: str) -> None:
    try:
        assert parse_where(text).text == text
    except SearchRefused as refused:
        if not all(fault.where.startswith("search") and fault.remedy for fault in refused.faults):
            raise


@given(
    st.floats(-1e6, 1e6, allow_nan=False).map(lambda value: round(value, 3)),
    st.sampled_from([("boost", "bar", "Pa"), ("torque", "lb-ft", "N m"), ("oil temperature", "degF", "K")]),
    st.sampled_from([">", ">=", "<", "<="]),
)
def test_numbers_mean_what_the_units_room_says(value: float, about: tuple[str, str, str], comparison: str) -> None:
    name, unit, house = about
    condition = number(f"{name} {comparison} {value} {unit}")
    assert condition.bound == Bound(comparison, *[parse(f"{value} {unit}", house)] * 2)


def test_every_example_of_the_page_is_understood_or_refused_as_it_says() -> None:
    page = (ROOT / "docs" / "search.md").read_text("utf-8")
    text = re.sub(r"^```.*?^```", "", page, flags=re.DOTALL | re.MULTILINE).replace("\n", " ")
    examples = [one for one in re.findall(r"`([^`]+)`", text) if re.search(r"\w [<>=~]+ [\w\"]", one)]
    assert len(examples) > 40
    assert {one for one in examples if not understood(one)} == {
        "boost > 20 psi abs",
        "mean torque > 300 N m between 3000 and 4000 rpm",
    }


def understood(text: str) -> bool:
    try:
        parse_where(text)
    except SearchRefused:
        return False
    return True


def test_every_word_of_the_language_stands_on_its_page() -> None:
    page = (ROOT / "docs" / "search.md").read_text("utf-8")
    words = [words[0] for _, words in SUMMARY.values()] + [*ABOUT, *DATES, *PICK_WORDS]
    words += [name.replace("_", " ") for name in DERIVED if name != "lambda_flows_over_sensor"]
    assert [word for word in words if not re.search(rf"`[^`\n]*\b{word}\b", page)] == []
