"""What the Roast screen has to say to the ear."""

from __future__ import annotations

from dataclasses import replace

import pytest

from roastside.app.moment import Moment
from roastside.app.saying import status_words, tone_now
from roastside.core.plan import RoastPlan
from roastside.core.units import FAHRENHEIT
from roastside.sound.tone import SILENCE
from tests.app.views import moment


def off(at: Moment, deviation_c: float) -> Moment:
    """The same moment, with the roast so far from its reference."""
    assert at.view.last is not None
    last = replace(at.view.last, deviation_c=deviation_c, ahead_s=0.0)
    return replace(at, view=replace(at.view, last=last))


def test_in_mid_roast_the_status_tells_all_that_is_known() -> None:
    words = status_words(moment(420.0)).split(", ")
    assert words[0] == "six minutes thirty"
    assert words[1].endswith("degrees")
    assert words[2].startswith("rate ")
    assert "seconds" in words[3] or words[3] == "on the reference"
    assert words[4].startswith("first crack in")


def test_degrees_are_those_of_the_screen() -> None:
    celsius = status_words(moment(420.0)).split(", ")[1]
    fahrenheit = status_words(moment(420.0, RoastPlan(degrees=FAHRENHEIT))).split(", ")[1]
    assert celsius.startswith("one hundred")
    assert fahrenheit.startswith("three hundred")


def test_before_the_turning_point_the_rate_and_the_pace_say_nothing() -> None:
    words = status_words(moment(40.0))
    assert "degrees" in words
    assert "rate" not in words
    assert "behind" not in words and "ahead" not in words


def test_without_a_reference_there_is_no_pace() -> None:
    words = status_words(moment(420.0, reference=False))
    assert "rate" in words
    assert "behind" not in words and "ahead" not in words and "reference" not in words


def test_in_development_it_is_told_with_the_drop_to_come() -> None:
    words = status_words(moment(640.0))
    assert "development" in words
    assert "drop" in words


def test_a_stale_reading_is_not_told_as_if_it_were_now() -> None:
    words = status_words(moment(420.0, late_s=20.0))
    assert words.endswith("no reading now")
    assert "degrees" not in words


def test_before_the_first_reading_there_is_nothing_to_tell() -> None:
    assert status_words(moment(-1.0)) == "no reading now"


@pytest.mark.parametrize(("deviation_c", "lower"), [(-6.0, True), (6.0, False)])
def test_the_tone_tells_the_side_the_roast_is_on(deviation_c: float, lower: bool) -> None:
    tone = tone_now(off(moment(420.0), deviation_c))
    assert tone.level > 0.0
    assert (tone.pitch_hz < 440.0) == lower


@pytest.mark.parametrize(
    "at",
    [
        off(moment(420.0), 0.5),
        off(moment(40.0), 20.0),
        off(moment(420.0, late_s=20.0), 20.0),
        off(moment(720.0), 20.0),
        moment(-1.0),
    ],
    ids=["inside", "before the turning point", "stale", "dropped", "no reading"],
)
def test_the_tone_is_silent_where_all_is_well_or_nothing_is_known(at: Moment) -> None:
    assert tone_now(at) == SILENCE
