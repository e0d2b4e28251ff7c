"""A practice roast: the roaster of equations, a script for its controls, and sensors with noise."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from random import Random

from roastside.core.readings import Item, Mark, MarkName, MarkSource, Reading
from roastside.probes.roaster import Beans, Machine, PracticeRoaster
from roastside.probes.source import RoastClock

COOLING_S = 45.0
"""How long a practice roast is followed after the drop."""

_PATIENCE_S = 60.0
"""Past the scripted drop by this much the practice roaster empties itself: beans must not burn."""

_LONGEST_ROAST_S = 1500.0
"""A practice roast starved of heat never cracks; it is then emptied like one forgotten."""

_CHUNK_READINGS = 50


@dataclass(frozen=True, slots=True)
class Turn:
    """A control set at an elapsed time: `control` is 'heat' or 'air', in percent."""

    elapsed_s: float
    control: str
    percent: float


@dataclass(frozen=True, slots=True)
class Sensor:
    """How the adapter sees the probes. °C, seconds; `spike_share` of readings are wild.

    Values come in steps of `step_c`, or as they are if that is 0. While the bean probe is stuck it
    repeats itself; while it is open the adapter reads 0 for it. `swapped` is bean and air the wrong
    way round; `fahrenheit` sends °F where °C are expected.
    """

    interval_s: float = 0.5
    noise_sd_c: float = 0.12
    step_c: float = 0.25
    spike_share: float = 0.0
    silent_from_s: float = float("inf")
    silent_to_s: float = float("inf")
    stuck_from_s: float = float("inf")
    stuck_to_s: float = float("inf")
    open_from_s: float = float("inf")
    open_to_s: float = float("inf")
    swapped: bool = False
    fahrenheit: bool = False


@dataclass(frozen=True, slots=True)
class Script:
    """One practice roast, told beforehand. Elapsed seconds; silence in a Sensor is stream time."""

    beans: Beans = field(default_factory=Beans)
    machine: Machine = field(default_factory=Machine)
    preheat_c: float = 205.0
    charge_at_s: float = 30.0
    turns: tuple[Turn, ...] = (
        Turn(0.0, "heat", 80.0),
        Turn(0.0, "air", 30.0),
        Turn(330.0, "heat", 78.0),
        Turn(480.0, "heat", 76.0),
        Turn(480.0, "air", 35.0),
        Turn(560.0, "heat", 66.0),
        Turn(560.0, "air", 45.0),
    )
    development_s: float = 110.0
    hears_after_s: float = 2.0
    ambient_c: float = 22.0
    sensor: Sensor = field(default_factory=Sensor)
    seed: int = 1
    marked_by_hand: bool = True


class PracticeBatch:
    """The script carried out: give it the time, it gives what happened since.

    With `marked_by_hand` the script also presses the keys a person would: each control change
    and first crack. Charge and drop are left to be detected, as on a busy day.
    """

    def __init__(self, script: Script | None = None) -> None:
        self.script = script or Script()
        self.roaster = PracticeRoaster(self.script.machine, self.script.ambient_c)
        self.roaster.preheated(self.script.preheat_c)
        self.roaster.heat = 0.5
        self._random = Random(self.script.seed)
        self._turns = list(self.script.turns)
        self._next_s = 0.0
        self._charge_s: float | None = None
        self._first_crack_s: float | None = None
        self._heard = False
        self._drop_s: float | None = None
        self._bean_c = 0.0

    @property
    def ended(self) -> bool:
        """Whether the cooling after the drop is over."""
        return self._drop_s is not None and self._next_s > self._drop_s + COOLING_S

    @property
    def next_s(self) -> float:
        """Stream time of the next reading."""
        return self._next_s

    @property
    def cracking(self) -> bool:
        """Whether a person beside the roaster would hear first crack."""
        return self._first_crack_s is not None and self._drop_s is None

    def step(self) -> list[Item]:
        """Go on to the next reading: what happened on the way, then the reading itself."""
        now_s = self._next_s
        self._next_s = round(now_s + self.script.sensor.interval_s, 3)
        items: list[Item] = list(self._act(now_s))
        if not self.script.sensor.silent_from_s <= now_s < self.script.sensor.silent_to_s:
            items.append(self._look(now_s))
        self.roaster.advance(self._next_s - now_s)
        return items

    def take(self, mark: Mark) -> None:
        """A person at the controls: heat, air or drop. The script then leaves that to them."""
        if mark.mark == MarkName.DROP and self._charge_s is not None and self._drop_s is None:
            self._empty(self._next_s)
        if mark.mark != MarkName.CONTROL:
            return
        name = mark.note.split()[0] if mark.note.split() else ""
        try:
            percent = float(mark.value)
        except ValueError:
            return
        if name in ("heat", "air") and 0.0 <= percent <= 100.0:
            self._turns = [turn for turn in self._turns if turn.control != name]
            self._set(name, percent)

    def _act(self, now_s: float) -> list[Mark]:
        if self._charge_s is None:
            if now_s < self.script.charge_at_s:
                return []
            self._charge_s = now_s
            self.roaster.charge(self.script.beans)
        marks = self._turn_controls(now_s, now_s - self._charge_s)
        if self._first_crack_s is None:
            if self.roaster.cracking > 0.05:
                self._first_crack_s = now_s
        elif not self._heard and now_s >= self._first_crack_s + self.script.hears_after_s:
            self._heard = True
            if self.script.marked_by_hand:
                marks.append(Mark(now_s, MarkName.FIRST_CRACK))
        if self._drop_s is None and self._first_crack_s is not None:
            patience_s = 0.0 if self.script.marked_by_hand else _PATIENCE_S
            heard_s = self._first_crack_s + self.script.hears_after_s
            if now_s >= heard_s + self.script.development_s + patience_s:
                self._empty(now_s)
        if self._drop_s is None and now_s - self._charge_s >= _LONGEST_ROAST_S:
            self._empty(now_s)
        return marks

    def _turn_controls(self, now_s: float, elapsed_s: float) -> list[Mark]:
        marks = []
        while self._turns and elapsed_s >= self._turns[0].elapsed_s and self._drop_s is None:
            turn = self._turns.pop(0)
            self._set(turn.control, turn.percent)
            if self.script.marked_by_hand:
                marks.append(
                    Mark(now_s, MarkName.CONTROL, f"{turn.percent:g}", f"{turn.control} %")
                )
        return marks

    def _empty(self, now_s: float) -> None:
        self._drop_s = now_s
        self.roaster.drop()
        self.roaster.heat = 0.0
        self.roaster.air = 1.0

    def _set(self, control: str, percent: float) -> None:
        setattr(self.roaster, control, percent / 100.0)

    def _look(self, now_s: float) -> Reading:
        sensor = self.script.sensor
        bean_c = self._sense(self.roaster.bean_probe_c)
        air_c = self._sense(self.roaster.air_probe_c)
        if sensor.stuck_from_s <= now_s < sensor.stuck_to_s:
            bean_c = self._bean_c
        self._bean_c = bean_c
        if sensor.open_from_s <= now_s < sensor.open_to_s:
            bean_c = 0.0
        return Reading(now_s, air_c, bean_c) if sensor.swapped else Reading(now_s, bean_c, air_c)

    def _sense(self, true_c: float) -> float:
        sensor = self.script.sensor
        shown = true_c * 1.8 + 32.0 if sensor.fahrenheit else true_c
        seen = shown + self._random.gauss(0.0, sensor.noise_sd_c)
        if sensor.spike_share and self._random.random() < sensor.spike_share:
            seen += self._random.choice((-1.0, 1.0)) * self._random.uniform(15.0, 120.0)
        if sensor.step_c <= 0.0:
            return round(seen, 3)
        return round(round(seen / sensor.step_c) * sensor.step_c, 3)


class PracticeSource:
    """A practice roast as a source, `speed` times as fast as life, or as fast as can be (None)."""

    name = "practice roaster"

    def __init__(self, script: Script | None = None, speed: float | None = 1.0) -> None:
        self.batch = PracticeBatch(script)
        self._speed = speed
        self._clock = RoastClock(speed or 1.0)

    def open(self) -> None:
        """Begin now."""
        self._clock = RoastClock(self._speed or 1.0)

    def read(self, timeout_s: float) -> Sequence[Item]:
        """What the next readings bring; at a finite speed no earlier than they are due."""
        if self.ended:
            return []
        if self._speed is None:
            items: list[Item] = []
            for _ in range(_CHUNK_READINGS):
                items += [] if self.batch.ended else self.batch.step()
            return items
        due_s = (self.batch.next_s - self._clock.now_s()) / self._speed
        if due_s > timeout_s:
            time.sleep(timeout_s)
            return []
        time.sleep(max(due_s, 0.0))
        return self.batch.step()

    def now_s(self) -> float:
        """The practice clock, seconds."""
        return self.batch.next_s if self._speed is None else self._clock.now_s()

    @property
    def ended(self) -> bool:
        return self.batch.ended

    def close(self) -> None:
        """Nothing to let go of."""

    def take(self, mark: Mark) -> None:
        """See PracticeBatch.take."""
        if mark.source is MarkSource.HAND:
            self.batch.take(mark)
