"""The demo: a practice roast through a real serial line, against a shipped reference."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from importlib.resources import as_file, files
from time import monotonic

from roastside.core.plan import RoastPlan
from roastside.core.readings import Item, Mark, Outage, Reading
from roastside.core.reference import Reference
from roastside.core.session import Session
from roastside.live.opening import load_reference
from roastside.probes.practice import PracticeSource, Script, Sensor, Turn
from roastside.probes.serial_source import SerialSource
from roastside.probes.virtual_line import virtual_line
from roastside.probes.wire.spec import parse_wire

DEMO_SPEED = 10.0

_LINE_PATIENCE_S = 2.0

DEMO_SCRIPT = Script(
    turns=(
        Turn(0.0, "heat", 80.0),
        Turn(0.0, "air", 30.0),
        Turn(210.0, "heat", 66.0),
        Turn(330.0, "heat", 90.0),
        Turn(480.0, "heat", 78.0),
        Turn(480.0, "air", 35.0),
        Turn(560.0, "heat", 66.0),
        Turn(560.0, "air", 45.0),
    ),
    sensor=Sensor(noise_sd_c=0.15),
    seed=26,
)
"""A batch of the house espresso whose heat was cut too early and put back too late."""


class LineClock:
    """A clock that stands at the reading being sent down the line."""

    def __init__(self) -> None:
        self._now_s = 0.0

    def set(self, now_s: float) -> None:
        self._now_s = now_s

    def now_s(self) -> float:
        return self._now_s


class DemoSource:
    """A practice roast whose every reading goes down a pseudo-terminal as text and comes back.

    The line, pyserial and the wire are the real ones. The reading keeps the practice roast's time,
    whatever the speed, so a demo gives the same events at any.
    """

    name = "demo roaster"

    def __init__(self, script: Script, speed: float | None) -> None:
        self._practice = PracticeSource(script, speed)
        self._line = virtual_line()
        self._clock = LineClock()
        self._probe = SerialSource(self._line.port, parse_wire("lines"), 9600, self._clock)

    @property
    def port(self) -> str:
        """The serial port that the demo's readings come from."""
        return self._line.port

    def open(self) -> None:
        """Open the line and begin. Raises ProbeError if this machine has none to give."""
        self._probe.open()
        # The first line may be the end of one begun before, for all the listener knows; ours is
        # spent on nothing, so that the first reading is taken as whole.
        self._line.write(b"# practice\n")
        self._practice.open()

    def read(self, timeout_s: float) -> Sequence[Item]:
        """See Source.read."""
        items: list[Item] = []
        for item in self._practice.read(timeout_s):
            items += self._through_line(item) if isinstance(item, Reading) else [item]
        return items

    def _through_line(self, reading: Reading) -> Sequence[Item]:
        self._clock.set(reading.time_s)
        self._line.write(f"{reading.bean_c:.2f},{reading.air_c:.2f}\n".encode())
        give_up = monotonic() + _LINE_PATIENCE_S
        while monotonic() < give_up:
            if items := self._probe.read(0.1):
                return items
        return [Outage(reading.time_s, "the demo's line gave nothing back")]

    def now_s(self) -> float:
        """See Source.now_s."""
        return self._practice.now_s()

    @property
    def ended(self) -> bool:
        return self._practice.ended

    def close(self) -> None:
        """Let go of the line."""
        self._probe.close()
        self._line.unplug()

    def take(self, mark: Mark) -> None:
        """A person turned heat or air, or dropped: the practice roaster obeys."""
        self._practice.take(mark)

    @property
    def hint(self) -> str:
        """What a person beside the roaster would hear just now; empty if nothing."""
        return "You hear the beans crack." if self._practice.batch.cracking else ""


def demo_source(speed: float | None) -> DemoSource:
    """The demo's roast. At full speed a script presses the keys; else the person does."""
    return DemoSource(replace(DEMO_SCRIPT, marked_by_hand=speed is None), speed)


def demo_reference() -> Reference:
    """The reference shipped with the demo."""
    with as_file(files("roastside.live") / "house-espresso-v3.csv") as path:
        return load_reference(path)


def demo_session(plan: RoastPlan) -> Session:
    """A session against the demo's reference."""
    return Session(plan, demo_reference())
