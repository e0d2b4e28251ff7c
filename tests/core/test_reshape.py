"""References edited: what was asked changes, smoothly, and nothing else."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from roastside.core.edits import Edit, EditKind, parse_edits
from roastside.core.errors import UsageError
from roastside.core.reference import GRID_S, Reference
from roastside.core.reshape import reshape
from roastside.core.units import FAHRENHEIT
from tests.core.good_references import HOUSE, good_reference, references
from tests.core.roasts import Truth, steady

fewer = settings(steady, max_examples=60)

STAGES = {
    "drying": ("charge", "yellowing"),
    "browning": ("yellowing", "first_crack"),
    "development": ("first_crack", "drop"),
}
SMALL = st.floats(0.05, 0.2)
SIGN = st.sampled_from([-1.0, 1.0])


@st.composite
def edits(draw: st.DrawFn) -> Edit:
    """An edit of a size that a roaster would make."""
    kind = draw(st.sampled_from(EditKind))
    sign = draw(SIGN)
    match kind:
        case EditKind.LENGTH:
            return Edit(
                kind, draw(st.sampled_from(list(STAGES))), sign * draw(st.floats(1.0, 15.0))
            )
        case EditKind.DROP:
            return Edit(kind, "drop", sign * draw(st.floats(0.2, 2.0)))
        case EditKind.CHARGE:
            return Edit(kind, "charge", sign * draw(st.floats(1.0, 15.0)))
        case EditKind.RATE:
            where = draw(st.sampled_from(["yellowing", "first_crack", "drop"]))
            return Edit(kind, where, sign * draw(st.floats(0.1, 1.0)))
        case EditKind.START:
            return Edit(kind, "drying", draw(st.none() | st.floats(-2.0, 2.0)), sign > 0.0)


def done(reference: Reference, *asked: Edit) -> Reference:
    return reshape(reference, asked).reference


def said(text: str, reference: Reference = HOUSE) -> Reference:
    return reshape(reference, parse_edits(text)).reference


def length_s(reference: Reference, stage: str) -> float:
    begins, ends = STAGES[stage]
    return reference.marks[ends] - reference.marks[begins]


def close(some_c: list[float], others_c: list[float]) -> bool:
    return bool(np.abs(np.array(some_c) - others_c).max(initial=0.0) < 1e-9)


def lowest(reference: Reference) -> int:
    return round(reference.lowest_s / GRID_S)


@fewer
@given(references, st.sampled_from(list(STAGES)), st.floats(-25.0, 25.0))
def test_a_stage_becomes_as_much_longer_as_asked_and_no_other_does(
    reference: Reference, stage: str, longer_s: float
) -> None:
    after = done(reference, Edit(EditKind.LENGTH, stage, longer_s))
    for name in STAGES:
        wanted_s = length_s(reference, name) + (longer_s if name == stage else 0.0)
        assert length_s(after, name) == pytest.approx(wanted_s, abs=0.002)
    assert after.marks["drop"] - GRID_S < after.end_s <= after.marks["drop"] + 1e-9
    for mark, at_s in reference.marks.items():
        if at_s <= reference.end_s and after.marks[mark] <= after.end_s:
            assert after.at(after.marks[mark])[0] == pytest.approx(reference.at(at_s)[0], abs=0.05)


@fewer
@given(references, st.floats(-2.0, 2.0).filter(lambda c: abs(c) > 0.01))
def test_the_drop_becomes_as_much_hotter_as_asked_and_no_mark_moves(
    reference: Reference, hotter_c: float
) -> None:
    after = done(reference, Edit(EditKind.DROP, "drop", hotter_c))
    drop_s = reference.marks["drop"]
    assert after.at(drop_s)[0] - reference.at(drop_s)[0] == pytest.approx(hotter_c, abs=0.05)
    assert after.marks == reference.marks
    before_crack = int(reference.marks["first_crack"] / GRID_S)
    assert close(after.bean_c[:before_crack], reference.bean_c[:before_crack])


@fewer
@given(references, edits())
def test_an_edited_curve_still_rises_and_its_rate_has_no_jump(
    reference: Reference, edit: Edit
) -> None:
    after = done(reference, edit)
    bean_c, slope = np.array(after.bean_c), np.array(after.slope_c_per_s)
    turned = lowest(after) + 2
    assert np.all(np.diff(bean_c[turned:]) > 0.0)
    assert np.all(slope[turned + 4 :] > 0.0)
    # The slope is that of the temperatures, by the trapezium rule.
    apart = np.abs(np.diff(bean_c) - GRID_S * (slope[1:] + slope[:-1]) / 2.0)
    assert apart.max() < 0.015
    assert apart[turned:].max() < 0.002
    # In half a second the rate changes by no more than a smooth curve's does.
    before = np.abs(np.diff(reference.slope_c_per_s))[turned:].max()
    assert np.abs(np.diff(slope))[turned:].max() < 2.5 * before + 0.004


@fewer
@given(references, edits())
def test_nothing_changes_outside_what_is_edited(reference: Reference, edit: Edit) -> None:
    before, after = reference, done(reference, edit)
    begins = {
        EditKind.CHARGE: "charge",
        EditKind.DROP: "first_crack",
        EditKind.START: "turning_point",
    }.get(edit.kind)
    if edit.kind is EditKind.LENGTH:
        begins = {"drying": "turning_point"}.get(edit.where, STAGES[edit.where][0])
    if begins is not None:
        until = int(before.marks[begins] / GRID_S)
        assert close(after.bean_c[:until], before.bean_c[:until])
    ends = {EditKind.CHARGE: "turning_point", EditKind.START: "yellowing"}.get(edit.kind)
    if edit.kind is EditKind.LENGTH:
        ends = STAGES[edit.where][1]
    if ends is not None:
        shift_s = after.marks[ends] - before.marks[ends]
        for at_s in np.arange(before.marks[ends] + 1.0, before.end_s - 1.0, 7.0):
            there = after.at(float(at_s) + shift_s)
            assert there[0] == pytest.approx(before.at(float(at_s))[0], abs=0.01)
            assert there[1] == pytest.approx(before.at(float(at_s))[1], abs=0.001)


@fewer
@given(references, st.lists(edits(), min_size=1, max_size=3))
def test_cues_keep_their_order_and_their_place_on_the_curve(
    reference: Reference, asked: list[Edit]
) -> None:
    after = done(reference, *asked)
    assert [cue.words for cue in after.cues] == [cue.words for cue in reference.cues]
    places = [cue.elapsed_s for cue in after.cues]
    assert places == sorted(places)
    assert places[0] > 0.0
    assert places[-1] < after.end_s
    for cue in after.cues:
        assert cue.bean_c == pytest.approx(after.at(cue.elapsed_s)[0], abs=0.2)


@fewer
@given(references, edits().filter(lambda edit: edit.amount is not None))
def test_an_edit_and_its_opposite_give_nearly_the_original(
    reference: Reference, edit: Edit
) -> None:
    assert edit.amount is not None
    back = done(done(reference, edit), replace(edit, amount=-edit.amount))
    assert back.end_s == reference.end_s
    rising = lowest(reference)
    apart = np.abs(np.array(back.bean_c) - reference.bean_c)
    assert apart[rising:].max() < 0.8
    assert apart[:rising].max(initial=0.0) < 1.5
    for name, at_s in reference.marks.items():
        assert back.marks[name] == pytest.approx(at_s, abs=0.01)


@fewer
@given(references, st.sampled_from(["yellowing", "first_crack", "drop"]), SIGN, SMALL)
def test_a_rate_at_a_mark_becomes_what_was_asked_and_no_mark_moves(
    reference: Reference, where: str, sign: float, share: float
) -> None:
    at_s = reference.marks[where]
    rate = 60.0 * reference.at(at_s)[1]
    after = done(reference, Edit(EditKind.RATE, where, sign * share * rate))
    assert 60.0 * after.at(at_s)[1] == pytest.approx(rate * (1.0 + sign * share), rel=0.01)
    assert after.marks == pytest.approx(reference.marks, abs=0.001)
    for mark in ("yellowing", "first_crack", "drop"):
        assert after.at(after.marks[mark])[0] == pytest.approx(
            reference.at(reference.marks[mark])[0], abs=0.05
        )


@fewer
@given(references, st.floats(0.3, 2.0))
def test_a_gentler_start_is_made_up_for_by_yellowing(reference: Reference, less: float) -> None:
    after = done(reference, Edit(EditKind.START, "drying", -less))
    turns_s, yellow_s = reference.marks["turning_point"], reference.marks["yellowing"]
    half_s = (turns_s + yellow_s) / 2.0
    assert after.at(half_s)[0] < reference.at(half_s)[0]
    assert after.at(yellow_s)[0] == pytest.approx(reference.at(yellow_s)[0], abs=0.01)
    assert after.marks == pytest.approx(reference.marks, abs=0.001)


@fewer
@given(references, st.floats(-15.0, 15.0))
def test_another_charge_leaves_the_turning_point_where_it_was(
    reference: Reference, hotter_c: float
) -> None:
    after = done(reference, Edit(EditKind.CHARGE, "charge", hotter_c))
    assert after.bean_c[0] - reference.bean_c[0] == pytest.approx(hotter_c, abs=1e-6)
    assert after.lowest_s == reference.lowest_s
    assert after.turning_point_s == reference.turning_point_s


def test_a_cue_keeps_its_place_in_its_stage() -> None:
    after = said("browning 40 s longer")
    drying, browning, development = HOUSE.cues
    assert after.cues[0].elapsed_s == pytest.approx(drying.elapsed_s, abs=0.001)
    assert browning.elapsed_s < after.cues[1].elapsed_s < browning.elapsed_s + 40.0
    assert after.cues[1].bean_c == pytest.approx(browning.bean_c, abs=0.15)
    assert after.cues[2].elapsed_s == pytest.approx(development.elapsed_s + 40.0, abs=0.001)


def test_the_corridor_moves_along() -> None:
    after = said("browning 40 s longer")
    assert after.corridor_c is not None
    assert len(after.corridor_c) == len(after.bean_c)
    crack_s = HOUSE.marks["first_crack"]
    assert after.tolerance_at(crack_s + 40.0) == pytest.approx(HOUSE.tolerance_at(crack_s))
    assert said("gentler start", good_reference(Truth(), corridor=False)).corridor_c is None


def test_everything_asked_together_is_done() -> None:
    after = said("rate at first crack 0.5 less, browning 20 s longer and drop 1 °C lower")
    assert length_s(after, "browning") == pytest.approx(
        length_s(HOUSE, "browning") + 20.0, abs=0.01
    )
    drop_c = HOUSE.at(HOUSE.marks["drop"])[0]
    assert after.at(after.marks["drop"])[0] == pytest.approx(drop_c - 1.0, abs=0.05)
    rate = 60.0 * HOUSE.at(HOUSE.marks["first_crack"])[1]
    found = 60.0 * after.at(after.marks["first_crack"])[1]
    assert found == pytest.approx(rate - 0.5, abs=0.02)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("browning 150 s shorter", "its rate would more than double; 99 s is the most"),
        ("browning 230 s longer", "its rate would more than halve; 198 s is the most"),
        ("drop 30 lower", "in development would more than halve; 3.9 °C is the most"),
        ("charge 99 lower", "before the turning point would more than halve"),
        ("rate at drop 9 more", "and can become"),
        ("start 20 gentler", "would have to make up for too much"),
    ],
)
def test_what_cannot_be_done_is_refused_with_its_limit(text: str, says: str) -> None:
    with pytest.raises(UsageError) as refused:
        said(text)
    assert says in str(refused.value)
    assert "House espresso v3" in str(refused.value)


def test_the_limit_that_is_told_can_be_done() -> None:
    said("browning 99 s shorter")
    said("browning 198 s longer")
    said("drop 3.9 °C lower")


def test_limits_are_told_in_the_degrees_of_the_person() -> None:
    with pytest.raises(UsageError, match=r"drop .* 54\.0 °F lower.* 7\.0 °F is the most"):
        reshape(HOUSE, parse_edits("drop 54 lower", FAHRENHEIT), FAHRENHEIT)


def test_a_stage_that_is_not_marked_is_not_edited() -> None:
    marks = {name: at_s for name, at_s in HOUSE.marks.items() if name != "first_crack"}
    with pytest.raises(UsageError, match="first crack is not marked"):
        said("browning 20 s longer", replace(HOUSE, marks=marks))


def test_a_stage_of_hardly_any_length_is_not_edited() -> None:
    marks = {**HOUSE.marks, "yellowing": HOUSE.marks["first_crack"] - 5.0}
    with pytest.raises(UsageError, match="lasts less than 15 s"):
        said("browning 2 s longer", replace(HOUSE, marks=marks))


def test_a_reference_that_falls_is_not_edited() -> None:
    elapsed_s, bean_c, rate = HOUSE.arrays
    dip_c = -6.0 * np.exp(-(((elapsed_s - 400.0) / 10.0) ** 2))
    slope = rate / 60.0 + np.gradient(dip_c, elapsed_s)
    falling = Reference.from_curve("dipped", elapsed_s, bean_c + dip_c, slope, HOUSE.marks)
    with pytest.raises(UsageError, match=r"dipped cannot be edited, as it falls at 6:2\d"):
        said("browning 20 s longer", falling)
