"""Practice roasts: a script carried out the same way every time, until a person steps in."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from roastside.core.readings import Item, Mark, MarkSource, Reading
from roastside.core.session import Session
from roastside.probes.practice import (
    COOLING_S,
    PracticeBatch,
    PracticeSource,
    Script,
    Sensor,
    Turn,
)

SCRIPT = Script(sensor=Sensor(interval_s=1.0))
LONGEST_S = 3000.0


def carried_out(
    script: Script = SCRIPT, interrupt: Callable[[PracticeBatch], None] | None = None
) -> list[Item]:
    """Everything a batch gives until it ends by itself; `interrupt` may act before each step."""
    batch = PracticeBatch(script)
    items: list[Item] = []
    while not batch.ended and batch.next_s < LONGEST_S:
        if interrupt is not None:
            interrupt(batch)
        items += batch.step()
    assert batch.ended
    return items


def readings_of(items: list[Item]) -> list[Reading]:
    return [item for item in items if isinstance(item, Reading)]


def moments(items: list[Item], mark: str) -> list[float]:
    return [item.time_s for item in items if isinstance(item, Mark) and item.mark == mark]


def at(time_s: float, *marks: Mark) -> Callable[[PracticeBatch], None]:
    """A person who acts once, at a stream time."""

    def act(batch: PracticeBatch) -> None:
        if batch.next_s == time_s:
            for mark in marks:
                batch.take(mark)

    return act


WHOLE = carried_out()


def test_the_same_seed_gives_the_same_roast_and_another_does_not() -> None:
    assert carried_out() == WHOLE
    other = carried_out(replace(SCRIPT, seed=2))
    assert other != WHOLE
    assert moments(other, "first_crack") == moments(WHOLE, "first_crack")


def test_the_script_presses_the_keys_a_person_would() -> None:
    controls = [
        (item.time_s - SCRIPT.charge_at_s, item.note, float(item.value))
        for item in WHOLE
        if isinstance(item, Mark) and item.mark == "control"
    ]
    assert controls == [(t.elapsed_s, f"{t.control} %", t.percent) for t in SCRIPT.turns]
    assert len(moments(WHOLE, "first_crack")) == 1
    assert {item.mark for item in WHOLE if isinstance(item, Mark)} == {"control", "first_crack"}
    assert {item.source for item in WHOLE if isinstance(item, Mark)} == {MarkSource.HAND}


def test_without_hands_it_makes_no_marks_and_still_empties_itself() -> None:
    items = carried_out(replace(SCRIPT, marked_by_hand=False))
    assert not [item for item in items if isinstance(item, Mark)]
    assert readings_of(items)[-1].time_s > readings_of(WHOLE)[-1].time_s


def test_charge_and_drop_are_there_to_be_found() -> None:
    session = Session()
    for item in WHOLE:
        session.feed(item)
    marks = session.finish().marks
    (crack_s,) = moments(WHOLE, "first_crack")
    charge_s = crack_s - marks["first_crack"]
    assert charge_s == pytest.approx(SCRIPT.charge_at_s, abs=1.5)
    assert marks["drop"] - marks["first_crack"] == pytest.approx(SCRIPT.development_s, abs=2.0)


def test_it_ends_when_the_cooling_is_over() -> None:
    (crack_s,) = moments(WHOLE, "first_crack")
    last_s = readings_of(WHOLE)[-1].time_s
    assert last_s == pytest.approx(crack_s + SCRIPT.development_s + COOLING_S, abs=1.0)


def test_readings_come_at_the_sensors_spacing_and_step() -> None:
    script = Script(sensor=Sensor(interval_s=0.3, step_c=0.5))
    found = readings_of(carried_out(script))
    assert [r.time_s for r in found] == [round(0.3 * k, 3) for k in range(len(found))]
    for reading in found:
        assert reading.bean_c is not None
        assert reading.air_c is not None
        assert (reading.bean_c * 2.0).is_integer()
        assert (reading.air_c * 2.0).is_integer()


def test_a_silent_stretch_has_no_readings_and_the_roast_goes_on() -> None:
    sensor = Sensor(interval_s=1.0, silent_from_s=200.0, silent_to_s=230.0)
    items = carried_out(replace(SCRIPT, sensor=sensor))
    assert not [r for r in readings_of(items) if 200.0 <= r.time_s < 230.0]
    assert moments(items, "first_crack") == moments(WHOLE, "first_crack")


def test_spikes_are_as_frequent_as_asked_for() -> None:
    sensor = Sensor(interval_s=0.5, spike_share=0.05)
    wild = readings_of(carried_out(Script(sensor=sensor)))
    still = readings_of(carried_out(Script(sensor=Sensor(interval_s=0.5))))
    off = [
        abs(a.bean_c - b.bean_c) > 10.0
        for a, b in zip(wild, still, strict=True)
        if a.bean_c is not None and b.bean_c is not None
    ]
    assert 0.03 < sum(off) / len(off) < 0.07


def test_less_heat_by_hand_makes_it_slower_and_the_script_leaves_the_heat_alone() -> None:
    slower = carried_out(interrupt=at(130.0, Mark(130.0, "control", "70", "heat %")))
    assert moments(slower, "first_crack")[0] > moments(WHOLE, "first_crack")[0] + 20.0
    notes = [i.note for i in slower if isinstance(i, Mark) and i.mark == "control"]
    assert notes == ["heat %", "air %", "air %", "air %"]


@pytest.mark.parametrize(
    "odd",
    [
        Mark(130.0, "control", "much", "heat %"),
        Mark(130.0, "control", "nan", "heat %"),
        Mark(130.0, "control", "140", "heat %"),
        Mark(130.0, "control", "-5", "air %"),
        Mark(130.0, "control", "50", "drum"),
        Mark(130.0, "control", "50", ""),
        Mark(130.0, "comment", "", "smells of bread"),
        Mark(130.0, "undo drop"),
    ],
)
def test_a_mark_it_can_not_carry_out_changes_nothing(odd: Mark) -> None:
    assert carried_out(interrupt=at(130.0, odd)) == WHOLE


def test_a_drop_by_hand_is_obeyed() -> None:
    items = carried_out(interrupt=at(400.0, Mark(400.0, "drop")))
    found = {r.time_s: r.bean_c for r in readings_of(items)}
    assert max(found) == 400.0 + COOLING_S
    assert found[400.0] is not None
    assert found[430.0] is not None
    assert found[430.0] < found[400.0] - 20.0
    assert moments(items, "first_crack") == []


def test_a_drop_before_the_charge_or_after_the_drop_changes_nothing() -> None:
    assert carried_out(interrupt=at(10.0, Mark(10.0, "drop"))) == WHOLE
    late_s = moments(WHOLE, "first_crack")[0] + SCRIPT.development_s + 20.0
    assert carried_out(interrupt=at(late_s, Mark(late_s, "drop"))) == WHOLE


def test_a_person_hears_cracking_between_first_crack_and_drop() -> None:
    heard: list[float] = []
    carried_out(interrupt=lambda batch: heard.append(batch.next_s) if batch.cracking else None)
    (crack_s,) = moments(WHOLE, "first_crack")
    assert heard[0] == pytest.approx(crack_s - SCRIPT.hears_after_s, abs=1.5)
    assert heard[-1] == pytest.approx(crack_s + SCRIPT.development_s, abs=1.5)


def test_a_turn_of_the_script_is_carried_out() -> None:
    gentle = replace(SCRIPT, turns=(*SCRIPT.turns[:2], Turn(200.0, "heat", 60.0)))
    assert moments(carried_out(gentle), "first_crack") > moments(WHOLE, "first_crack")


def test_as_a_source_it_gives_the_same_roast_at_any_speed() -> None:
    for speed in (None, 50_000.0):
        source = PracticeSource(SCRIPT, speed)
        source.open()
        items: list[Item] = []
        while not source.ended:
            items += source.read(0.05)
        assert items == WHOLE
        assert source.read(0.05) == []
        assert source.now_s() > 0.0
        source.close()


def test_as_a_source_it_gives_nothing_before_it_is_due() -> None:
    source = PracticeSource(Script(sensor=Sensor(interval_s=1000.0)), speed=1.0)
    source.open()
    assert len(source.read(0.01)) == 1
    assert source.read(0.01) == []


def test_as_a_source_it_takes_marks_from_hands_only() -> None:
    source = PracticeSource(SCRIPT, None)
    source.read(0.0)
    source.take(Mark(45.0, "drop", source=MarkSource.AUTO))
    source.take(Mark(45.0, "drop", source=MarkSource.FILE))
    source.read(0.0)
    assert not source.ended
    source.take(Mark(95.0, "drop", source=MarkSource.HAND))
    source.read(0.0)
    assert source.ended
