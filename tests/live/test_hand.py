"""What a person's hand did to the marks can be taken back, a step at a time."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from roastside.core.events import Marked
from roastside.core.readings import MarkSource
from roastside.live.hand import MarkHistory, TakenBack
from tests.core.roasts import steady


def told(mark: str, moment_s: float, source: MarkSource = MarkSource.AUTO) -> Marked:
    return Marked(moment_s, None, mark, None, source, moment_s=moment_s)


def test_a_press_is_known_at_once_and_its_move_goes_back_first() -> None:
    history = MarkHistory()
    history.press("first_crack", 500.0)
    history.press("first_crack", 495.0)
    assert history.last() == ("first_crack", 495.0)
    assert history.take_back() == TakenBack("first_crack", 500.0)
    assert history.take_back() == TakenBack("first_crack", None)
    assert history.take_back() is None
    assert history.last() is None


def test_what_the_roast_answers_to_a_press_is_no_further_step() -> None:
    history = MarkHistory()
    history.press("drop", 600.0)
    history.take([told("drop", 600.0, MarkSource.HAND)])
    assert history.take_back() == TakenBack("drop", None)
    assert history.take_back() is None


def test_a_detected_mark_can_be_taken_back_and_moved() -> None:
    history = MarkHistory()
    history.take([told("charge", 30.0), told("turning_point", 75.0)])
    assert history.last() == ("turning_point", 75.0)
    history.press("charge", 25.0)
    assert history.last() == ("charge", 25.0)
    assert history.take_back() == TakenBack("charge", 30.0)
    assert history.take_back() == TakenBack("turning_point", None)
    assert history.take_back() == TakenBack("charge", None)


def test_a_mark_that_detection_corrects_is_still_one_step() -> None:
    history = MarkHistory()
    history.take([told("turning_point", 75.0)])
    history.take([told("turning_point", 75.6)])
    assert history.last() == ("turning_point", 75.6)
    assert history.take_back() == TakenBack("turning_point", None)
    assert history.take_back() is None


def test_a_mark_the_roast_withdrew_is_passed_over() -> None:
    history = MarkHistory()
    history.take([told("charge", 30.0), told("turning_point", 75.0)])
    history.take([told("undo turning_point", 80.0)])
    assert history.take_back() == TakenBack("charge", None)
    assert history.take_back() is None


@steady
@given(
    st.lists(
        st.tuples(st.sampled_from(["charge", "first_crack", "drop"]), st.integers(0, 900)),
        max_size=20,
    )
)
def test_taking_everything_back_leaves_nothing(presses: list[tuple[str, int]]) -> None:
    history = MarkHistory()
    for mark, at_s in presses:
        history.press(mark, float(at_s))
    for _ in presses:
        assert history.take_back() is not None
    assert history.take_back() is None
    assert history.last() is None
