"""`surveyapp budget`: each term against its formula, and plain refusals."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from click.testing import Result

CLEAR = ("--mhz", "26500", "--width", "100", "--eirp", "55", "--distance", "120")
A_HUNDREDTH_DB = 0.01


def test_every_term_follows_its_source(answer: Callable[..., dict[str, Any]]) -> None:
    """By hand: 66 blocks of 12 (TS 38.101-2 table 5.3.2-1), ITU-R P.525 over the slant of 120 m
    and 6.5 m, UMi in sight 32.4 + 21 log10 d + 20 log10 f (TR 38.901 table 7.4.1-1), 3 dB at
    half a beamwidth (its table 7.3-1), coated glass by its table 7.4.3-2.
    """
    found = answer("budget", *CLEAR, "--off", "32.5", "--behind", "coated-glass", "--inside", "4")
    terms = {term["term"]: term["db"] for term in found["terms"]}
    slant_m = math.hypot(120.0, 6.5)
    seen_db = 32.4 + 21.0 * math.log10(slant_m) + 20.0 * math.log10(26.5)
    glass_db, concrete_db = 25.4 + 0.11 * 26.5, 5.0 + 4.0 * 26.5
    wall_db = 5.0 - 10.0 * math.log10(
        0.7 * 10.0 ** (-glass_db / 10.0) + 0.3 * 10.0 ** (-concrete_db / 10.0)
    )

    assert terms["one of its subcarriers"] == pytest.approx(-28.99, abs=A_HUNDREDTH_DB)
    assert terms["panel's pattern"] == pytest.approx(-3.0, abs=A_HUNDREDTH_DB)
    assert terms["free space"] + terms["street"] == pytest.approx(-seen_db, abs=A_HUNDREDTH_DB)
    assert terms["building, coated glass"] == pytest.approx(-wall_db - 2.0, abs=A_HUNDREDTH_DB)
    assert terms["hand and body"] == -6.0
    assert found["rsrp_dbm"] == pytest.approx(sum(terms.values()), abs=1e-9)
    assert found["sigma_db"] == pytest.approx(math.hypot(4.0, 6.5), abs=1e-9)


def test_what_is_told_is_listed_and_nothing_else(run: Callable[..., Result]) -> None:
    """Rain, leaves, a blocking and a car are lines of their own; without hands none is."""
    bare = run("budget", *CLEAR, "--body", "0").stdout
    full = run("budget", *CLEAR, "--rain", "25", "--leaves", "5", "--blocked", "60",
               "--behind", "car").stdout  # fmt: skip
    own = ("rain", "foliage", "blocked line of sight", "car", "hand and body")

    assert [name for name in own if f"\n{name} " in bare] == []
    assert [name for name in own if f"\n{name} " in full] == list(own)
    assert "counted at 60%" in full


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (("--inside", "4"), "--behind plain-glass"),
        (("--behind", "car", "--inside", "4"), "--behind plain-glass"),
        (("--width", "70"), "50, 100, 200, 400 MHz"),
        (("--width", "-100"), "1 to 2000 MHz"),
        (("--eirp", "500"), "-30 to 100 dBm"),
        (("--distance", "9000"), "0 to 5000 m"),
        (("--blocked", "101"), "0 to 100 %"),
        (("--lte",), "LTE has no carriers at 26500 MHz"),
        (("--lte", "--mhz", "1815"), "1.4, 3, 5, 10, 15, 20 MHz"),
        (("--scenario", "rural", "--mhz", "39000"), "500 to 30000 MHz"),
    ],
)
def test_what_cannot_be_is_refused_with_what_can(
    run: Callable[..., Result], more: tuple[str, ...], words: str
) -> None:
    """Exit code 2, one sentence, nothing on stdout."""
    result = run("budget", *CLEAR, *more)

    assert result.exit_code == 2
    assert result.stdout == ""
    assert words in result.stderr
    assert result.stderr.count("\n") == 1
