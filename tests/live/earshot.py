"""A Hearing whose outlets are small real programs, and all that was heard of it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from roastside.core.events import Alert, AlertState, Event, Family, Priority
from roastside.live.hearing import Hearing, Scene
from roastside.live.outlets import Outlets
from roastside.live.sound_settings import SoundSettings
from roastside.sound.notify import Notices, Notifier
from roastside.sound.outside import Outside
from roastside.sound.players import Found
from roastside.sound.sound_queue import SoundQueue
from roastside.sound.speakers import Speaker
from roastside.sound.speech import Voice
from roastside.sound.system_player import SystemPlayer
from tests.sound.stand_ins import PATIENCE_S, StandIn

DANGER = "cut the heat"


def alert(
    name: str,
    priority: Priority,
    message: str = "look",
    state: AlertState = AlertState.RAISED,
    family: Family = Family.DEVIATION,
) -> Alert:
    return Alert(10.0, None, name, family, priority, state, message)


DRIFT = alert("below_reference", Priority.MEDIUM, "more heat: 3.2 °C low")
SPIKES = alert("spikes", Priority.LOW, "spikes", family=Family.PROBE)
CUE = alert("cue_soon", Priority.LOW, "heat to 70 % in 15 seconds", family=Family.TIMING)
DROP = alert("development_target", Priority.HIGH, "drop now", family=Family.TIMING)
FIRE = alert("over_temperature", Priority.CRITICAL, DANGER, family=Family.SAFETY)


def over(raised: Alert, state: AlertState = AlertState.CLEARED) -> Alert:
    return alert(raised.alert, raised.priority, raised.message, state, raised.family)


class Earshot:
    """Player, speaker, command and notifier are stand-ins that do as `doings` says, by name."""

    def __init__(
        self,
        folder: Path,
        choice: SoundSettings | None = None,
        scene: Scene | None = None,
        doings: dict[str, str] | None = None,
        speech_limit_s: float = PATIENCE_S,
        command_limit_s: float = PATIENCE_S,
    ) -> None:
        self.now_s = 1000.0
        self.told: list[str] = []
        self.bells: list[str] = []
        self.programs = {
            name: StandIn(folder, name, (doings or {}).get(name, ""), reads=name == "espeak-ng")
            for name in ("player", "espeak-ng", "command", "notify-send")
        }
        path = {name: str(program.path) for name, program in self.programs.items()}
        self.choice = choice or SoundSettings()
        players = (SystemPlayer("player", path["player"]),) if self.choice.on else ()
        self.sounds = SoundQueue(
            self.told.append,
            lambda motif: self.bells.append(motif.name),
            found=Found(players),
            silenced=lambda: False,
            clock=lambda: self.now_s,
            late_s=600.0,  # however slow the machine that tests
        )
        tell = self.told.append
        speaker = Speaker("espeak-ng", path["espeak-ng"])
        command = (path["command"], "{alert}: {message}")
        self.voice = Voice(speaker, tell, speech_limit_s) if self.choice.speech else None
        self.outlets = Outlets(
            self.sounds,
            self.voice,
            Outside(command, tell, command_limit_s),
            Notices(Notifier("notify-send", path["notify-send"]), tell),
        )
        self.hearing = Hearing(self.choice, self.outlets, tell, scene, lambda: self.now_s)

    def start(self, alone: bool = False) -> Earshot:
        """Begin, and let what is tried out at the start come to its end.

        alone: look by itself, in its own thread; else only when told to.
        """
        if alone:
            self.hearing.start()
        else:
            self.outlets.start()
        if self.choice.on:
            self.programs["player"].wait_for_runs(1)
        self.wait()
        return self

    def hear(self, *events: Event, later_s: float = 0.0) -> None:
        """Take these in and let out what is due so much later; wait until all of it has ended."""
        self.hearing(events)
        self.hearing.look()
        self.wait()
        if later_s:
            self.now_s += later_s
            self.hearing.look()
            self.wait()

    def wait(self) -> None:
        """Wait until nothing sounds, speaks or runs any more."""
        outlets = (self.sounds, self.voice, self.outlets.outside, self.outlets.notices)
        assert all(each.wait(PATIENCE_S) for each in outlets if each is not None)

    @property
    def played(self) -> list[str]:
        """The sounds played, without the silence at the start."""
        names = [Path(run.arguments[-1]).stem for run in self.programs["player"].runs]
        return [name for name in names if name != "silence"]

    @property
    def spoken(self) -> list[str]:
        """What was said, without the nothing that was said at the start."""
        return [run.stdin for run in self.programs["espeak-ng"].runs if run.stdin]

    @property
    def commanded(self) -> list[str]:
        return [run.arguments[0] for run in self.programs["command"].runs]

    @property
    def notified(self) -> list[list[str]]:
        return [run.arguments[-2:] for run in self.programs["notify-send"].runs]

    def close(self) -> None:
        self.hearing.stop()
        assert self.sounds.stop(PATIENCE_S)


def flood(count: int) -> Sequence[Alert]:
    """So many alerts at once, of all kinds and states."""
    kinds = (DRIFT, SPIKES, DROP, FIRE)
    return [each for n in range(count // 2) for each in (kinds[n % 4], over(kinds[n % 4]))]
