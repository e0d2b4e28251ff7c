"""Whatever goes wrong with what is heard, the roast and its recording go on."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from queue import SimpleQueue

import pytest

from roastside.core.events import Alert, Event
from roastside.core.readings import Reading
from roastside.core.session import Session
from roastside.live.roast import LiveRoast
from roastside.live.sound_settings import SoundSettings
from roastside.record.reader import read_roast_file
from roastside.record.recorder import Recorder
from tests.live.sources import HandFedSource, wait_until

if sys.platform == "win32":
    pytest.skip("the stand-in programs start by their first line", allow_module_level=True)

from tests.live.earshot import FIRE, Earshot, flood, over
from tests.sound.stand_ins import HANG

HOT_C = 245.0
"""Above the usual over-temperature of 240 °C: a critical alert."""


class Roast:
    """A hand-fed roast that is recorded, and what is heard of it."""

    def __init__(self, folder: Path, here: Earshot) -> None:
        self.here = here
        self.file = folder / "batch.csv"
        self.source = HandFedSource()
        self.live = LiveRoast(self.source, Session(), Recorder(self.file, {"title": "batch"}))
        self.coming: SimpleQueue[Alert] = SimpleQueue()
        self.live.listen(self._hear)
        self.read: list[float] = []

    def _hear(self, events: Sequence[Event]) -> None:
        """In the roast's thread: what it told, and what a test lets it tell besides."""
        more: list[Alert] = []
        while not self.coming.empty():
            more.append(self.coming.get())
        self.here.hearing([*events, *more])

    def start(self) -> None:
        self.here.start(alone=True)
        self.live.open()
        self.live.start()

    def take(self, bean_c: float, seconds: int) -> None:
        """So many readings, one a second, and wait until the last is on the board."""
        first_s = len(self.read)
        times = [float(first_s + n) for n in range(seconds)]
        self.read += times
        self.source.put(*(Reading(time_s, bean_c + time_s % 2.0 / 4.0) for time_s in times))
        wait_until(lambda: self.shown_s == times[-1], f"the reading of {times[-1]:.0f} s")

    @property
    def shown_s(self) -> float | None:
        last = self.live.board.view().last
        return None if last is None else last.time_s

    def alarm(self) -> None:
        """Let a critical alert be told, and be over some readings later."""
        before = self.sounds
        self.coming.put(FIRE)
        self.take(150.0, 5)
        wait_until(lambda: self.sounds > before, "the sound, or the bell instead")
        self.coming.put(over(FIRE))
        self.take(150.0, 30)

    @property
    def sounds(self) -> int:
        """How often the critical sound was heard, or the bell in its place."""
        return self.here.played.count("safety-critical") + len(self.here.bells)

    def ends_well(self) -> None:
        """All that was read is in the recording, and nothing stumbled."""
        self.live.end()
        self.here.close()
        assert self.live.trouble == ""
        assert self.live.store_error is None
        assert [row.time_s for row in read_roast_file(self.file).rows if row.bean_c] == self.read


def roast(folder: Path, **earshot: object) -> Roast:
    made = Roast(folder, Earshot(folder, **earshot))  # type: ignore[arg-type]
    made.start()
    made.take(150.0, 3)
    return made


def told_of(here: Earshot, words: str) -> Callable[[], bool]:
    return lambda: any(words in line for line in here.told)


def test_the_sound_device_vanishes_in_mid_roast(tmp_path: Path) -> None:
    gone = tmp_path / "gone"
    fails = f"if os.path.exists({str(gone)!r}): sys.exit('no such device')"
    here = roast(tmp_path, doings={"player": fails})
    gone.touch()
    for _ in range(3):
        here.alarm()
    here.ends_well()
    assert here.here.bells == ["safety-critical"] * 3
    assert here.here.told == [
        "no sound: player failed (exit code 1): no such device; the terminal bell rings instead"
    ]


def test_the_speech_program_hangs(tmp_path: Path) -> None:
    hangs = f"if entry['stdin']: {HANG}"
    here = roast(tmp_path, doings={"espeak-ng": hangs}, speech_limit_s=0.2)
    for _ in range(2):
        here.here.hearing.say("where it stands")
        here.take(150.0, 20)
        wait_until(told_of(here.here, "did not come to an end"), "the trouble")
    here.alarm()
    here.ends_well()
    assert len([line for line in here.here.told if "not spoken" in line]) == 1


def test_the_command_never_returns(tmp_path: Path) -> None:
    here = roast(tmp_path, doings={"command": HANG}, command_limit_s=0.5)
    here.alarm()
    wait_until(told_of(here.here, "did not come to an end"), "the trouble")
    command = here.here.programs["command"]
    for _ in range(20):  # a slow machine ends some before they have written that they run
        here.alarm()
        here.here.wait()
        if len(command.runs) > 1:
            break
    assert len(command.runs) > 1
    here.ends_well()
    assert len([line for line in here.here.told if "the alert command" in line]) == 1


@pytest.mark.parametrize("program", ["player", "espeak-ng", "command", "notify-send"])
def test_a_program_is_taken_away_in_mid_roast(tmp_path: Path, program: str) -> None:
    choice = SoundSettings(notices=True, speech_from="low")
    here = roast(tmp_path, choice=choice)
    here.here.programs[program].path.unlink()
    here.here.hearing.say("where it stands")
    here.alarm()
    wait_until(told_of(here.here, "No such file"), "the trouble")
    here.alarm()
    here.ends_well()
    assert len(here.here.told) == 1


def test_ten_thousand_alerts_come_in_a_second(tmp_path: Path) -> None:
    here = roast(tmp_path)
    alerts = flood(10_000)
    assert len(alerts) == 10_000
    here.here.hearing(alerts)
    here.alarm()
    here.ends_well()
    played = here.here.played
    assert played.count("safety-critical") == 1
    assert len(played) <= 3, "on a slow machine some of the first are heard before the last came"
    assert len(here.here.commanded) <= 50, "only a few are let wait"
    assert [line for line in here.here.told if "faster than" not in line] == []


@pytest.mark.parametrize("leap_s", [3600.0, -3600.0])
def test_the_clock_leaps_an_hour(tmp_path: Path, leap_s: float) -> None:
    here = roast(tmp_path)
    here.alarm()
    here.here.now_s += leap_s
    here.alarm()
    here.ends_well()
    assert here.here.played == ["safety-critical"] * 2
    assert here.here.told == []


def test_the_times_of_the_readings_leap_an_hour(tmp_path: Path) -> None:
    here = roast(tmp_path)
    here.read.append(3700.0)
    here.source.put(Reading(3700.0, HOT_C))
    for second in range(1, 4):
        here.read.append(3700.0 + second)
        here.source.put(Reading(3700.0 + second, HOT_C))
    wait_until(lambda: "safety-critical" in here.here.played, "the sound after the leap")
    here.ends_well()
    assert here.here.told == []
