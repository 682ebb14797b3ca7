"""A form of settings: all of them, or none."""

from __future__ import annotations

import pytest

from fairpull.book import Book
from fairpull.tasks.bench.house import change_house, house_of
from fairpull.terms.errors import UnknownName


def test_what_could_be_chosen_comes_with_what_is(kept: Book) -> None:
    house = house_of(kept)
    assert house.values["units"] == "us"
    assert "plain" in house.builds
    assert "tuesday" in house.sessions


def test_all_changes_are_made_and_a_standard_is_left_to_be_made(kept: Book) -> None:
    typed = {"units": "metric", "grid": " 200 rpm ", "fitted": "tube", "standard": "din-70020", "band": ""}
    done = change_house(kept, typed)
    assert done.faults == {}
    assert done.changed == ("units", "grid", "fitted")
    assert done.standard == "din-70020"
    settings = kept.settings()
    assert (settings["units"], settings["grid"], settings["fitted"]) == ("metric", "200 rpm", "tube")
    assert settings.get("standard", "") == ""
    assert done.house == house_of(kept)
    same = change_house(kept, {"units": "metric", "standard": ""})
    assert (same.changed, same.standard) == ((), None)


def test_one_that_cannot_be_keeps_the_others_out_and_every_fault_is_told(kept: Book) -> None:
    before = kept.settings()
    typed = {
        "units": "metric",
        "grid": "-1e400 rpm",
        "band": "4600-1800",
        "smallest": "1",
        "fitted": "none such",
        "session": "tues\x00day",
        "standard": "sae",
    }
    done = change_house(kept, typed)
    assert list(done.faults) == ["grid", "band", "smallest", "fitted", "session", "standard"]
    assert kept.settings() == before
    with pytest.raises(UnknownName):
        change_house(kept, {"colour": "red"})


@pytest.mark.parametrize("text", ["0 rpm", "1e400 rpm", "nan", "5 kg", "", "100000 rpm"])
def test_a_grid_that_no_curve_could_have_is_refused(kept: Book, text: str) -> None:
    done = change_house(kept, {"grid": text})
    assert bool(done.faults) is bool(text)
