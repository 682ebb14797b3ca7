"""fairpull air: one air under every standard, side by side."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest

from fairpull.air import STANDARDS
from tests.cli.conftest import Ran

Run = Callable[..., Ran]
WORDS = ("air", "--pressure", "29.62inHg", "--temperature", "68degF", "--humidity", "56%")


def test_every_factor_side_by_side(run: Run) -> None:
    ran = run(*WORDS)
    assert (ran.code, ran.err) == (0, "")
    assert "0.990" in ran.out
    assert all(name in ran.out for name in ("SAE J1349", "SAE J607", "ISO 1585", "DIN 70020", "JIS D 1001", "UN R85"))
    assert max(map(len, ran.out.splitlines())) <= 80


def test_json_holds_every_standard(run: Run) -> None:
    ran = run(*WORDS, "--json", "--units", "metric")
    assert ran.code == 0
    assert all(f'"{key}"' in ran.out for key in STANDARDS)
    json.loads(ran.out)


def test_a_diesel_is_told_what_is_left_out(run: Run) -> None:
    ran = run(*WORDS, "--ignition", "compression")
    assert ran.code == 0
    assert "compression ignition" in ran.out


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("air", "--pressure", "29.62", "--temperature", "68degF", "--humidity", "56%"), "unit-missing"),
        (("air", "--pressure", "29.62inHg", "--temperature", "68degF"), "humidity-missing"),
        ((*WORDS, "--ignition", "glow"), "unknown-ignition"),
        ((*WORDS, "--units", "si"), "units"),
    ],
)
def test_refusals(run: Run, words: tuple[str, ...], code: str) -> None:
    (line,) = run(*words).refusals
    assert f"[{code}]" in line
