"""Which outlets the settings open on this machine."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from roastside.live.outlets import Outlets, all_outlets, bell_only
from roastside.live.sound_settings import SoundSettings
from roastside.live.trial import TRIAL, try_out
from roastside.sound.motifs import motif_for
from roastside.sound.speech import NO_VOICE
from roastside.sound.unheard import BY_SSH

if sys.platform == "win32":
    pytest.skip("the stand-in programs start by their first line", allow_module_level=True)

from tests.live.earshot import DROP, Earshot
from tests.sound.stand_ins import FAIL, PATIENCE_S, StandIn


class Opened:
    """Outlets made from settings with an otherwise empty PATH, and what they told and rang."""

    def __init__(self, choice: SoundSettings) -> None:
        self.lines: list[tuple[str, str]] = []
        self.bells: list[str] = []
        self.outlets = all_outlets(choice, self._tell, lambda motif: self.bells.append(motif.name))

    def _tell(self, words: str, topic: str = "", /) -> None:
        """As the log does: a topic's newer line takes the place of its older one."""
        self.lines = [line for line in self.lines if topic == "" or line[1] != topic]
        self.lines.append((words, topic))

    @property
    def told(self) -> list[str]:
        return [words for words, _ in self.lines]


@pytest.fixture(autouse=True)
def bare(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A machine with no programs but those a test puts there, and nobody far away."""
    programs = tmp_path / "programs"
    programs.mkdir()
    monkeypatch.setenv("PATH", str(programs))
    monkeypatch.setattr("roastside.sound.players.library_there", lambda: False)
    monkeypatch.delenv("SSH_CONNECTION", raising=False)
    monkeypatch.delenv("SSH_TTY", raising=False)
    return programs


def sounded(here: Opened) -> list[str]:
    """Start, sound one alert, stop; the bells that rang."""
    here.outlets.start()
    here.outlets.sounds.play(motif_for(DROP))
    assert here.outlets.sounds.wait(PATIENCE_S)
    here.outlets.stop()
    return here.bells


def test_what_is_not_wanted_is_not_opened() -> None:
    outlets = Opened(SoundSettings(speech=False)).outlets
    assert (outlets.voice, outlets.outside, outlets.notices) == (None, None, None)


def test_what_is_wanted_and_not_there_is_told_each_in_a_sentence() -> None:
    here = Opened(SoundSettings(command=("no-such-program", "{message}"), notices=True))
    assert NO_VOICE in here.told
    assert any("no-such-program is not a program" in line for line in here.told)
    assert any("no desktop notifications" in line for line in here.told)
    assert here.outlets.outside is None


def test_a_machine_that_can_neither_sound_nor_speak_tells_so_in_one_sentence(bare: Path) -> None:
    # What espeak-ng 1.51 says on a machine without a sound card.
    silent = "sys.stderr.write('error: No such file or directory')"
    StandIn(bare, "espeak-ng", silent)
    StandIn(bare, "aplay", FAIL)
    here = Opened(SoundSettings())
    here.outlets.start()
    voice = here.outlets.voice
    assert voice is not None
    assert voice.wait(PATIENCE_S)
    assert here.outlets.sounds.wait(PATIENCE_S)
    assert here.told == ["only the terminal bell is heard: check the sound device"]
    here.outlets.stop()


def test_a_machine_with_nothing_installed_tells_what_to_install_in_one_sentence() -> None:
    here = Opened(SoundSettings())
    assert sounded(here) == ["milestone-high"]
    to_do = "install espeak-ng and pip install 'roastside[sound]'"
    assert here.told == [f"only the terminal bell is heard: {to_do}"]


def test_what_is_wanted_and_there_is_opened(bare: Path) -> None:
    for name in ("espeak-ng", "notify-send", "send-it"):
        StandIn(bare, name)
    here = Opened(SoundSettings(command=("send-it",), notices=True))
    outlets = here.outlets
    assert None not in (outlets.voice, outlets.outside, outlets.notices)
    assert here.told == []


def test_with_sounds_off_only_the_bell_is_left_and_nothing_is_told() -> None:
    here = Opened(SoundSettings(on=False, speech=False))
    assert sounded(here) == ["milestone-high"]
    assert here.told == []


def test_by_ssh_nothing_is_played_or_said_on_the_other_machine(
    bare: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    speaker, player = StandIn(bare, "espeak-ng"), StandIn(bare, "aplay")
    monkeypatch.setenv("SSH_CONNECTION", "192.0.2.1 50000 192.0.2.2 22")
    here = Opened(SoundSettings())
    assert sounded(here) == ["milestone-high"]
    assert (here.outlets.voice, speaker.runs, player.runs) == (None, [], [])
    assert here.told == [BY_SSH]


def test_the_bell_alone_plays_and_tells_nothing(bare: Path) -> None:
    player, told, bells = StandIn(bare, "aplay"), list[str](), list[str]()
    outlets = bell_only(
        SoundSettings(),
        lambda words, topic="": told.append(words),
        lambda motif: bells.append(motif.name),
    )
    outlets.start()
    outlets.sounds.play(motif_for(DROP))
    assert outlets.sounds.wait(PATIENCE_S)
    outlets.stop()
    assert (bells, told, player.runs) == (["milestone-high"], [], [])


def test_a_trial_sounds_speaks_runs_and_notifies_once(tmp_path: Path) -> None:
    here = Earshot(tmp_path)
    told = try_out(here.choice, here.outlets)
    here.close()
    assert told == ["a sound", "a sentence", "the command", "a notification"]
    assert here.played == [motif_for(TRIAL).name]
    assert here.spoken == [TRIAL.message]
    assert here.commanded == [f"trial: {TRIAL.message}"]
    assert here.notified == [["roast: trial", TRIAL.message]]
    assert here.told == []


def test_a_trial_of_nothing_does_nothing() -> None:
    choice = SoundSettings(on=False, speech=False)
    here = Opened(choice)
    assert try_out(choice, here.outlets) == []
    assert (here.told, here.bells) == ([], [])


def test_outlets_never_started_can_be_stopped() -> None:
    outlets: Outlets = Opened(SoundSettings()).outlets
    outlets.stop()
