"""Days and figures in words."""

from __future__ import annotations

import pytest

from roastside.core.side_by_side import Moment, RoastFigures
from roastside.core.units import FAHRENHEIT
from roastside.live.day_words import day_words, days_words
from roastside.live.figure_words import figures_in_words


@pytest.mark.parametrize(
    ("moment", "words"),
    [
        ("2026-03-02T08:14:09+01:00", "2 March 2026"),
        ("2026-12-31", "31 December 2026"),
        ("some day", "some day"),
        (None, ""),
    ],
)
def test_a_day_is_told_as_it_is_spoken(moment: str | None, words: str) -> None:
    assert day_words(moment) == words


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        ("2026-03-02", "2026-03-02", "2 March 2026"),
        ("2026-03-02", "2026-03-09", "2 to 9 March 2026"),
        ("2026-03-30", "2026-04-02", "30 March to 2 April 2026"),
        ("2025-12-30", "2026-01-02", "30 December 2025 to 2 January 2026"),
    ],
)
def test_of_several_days_nothing_is_said_twice(first: str, last: str, words: str) -> None:
    assert days_words(first, last) == words


def test_figures_that_are_known_are_one_sentence() -> None:
    moments = {
        "yellowing": Moment(270.0, 150.0),
        "first_crack": Moment(560.0, 197.0),
        "drop": Moment(670.0, 205.0),
    }
    figures = RoastFigures.from_moments("a roast", moments)
    # 110 s of 670 s are 16.4 %, by division; 205 °C are 401 °F by the definition of °F.
    assert figures_in_words(figures, FAHRENHEIT) == (
        "Browning 4:50, development 1:50 (16.4 %), drop at 11:10, 401.0 °F."
    )
    assert figures_in_words(RoastFigures.from_moments("a roast", {})) == ""
