"""What is said of a roast once the beans are out."""

from __future__ import annotations

from pathlib import Path

import pytest

from roastside.core.plan import RoastPlan
from roastside.core.readings import Mark, Reading
from roastside.core.session import Session
from roastside.core.units import CELSIUS, FAHRENHEIT, Degrees
from roastside.live.afterwards import TOPIC, Afterwards, afterwards
from roastside.live.opening import load_reference
from roastside.record.reader import read_roast_file
from tests.live.fixture_roasts import Fed, items_of
from tests.live.running import FIXTURES, HOUSE


def words(fixture: str, degrees: Degrees = CELSIUS, reference: Path | None = HOUSE) -> list[str]:
    readings = [item for item in items_of(fixture) if isinstance(item, Reading)]
    marks = read_roast_file(FIXTURES / f"{fixture}.csv").marks()
    held_against = None if reference is None else load_reference(reference)
    return afterwards(readings, marks, held_against, degrees)


def browning_s(fixture: str) -> float:
    marks = read_roast_file(FIXTURES / f"{fixture}.csv").marks()
    return marks["first_crack"] - marks["yellowing"]


def fed(fixture: str, with_reference: bool = True) -> Fed:
    """A roast fed up to its end."""
    session = Session(RoastPlan(), load_reference(HOUSE) if with_reference else None)
    made = Fed(session, lambda board, aside: Afterwards(board, CELSIUS, aside))
    made.feed(items_of(fixture))
    made.settled()
    return made


def told(made: Fed) -> list[str]:
    return [line.text for line in made.board.view().log if line.topic == TOPIC]


def test_a_good_repeat_is_about_the_same_as_its_reference() -> None:
    assert words("house-good-repeat-1")[-2:] == ["Against House espresso v3:", "About the same."]


def test_the_stage_that_differs_is_told_with_its_size() -> None:
    longer_s = browning_s("house-slow-browning") - browning_s("house-espresso-v3")
    assert longer_s > 20.0
    said = next(line for line in words("house-slow-browning") if line.startswith("Browning"))
    assert said.startswith(f"Browning {longer_s:.0f} s longer at ")
    assert said.endswith(" °C/min less.")


def test_the_shape_comes_first_and_in_the_degrees_asked_for() -> None:
    alone = words("house-good-repeat-1", reference=None)
    assert alone == words("house-good-repeat-1")[: len(alone)]
    assert alone[0].startswith("Sudden fall around first crack: the rate fell by ")
    assert all("°C" in line for line in alone)
    assert all("°F" in line for line in words("house-good-repeat-1", FAHRENHEIT, None))


@pytest.mark.parametrize("marks", [{}, {"charge": 20.0, "drop": 50.0}, {"charge": 99999.0}])
def test_nothing_is_said_of_what_is_no_roast(marks: dict[str, float]) -> None:
    readings = [item for item in items_of("house-good-repeat-1") if isinstance(item, Reading)]
    assert afterwards(readings, marks, load_reference(HOUSE), CELSIUS) == []


def test_it_is_said_at_the_drop_and_not_again_at_the_end() -> None:
    made = fed("house-slow-browning")
    at_drop = told(made)
    assert at_drop == words("house-slow-browning")
    version = made.board.view().version
    made.finish()
    made.settled()
    assert told(made) == at_drop
    assert made.board.view().version == version + 1, "the summary alone"


def test_before_the_drop_nothing_is_said() -> None:
    session = Session(RoastPlan(), load_reference(HOUSE))
    made = Fed(session, lambda board, aside: Afterwards(board, CELSIUS, aside))
    items = items_of("house-slow-browning")
    drop_s = next(item.time_s for item in items if isinstance(item, Mark) and item.mark == "drop")
    made.feed(items, to_s=drop_s)
    made.settled()
    assert told(made) == []
    made.finish()
    made.settled()
    assert "Drop is not marked in this roast." in told(made)


def test_a_corrected_mark_corrects_the_words_and_a_withdrawn_drop_takes_them_back() -> None:
    made = fed("house-slow-browning")
    before = told(made)
    crack_s = made.board.view().marks["first_crack"]
    now_s = made.board.view().time_s[-1]
    made.send(made.session.feed(Mark(crack_s - 10.0, "first_crack")))
    made.settled()
    after = told(made)
    longer_s = browning_s("house-slow-browning") - browning_s("house-espresso-v3") - 10.0
    assert f"Browning {longer_s:.0f} s longer" in " ".join(after)
    assert len([line for line in after if line.startswith("Browning")]) == 1
    assert after != before
    made.send(made.session.feed(Mark(now_s, "undo drop")))
    made.settled()
    assert told(made) == []


def test_nothing_is_said_where_the_temperatures_are_not_to_be_trusted() -> None:
    made = fed("house-fahrenheit")
    made.finish()
    made.settled()
    assert "drop" in made.board.view().marks
    assert told(made) == []


def test_what_goes_wrong_aside_is_one_line_of_the_log() -> None:
    made = fed("house-good-repeat-1")

    def stumble() -> None:
        raise ZeroDivisionError("a bug")

    count = len(made.board.view().log)
    made.aside.ask("What this roast was like", 700.0, stumble)
    made.settled()
    added = made.board.view().log[count:]
    assert [(line.tone, line.time_s) for line in added] == [("warn", 700.0)]
    assert added[0].text.startswith("What this roast was like: roastside stumbled (ZeroDivision")
