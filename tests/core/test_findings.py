"""How findings are told."""

from __future__ import annotations

import pytest

from roastside.core.findings import Finding, FindingKind, clock, finding_words
from roastside.core.units import FAHRENHEIT


@pytest.mark.parametrize(
    ("kind", "size", "words"),
    [
        (
            FindingKind.FALLING,
            21.04,
            "The rate fell all the way from 8:05 to 8:45, by 21.0 °C/min.",
        ),
        (FindingKind.RISE, 2.0, "The rate rose again by 2.0 °C/min, from 8:05 to 8:45."),
        (
            FindingKind.SUDDEN_FALL,
            3.0,
            "Sudden fall around first crack: the rate fell by 3.0 °C/min more than its steady "
            "decline, from 8:05 to 8:45.",
        ),
        (
            FindingKind.REBOUND,
            2.5,
            "Rebound after the sudden fall: the rate rose by 2.5 °C/min, from 8:05 to 8:45.",
        ),
        (
            FindingKind.STALL,
            -0.5,
            "Stall: hardly any rise for 40 s, from 8:05 to 8:45; lowest rate −0.5 °C/min.",
        ),
    ],
)
def test_each_kind_is_a_sentence(kind: FindingKind, size: float, words: str) -> None:
    assert finding_words(Finding(kind, 485.0, 525.0, size)) == words


def test_a_rate_in_fahrenheit_is_nine_fifths_as_large() -> None:
    words = finding_words(Finding(FindingKind.RISE, 0.0, 60.0, 2.0), FAHRENHEIT)
    assert words == "The rate rose again by 3.6 °F/min, from 0:00 to 1:00."


def test_seconds_are_rounded_before_they_are_parted_into_minutes() -> None:
    assert clock(59.7) == "1:00"
