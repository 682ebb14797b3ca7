"""What the book's own comparisons say about one kind of change."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from fairpull.book import Book
from fairpull.tasks.bench.past_of import past_of
from fairpull.tasks.bench.sheet_files import keep_sheets
from fairpull.tasks.bench.take import take_files
from fairpull.terms.bench import Sheet
from fairpull.terms.errors import UnknownName
from tests.tasks.bench.shop import PARTS, codes, sweep


def run(kept: Book, folder: Path, builds: dict[str, float], more: dict[str, object] | None = None) -> None:
    """Two pulls of every build in turn, each with its gain."""
    for n in range(2):
        for place, (build, gain) in enumerate(builds.items()):
            log = sweep(
                folder / f"{build}-{n}.csv",
                f"1{n}:{5 * place:02d}:00",
                gain=gain * (1.0 + 0.0005 * n),
                more=(more or {}).get(build),  # type: ignore[arg-type]
            )
            take_files(kept, [log], build)


def test_every_comparison_of_the_kind_is_gathered(kept: Book, tmp_path: Path) -> None:
    keep_sheets(
        kept,
        [
            Sheet("part", "wide", {"kind": "exhaust", "design": "tubular", "notes": "wide"}),
            Sheet("build", "wide", {"engine": "Mill", "reference": "plain", "parts": {**PARTS, "exhaust": "wide"}}),
        ],
    )
    run(kept, tmp_path, {"plain": 1.0, "tube": 1.03, "wide": 1.05, "rich": 0.99})
    told: list[tuple[str, int, int]] = []
    found = past_of(kept, "exhaust", lambda what, number, total: told.append((what, number, total)))
    sizes = {effect.name: effect.size for effect in found.effects}
    assert set(sizes) == {"tube against plain", "wide against plain"}
    assert sizes["tube against plain"] == pytest.approx(0.03, abs=0.002)
    assert sizes["wide against plain"] == pytest.approx(0.05, abs=0.002)
    assert found.mean is not None
    assert found.mean.value == pytest.approx(0.04, abs=0.002)
    assert found.unit == "1"
    assert sorted(number for _, number, _ in told) == [1, 2]
    jets = past_of(kept, "jets")
    assert [effect.name for effect in jets.effects] == ["rich against plain"]
    assert "effects-share-pulls" in {finding.code for finding in found.findings}


def test_a_comparison_with_two_changes_is_left_out_and_told(kept: Book, tmp_path: Path) -> None:
    both = {**PARTS, "exhaust": "header", "jets": "jets-70"}
    keep_sheets(kept, [Sheet("build", "both", {"engine": "Mill", "reference": "plain", "parts": both})])
    run(kept, tmp_path, {"plain": 1.0, "both": 1.03})
    found = past_of(kept, "exhaust")
    assert found.effects == ()
    (finding,) = [one for one in found.findings if one.code == "past-several-changes"]
    assert finding.where == "both against plain"
    assert "jets" in finding.text


def test_hours_are_no_change_made_on_purpose(kept: Book, tmp_path: Path) -> None:
    body = {"engine": "Mill", "reference": "plain", "hours": "12 h", "parts": {**PARTS, "exhaust": "header"}}
    keep_sheets(kept, [Sheet("build", "later", body)])
    run(kept, tmp_path, {"plain": 1.0, "later": 1.03})
    assert [effect.name for effect in past_of(kept, "exhaust").effects] == ["later against plain"]


def test_a_setting_is_a_kind_too(kept: Book, tmp_path: Path) -> None:
    body = {"engine": "Mill", "reference": "plain", "parts": PARTS, "settings": {"spark": "3 deg more"}}
    keep_sheets(kept, [Sheet("build", "spark", body)])
    run(kept, tmp_path, {"plain": 1.0, "spark": 1.01})
    (effect,) = past_of(kept, "setting spark").effects
    assert effect.size == pytest.approx(0.01, abs=0.002)


def test_builds_whose_pulls_do_not_count_are_no_comparison(kept: Book, tmp_path: Path) -> None:
    run(kept, tmp_path, {"plain": 1.0, "tube": 1.03})
    for line in kept.pulls(builds=("tube",)):
        kept.mark(line.name, "void", "for a test")
    found = past_of(kept, "exhaust")
    assert (found.effects, found.mean) == ((), None)


def test_pulls_that_cannot_be_compared_are_told(kept: Book, tmp_path: Path) -> None:
    take_files(kept, [sweep(tmp_path / "plain.csv", high=2600.0)], "plain")
    rows = "\n".join(f"{rpm},300" for rpm in range(4000, 5001, 100))
    (tmp_path / "tube.csv").write_text(f"rpm,torque [N m]\n{rows}\n", "utf-8")
    take_files(kept, [tmp_path / "tube.csv"], "tube")
    found = past_of(kept, "exhaust")
    assert found.effects == ()
    assert "past-not-comparable" in {finding.code for finding in found.findings}


def test_boost_is_told_as_gain_per_pressure(kept: Book, tmp_path: Path) -> None:
    """10 % more torque at 20 kPa over the room: 5e-6 a pascal."""
    blown = {"engine": "Mill", "reference": "plain", "parts": {**PARTS, "compressor": "blower"}}
    keep_sheets(
        kept,
        [
            Sheet("part", "blower", {"kind": "compressor", "design": "screw", "drive": "belt"}),
            Sheet("build", "blown", blown),
        ],
    )
    run(kept, tmp_path, {"plain": 1.0, "blown": 1.10}, {"blown": {"boost [kPa]": 20.0}})
    found = past_of(kept, "boost")
    assert found.unit == "1/Pa"
    (effect,) = found.effects
    assert effect.size == pytest.approx(0.10 / 20e3, rel=0.02)
    assert np.isfinite(effect.standard_error)


def test_hardly_any_boost_gives_no_number(kept: Book, tmp_path: Path) -> None:
    blown = {"engine": "Mill", "reference": "plain", "parts": {**PARTS, "compressor": "blower"}}
    keep_sheets(
        kept,
        [
            Sheet("part", "blower", {"kind": "compressor", "design": "screw", "drive": "belt"}),
            Sheet("build", "blown", blown),
        ],
    )
    run(kept, tmp_path, {"plain": 1.0, "blown": 1.01}, {"blown": {"boost [kPa]": 1.0}})
    assert past_of(kept, "boost").effects == ()


BLOWERS = (
    Sheet("part", "blower", {"kind": "compressor", "design": "screw", "drive": "belt"}),
    Sheet("part", "snail", {"kind": "compressor", "design": "centrifugal", "drive": "belt"}),
    Sheet("part", "small", {"kind": "pulley", "ratio": 2.1}),
    Sheet("part", "large", {"kind": "pulley", "ratio": 1.8}),
    Sheet("part", "shut", {"kind": "turbine", "design": "single entry"}),
)


def blown(name: str, reference: str, settings: dict[str, str] | None = None, **parts: str) -> Sheet:
    body = {"engine": "Mill", "reference": reference, "parts": {**PARTS, **parts}, "settings": settings or {}}
    return Sheet("build", name, body)


def test_a_pulley_and_a_boost_setting_are_boost_and_a_swap_of_compressors_is_not(kept: Book, tmp_path: Path) -> None:
    """20 kPa for 10 %; 10 kPa more for 5 % more each: 5e-6 a pascal everywhere but for the swap, which is left out."""
    keep_sheets(
        kept,
        [
            *BLOWERS,
            blown("blown", "plain", compressor="blower", pulley="large"),
            blown("faster", "blown", compressor="blower", pulley="small"),
            blown("screwed", "blown", {"boost": "30 kPa"}, compressor="blower", pulley="large"),
            blown("swapped", "blown", compressor="snail", pulley="large"),
        ],
    )
    gains = {"plain": 1.0, "blown": 1.10, "faster": 1.15, "screwed": 1.15, "swapped": 1.20}
    boosts = {"blown": 20.0, "faster": 30.0, "screwed": 30.0, "swapped": 21.0}
    run(kept, tmp_path, gains, {name: {"boost [kPa]": kpa} for name, kpa in boosts.items()})
    found = past_of(kept, "boost per psi")
    assert found.kind == "boost"
    sizes = {effect.name: effect.size for effect in found.effects}
    assert set(sizes) == {"blown against plain", "faster against blown", "screwed against blown"}
    assert sizes["blown against plain"] == pytest.approx(0.10 / 20e3, rel=0.03)
    assert sizes["faster against blown"] == pytest.approx(0.05 / 1.10 / 10e3, rel=0.05)
    swaps = {effect.name for effect in past_of(kept, "supercharger").effects}
    assert swaps == {"swapped against blown"}


def test_a_cooler_fitted_with_the_compressor_is_told(kept: Book, tmp_path: Path) -> None:
    keep_sheets(
        kept,
        [
            *BLOWERS,
            Sheet("part", "cold", {"kind": "cooler", "design": "air to air"}),
            blown("cooled", "plain", compressor="blower", cooler="cold"),
        ],
    )
    run(kept, tmp_path, {"plain": 1.0, "cooled": 1.12}, {"cooled": {"boost [kPa]": 20.0}})
    found = past_of(kept, "boost")
    assert found.effects == ()
    (finding,) = [one for one in found.findings if one.code == "past-several-changes"]
    assert finding.text == "Left out: cooler was changed too."


@pytest.mark.parametrize(("word", "kind"), [("header", "exhaust"), ("Exhaust manifold", "exhaust"), ("jet", "jets")])
def test_the_trades_other_words_are_understood(kept: Book, tmp_path: Path, word: str, kind: str) -> None:
    run(kept, tmp_path, {"plain": 1.0, "tube": 1.03, "rich": 0.99})
    found = past_of(kept, word)
    assert found.kind == kind
    assert len(found.effects) == 1


def test_a_setting_goes_by_its_bare_name_and_limits_are_no_change(kept: Book, tmp_path: Path) -> None:
    settings = {"spark": "3 deg more", "spark_limits": "20-34 deg"}
    body = {"engine": "Mill", "reference": "plain", "parts": PARTS, "settings": settings}
    keep_sheets(kept, [Sheet("build", "spark", body)])
    run(kept, tmp_path, {"plain": 1.0, "spark": 1.01})
    found = past_of(kept, "timing")
    assert found.kind == "setting spark"
    assert [effect.name for effect in found.effects] == ["spark against plain"]


def test_an_effects_interval_is_the_comparisons_own(kept: Book, tmp_path: Path) -> None:
    run(kept, tmp_path, {"plain": 1.0, "tube": 1.03})
    (effect,) = past_of(kept, "exhaust").effects
    assert effect.low < effect.size < effect.high
    assert effect.high - effect.low == pytest.approx(2 * 1.959964 * effect.standard_error, rel=1e-6)


def test_a_slip_of_the_pen_is_shown_near_names(kept: Book) -> None:
    with pytest.raises(UnknownName) as refusal:
        past_of(kept, "exhuast")
    assert refusal.value.faults[0].remedy.startswith("near it: exhaust; one of: ")


@pytest.mark.parametrize("kind", ["luck", "", "settings"])
def test_another_kind_is_refused(kept: Book, kind: str) -> None:
    with pytest.raises(UnknownName, match="camshaft") as refusal:
        past_of(kept, kind)
    assert codes(refusal.value) == ["change-kind"]


def test_the_demos_own_past(demo_book: Book) -> None:
    """Scenario, section 8.3: the header paid 3.6 %."""
    (effect,) = past_of(demo_book, "exhaust").effects
    assert effect.size == pytest.approx(0.036, abs=0.004)
    assert len(effect.pulls) == 7
