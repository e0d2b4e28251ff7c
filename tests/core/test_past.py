"""What past roasts of a reference tell. Check values are worked out here, by hand or by chance."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from roastside.core.past import NOTHING_LEARNED, Habits, habits_from_words, learned
from roastside.core.surely import FOUR_IN_FIVE
from tests.core.roasts import steady

ASSUMED_C, ASSUMED_S = NOTHING_LEARNED.first_crack_sd_c, NOTHING_LEARNED.drop_sd_s
"""What is believed of the spread of first crack (°C) and drop (s) before anything is learned."""


def of_cracks(*first_cracks_c: float, reference_c: float | None = 196.0) -> Habits:
    return learned(reference_c, first_cracks_c, None, ())


def of_developments(*developments_s: float, aimed_for_s: float | None = 80.0) -> Habits:
    return learned(196.0, [196.0], aimed_for_s, developments_s)


def test_without_past_roasts_nothing_is_learned() -> None:
    assert learned(196.0, [], 80.0, []) == NOTHING_LEARNED
    assert learned(None, [], None, []) == NOTHING_LEARNED
    assert NOTHING_LEARNED.first_crack_c is None


def test_the_reference_counts_as_one_roast_and_what_is_assumed_as_four() -> None:
    found = of_cracks(197.0, 195.0)
    assert found.first_crack_c == pytest.approx(196.0)
    # Four times what is assumed, 1² and 1² over 4 + 2; and a third of it again for the mean of 3.
    variance = (4.0 * ASSUMED_C**2 + 2.0) / 6.0 * 4.0 / 3.0
    assert found.first_crack_sd_c == pytest.approx(variance**0.5)
    assert found.roasts == 2


def test_a_reference_without_first_crack_leaves_it_to_the_roasts() -> None:
    found = of_cracks(197.0, reference_c=None)
    assert (found.first_crack_c, found.roasts) == (197.0, 1)
    assert found.first_crack_sd_c == pytest.approx(ASSUMED_C * 2.0**0.5)


def test_the_order_of_the_roasts_means_nothing() -> None:
    assert of_cracks(195.1, 196.3, 197.2) == of_cracks(197.2, 195.1, 196.3)


@pytest.mark.parametrize("sd_c", [0.3, 0.6, 1.2, 2.0])
def test_four_in_five_of_the_next_roasts_crack_within_the_spread_learned(sd_c: float) -> None:
    """With as many as are ever looked at, however much first crack scatters."""
    chance = Random(4)
    inside = 0
    for _ in range(2000):
        reference_c, next_c, *past_c = (chance.gauss(196.0, sd_c) for _ in range(32))
        habits = of_cracks(*past_c, reference_c=reference_c)
        assert habits.first_crack_c is not None
        inside += abs(next_c - habits.first_crack_c) < FOUR_IN_FIVE * habits.first_crack_sd_c
    assert 0.73 < inside / 2000 < 0.92


@given(
    past_c=st.lists(st.floats(195.5, 196.5), max_size=12),
    off_c=st.floats(6.0, 300.0),
    sign=st.sampled_from((-1.0, 1.0)),
)
@steady
def test_one_odd_roast_is_left_out(past_c: list[float], off_c: float, sign: float) -> None:
    assert of_cracks(*past_c, 196.0 + sign * off_c) == of_cracks(*past_c)


def test_one_roast_a_little_off_is_taken_in_and_makes_less_sure() -> None:
    usual, with_one = of_cracks(196.2, 195.8, 196.0), of_cracks(196.2, 195.8, 196.0, 198.5)
    assert with_one.roasts == 4
    assert with_one.first_crack_c == pytest.approx(196.5)
    assert with_one.first_crack_sd_c > 1.5 * usual.first_crack_sd_c


def test_three_roasts_that_agree_outweigh_a_reference_that_was_marked_wrong() -> None:
    assert of_cracks(189.0) == NOTHING_LEARNED
    found = of_cracks(189.0, 189.2, 188.8)
    assert found.first_crack_c == pytest.approx(189.0)
    assert found.first_crack_sd_c < 1.5 * ASSUMED_C
    assert found.roasts == 3


def test_the_spread_of_the_drop_is_the_hand_s_own() -> None:
    assert of_developments().drop_sd_s == ASSUMED_S
    assert of_developments(80.0, aimed_for_s=None).drop_sd_s == ASSUMED_S
    # Four times what is assumed, 12² and 12² over 4 + 2.
    variance = (4.0 * ASSUMED_S**2 + 288.0) / 6.0
    assert of_developments(68.0, 92.0).drop_sd_s == pytest.approx(variance**0.5)
    assert of_developments(*[80.0] * 20).drop_sd_s < 0.5 * ASSUMED_S


def test_a_drop_that_was_marked_much_too_late_is_left_out() -> None:
    assert of_developments(78.0, 83.0, 400.0) == of_developments(78.0, 83.0)


@given(
    first_crack_c=st.floats(0.0, 500.0),
    sd_c=st.floats(0.0, 100.0),
    drop_sd_s=st.floats(0.0, 1000.0),
    roasts=st.integers(1, 30),
)
@steady
def test_the_words_for_the_header_are_read_back(
    first_crack_c: float, sd_c: float, drop_sd_s: float, roasts: int
) -> None:
    told = Habits(first_crack_c, sd_c, drop_sd_s, roasts)
    again = habits_from_words(f" {told.in_words()} ")
    assert again.first_crack_c == pytest.approx(first_crack_c, abs=0.006)
    assert again.first_crack_sd_c == pytest.approx(sd_c, abs=0.0006)
    assert again.drop_sd_s == pytest.approx(drop_sd_s, abs=0.006)
    assert again.roasts == roasts
    assert habits_from_words(again.in_words()) == again


def test_nothing_learned_has_no_words() -> None:
    assert NOTHING_LEARNED.in_words() == ""


@pytest.mark.parametrize(
    "words",
    [
        "",
        "early, as always",
        "first_crack_c=196.00 sd_c=0.500 drop_sd_s=3.00",
        "first_crack_c=196.00 sd_c=0.500 drop_sd_s=3.00 roasts=2 more",
        "first_crack_c=nan sd_c=0.500 drop_sd_s=3.00 roasts=2",
        "first_crack_c=inf sd_c=0.500 drop_sd_s=3.00 roasts=2",
        "first_crack_c=196.00 sd_c=-0.500 drop_sd_s=3.00 roasts=2",
        "first_crack_c=" + "9" * 400 + " sd_c=0.500 drop_sd_s=3.00 roasts=2",
        "first_crack_c=١٩٦ sd_c=0.500 drop_sd_s=3.00 roasts=2",
    ],
)
def test_other_words_are_ignored(words: str) -> None:
    assert habits_from_words(words) == NOTHING_LEARNED
