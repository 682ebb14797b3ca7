"""Words become a request in SI, and all words that cannot are refused at once."""

from __future__ import annotations

from pathlib import Path

import pytest

from fairpull.tasks.request import CompareRequest, compare_request
from fairpull.terms.errors import ValueRefused


def test_no_words_are_the_defaults() -> None:
    assert compare_request({}) == CompareRequest()


def test_words_become_values(tmp_path: Path) -> None:
    weights = tmp_path / "weights.csv"
    weights.write_text("hung [N m],read [N m]\n0,3\n100,103\n200,203\n", "utf-8")
    request = compare_request(
        {"by": "fuel"},
        step="100 rpm",
        band="1800-4600 rpm",
        smallest="0.5%",
        engines=["all.toml", "b=two.toml"],
        inertia="0.2kg.m2",
        calibration=[str(weights), f"log={weights}"],
        lags={"lambda": "300ms"},
        valid_to={"15": "5000rpm"},
        seed=3,
    )
    assert (request.step, request.band, request.smallest, request.seed) == (100.0, (1800.0, 4600.0), 0.005, 3)
    assert request.engine_files == {"": Path("all.toml"), "b": Path("two.toml")}
    assert (request.pulls.inertia, request.pulls.lags) == (0.2, {"lambda": 0.3})
    assert request.pulls.calibration is not None
    assert request.pulls.calibration.intercept == pytest.approx(3.0, abs=1e-9)
    assert list(request.calibrations) == ["log"]
    assert request.valid_to == {"15": 5000.0}
    assert request.read.by == "fuel"


def test_every_bad_word_is_refused_at_once_with_its_option() -> None:
    with pytest.raises(ValueRefused) as refusal:
        compare_request(
            {},
            step="-5rpm",
            band="4600",
            smallest="1",
            inertia="0.2",
            calibration=["nothing.csv"],
            lags={"lambda": "3 rpm"},
            valid_to={"15": "5000 Nm"},
        )
    places = [fault.where for fault in refusal.value.faults]
    assert places == ["nothing.csv", "--step", "--band", "--smallest", "--valid-to 15", "--inertia", "--lag lambda"]


@pytest.mark.parametrize("step", ["0rpm", "0", "5001rpm", "nan"])
def test_a_step_that_draws_nothing_is_refused(step: str) -> None:
    with pytest.raises(ValueRefused, match="--step"):
        compare_request({}, step=step)
