"""One reference out of several repeats."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from roastside.core.edits import Edit, EditKind
from roastside.core.errors import UsageError
from roastside.core.reference import GRID_S, Reference
from roastside.core.repeats import disagreeing, mean_of_repeats
from roastside.core.reshape import reshape
from roastside.core.units import FAHRENHEIT
from tests.core.good_references import HOUSE, good_reference, references
from tests.core.roasts import Truth, steady


def varied(drying_s: float, browning_s: float, development_s: float, title: str = "") -> Reference:
    """The house roast with stages so much longer."""
    edits = [
        Edit(EditKind.LENGTH, stage, longer_s)
        for stage, longer_s in (
            ("drying", drying_s),
            ("browning", browning_s),
            ("development", development_s),
        )
    ]
    return replace(reshape(HOUSE, edits).reference, title=title or HOUSE.title)


REPEATS = [varied(0.0, 0.0, 0.0), varied(6.0, -8.0, 3.0), varied(-3.0, 5.0, -6.0)]


def test_its_stages_have_the_mean_lengths() -> None:
    mean = mean_of_repeats("House espresso v4", REPEATS)
    assert mean.title == "House espresso v4"
    for name in ("turning_point", "yellowing", "first_crack", "drop"):
        wanted_s = np.mean([roast.marks[name] for roast in REPEATS])
        assert mean.marks[name] == pytest.approx(wanted_s, abs=0.002)
    assert mean.end_s == pytest.approx(mean.marks["drop"], abs=GRID_S)


def test_the_mean_of_equal_roasts_is_that_roast() -> None:
    mean = mean_of_repeats("twice", [HOUSE, HOUSE])
    assert np.abs(np.array(mean.bean_c) - HOUSE.bean_c).max() < 1e-6
    assert np.abs(np.array(mean.slope_c_per_s) - HOUSE.slope_c_per_s).max() < 1e-6
    assert [cue.words for cue in mean.cues] == [cue.words for cue in HOUSE.cues]


def with_bend(reference: Reference, at_s: float) -> Reference:
    """The same with a bend of the rate, as at first crack, at a place, and first crack there."""
    elapsed_s, bean_c, rate = reference.arrays
    width_s, size_c = 12.0, 3.0
    away = (elapsed_s - at_s) / width_s
    step_c = size_c * np.tanh(away)
    slope = rate / 60.0 + size_c / width_s / np.cosh(away) ** 2
    marks = {**reference.marks, "first_crack": at_s}
    return Reference.from_curve(reference.title, elapsed_s, bean_c + step_c, slope, marks)


def test_bends_at_different_times_are_not_smeared() -> None:
    apart = [with_bend(HOUSE, at_s) for at_s in (500.0, 520.0, 540.0)]
    mean = mean_of_repeats("bent", apart)
    sharp = max(apart[1].slope_c_per_s[900:])
    smeared = np.mean([roast.slope_c_per_s[900:1200] for roast in apart], axis=0).max()
    found = max(mean.slope_c_per_s[900:])
    assert found == pytest.approx(sharp, rel=0.05)
    assert smeared < 0.8 * sharp


@settings(steady, max_examples=40)
@given(st.lists(references, min_size=2, max_size=4))
def test_the_mean_of_rising_roasts_rises_smoothly_with_a_corridor_all_along(
    roasts: list[Reference],
) -> None:
    mean = mean_of_repeats("mean", roasts)
    turned = round(max(mean.lowest_s, mean.turning_point_s) / GRID_S) + 2
    bean_c, slope = np.array(mean.bean_c), np.array(mean.slope_c_per_s)
    assert np.all(np.diff(bean_c[turned:]) > 0.0)
    apart = np.abs(np.diff(bean_c) - GRID_S * (slope[1:] + slope[:-1]) / 2.0)
    assert apart[turned:].max() < 0.003
    assert mean.corridor_c is not None
    assert len(mean.corridor_c) == len(mean.bean_c)
    assert min(mean.corridor_c) >= 1.0


def test_the_corridor_is_wider_where_repeats_differ_more() -> None:
    close = mean_of_repeats("close", [HOUSE, varied(1.0, 0.0, 0.0), varied(-1.0, 0.0, 0.0)])
    apart = mean_of_repeats("apart", [HOUSE, varied(20.0, 0.0, 0.0), varied(-20.0, 0.0, 0.0)])
    at_s = HOUSE.marks["yellowing"]
    widths = [reference.tolerance_at(at_s) or 0.0 for reference in (close, apart)]
    assert widths[1] > 2.0 * widths[0] > 0.0


def test_cues_that_most_roasts_share_are_kept_at_their_mean_place() -> None:
    odd = replace(HOUSE, cues=(*HOUSE.cues[:1], HOUSE.cue(200.0, "air to 99 %")))
    mean = mean_of_repeats("mean", [HOUSE, REPEATS[1], odd])
    assert [cue.words for cue in mean.cues] == [cue.words for cue in HOUSE.cues]
    for cue in mean.cues:
        assert cue.bean_c == pytest.approx(mean.at(cue.elapsed_s)[0], abs=0.2)


def test_a_mark_that_few_roasts_have_is_left_out() -> None:
    odd = replace(HOUSE, marks={**HOUSE.marks, "second_crack": 600.0})
    assert "second_crack" not in mean_of_repeats("mean", [HOUSE, HOUSE, odd]).marks
    assert mean_of_repeats("mean", [odd, HOUSE, odd]).marks["second_crack"] == 600.0


def test_one_roast_is_no_mean() -> None:
    with pytest.raises(UsageError, match="at least two roasts"):
        mean_of_repeats("mean", [HOUSE])


def test_a_roast_without_a_drop_is_refused_by_name() -> None:
    marks = {name: at_s for name, at_s in HOUSE.marks.items() if name != "drop"}
    with pytest.raises(UsageError, match="batch 9 has no drop"):
        mean_of_repeats("mean", [HOUSE, replace(HOUSE, title="batch 9", marks=marks)])


def test_marks_in_the_wrong_order_are_refused() -> None:
    marks = {**HOUSE.marks, "yellowing": 580.0}
    with pytest.raises(UsageError, match="batch 9 are not in the order"):
        mean_of_repeats("mean", [HOUSE, replace(HOUSE, title="batch 9", marks=marks)])


def test_a_stray_among_good_repeats_is_named_with_what_it_did() -> None:
    stray = varied(0.0, 60.0, 0.0, "batch 14")
    (found,) = disagreeing([*REPEATS, stray])
    assert found.index == 3
    assert found.words.startswith("batch 14 lies ")
    assert "Browning 61 s longer" in found.words
    (found,) = disagreeing([HOUSE, stray, REPEATS[1]], FAHRENHEIT)
    assert found.index == 1
    assert " °F from the others" in found.words


def test_good_repeats_do_not_disagree() -> None:
    assert disagreeing(REPEATS) == []
    assert disagreeing(REPEATS[:1]) == []


def test_of_two_that_lie_apart_neither_is_taken_for_the_good_one() -> None:
    cold = good_reference(Truth(begins_c=30.0), "cold")
    assert [found.index for found in disagreeing([HOUSE, cold])] == [0, 1]


def guessed(reference: Reference, off_c: float, title: str = "") -> Reference:
    """The same, off about 300 s, where its readings were missing, and doubted by as much there."""
    elapsed_s, bean_c, rate = reference.arrays
    away = (elapsed_s - 300.0) / 30.0
    hump = np.exp(-(away**2))
    hump_slope = -2.0 * away / 30.0 * hump
    return replace(
        Reference.from_curve(
            title or reference.title,
            elapsed_s,
            bean_c + off_c * hump,
            rate / 60.0 + off_c * hump_slope,
            reference.marks,
            doubt_c=abs(off_c) * hump,
        ),
        turning_point_s=reference.turning_point_s,
    )


def test_a_guess_counts_little_beside_roasts_that_were_seen() -> None:
    mean = mean_of_repeats("mean", [HOUSE, guessed(HOUSE, 6.0), HOUSE])
    off_c = np.array(mean.bean_c) - HOUSE.bean_c
    assert np.abs(off_c).max() < 0.3
    # Slope and temperature belong together also where the weights change.
    gained = np.diff(mean.bean_c) / GRID_S
    between = (np.array(mean.slope_c_per_s[1:]) + mean.slope_c_per_s[:-1]) / 2.0
    settled = slice(round(HOUSE.turning_point_s / GRID_S) + 20, None)
    assert np.abs(gained - between)[settled].max() < 0.002
    assert 0.0 < mean.doubt_at(300.0) < 0.3
    assert mean.guesses == []
    assert mean.corridor_c is not None
    whole = mean_of_repeats("mean", [HOUSE, HOUSE, HOUSE])
    assert whole.doubt_c is None and whole.corridor_c is not None
    assert max(mean.corridor_c) < max(whole.corridor_c) + 1.0


def test_what_no_roast_was_seen_at_is_a_guess_of_the_mean_too() -> None:
    mean = mean_of_repeats("mean", [guessed(HOUSE, 4.0), guessed(HOUSE, -3.0)])
    ((begin_s, end_s),) = mean.guesses
    assert 250.0 < begin_s < 290.0 and 310.0 < end_s < 350.0


def test_a_guess_does_not_make_a_roast_disagree() -> None:
    assert disagreeing([*REPEATS, guessed(HOUSE, 25.0, "batch 14")]) == []
