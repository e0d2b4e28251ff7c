"""What is told of an edit."""

from __future__ import annotations

import numpy as np
import pytest

from roastside.core.change import edited, rate_words
from roastside.core.units import FAHRENHEIT
from tests.core.good_references import HOUSE


def test_the_stages_are_told_before_and_after() -> None:
    change = edited(HOUSE, "browning 20 s longer", title="House espresso v4")
    assert change.after.title == "House espresso v4"
    assert change.before is HOUSE
    assert change.asked == "browning 20 s longer"
    browning, crack, drop, ratio, rate = change.words
    assert browning.startswith("Browning 4:25 → 4:45 (+20 s), rate 10.4 → 9.7 °C/min")
    assert crack == "First crack at 9:01 → 9:21 (+20 s)."
    assert drop == "Drop at 10:20 → 10:40 (+20 s)."
    assert ratio == "Development ratio 12.7 → 12.4 %."
    assert rate.startswith("The rate changes by up to −")


def test_a_small_edit_is_told_too() -> None:
    assert "Drop 205.1 → 204.8 °C." in edited(HOUSE, "drop 0.3 °C lower").words


def test_temperatures_are_told_in_the_degrees_of_the_person() -> None:
    words = edited(HOUSE, "charge 9 lower", FAHRENHEIT).words
    assert words == ("Charge 392.0 → 383.0 °F.",)


def test_an_edit_within_a_stage_tells_where_the_rate_changes() -> None:
    (words,) = edited(HOUSE, "start 2 °C/min gentler").words
    assert words.startswith("The rate changes by up to −2.0 °C/min at 1:")
    assert " and +" in words


def test_the_change_of_rate_is_nought_where_the_roast_only_moved() -> None:
    change = edited(HOUSE, "browning 20 s longer")
    elapsed_s = change.after.arrays[0]
    assert len(change.rate_change_c_per_min) == len(elapsed_s)
    browning = (elapsed_s > change.after.marks["yellowing"]) & (
        elapsed_s < change.after.marks["first_crack"]
    )
    rising = elapsed_s > change.after.turning_point_s
    assert np.all(change.rate_change_c_per_min[browning & rising] <= 0.01)
    assert change.rate_change_c_per_min[browning].min() < -0.5
    outside = change.rate_change_c_per_min[rising & ~browning]
    assert outside == pytest.approx(0.0, abs=0.01)


def test_a_rate_that_hardly_changes_is_not_told() -> None:
    assert rate_words(np.array([0.0, 1.0]), np.array([0.01, -0.02])) == []
