"""The sound device in a process apart: what is said to it, and what happens when it fails."""

from __future__ import annotations

import sys
import threading
from pathlib import Path

import pytest

from roastside.core.events import Priority
from roastside.sound.clips import Clips
from roastside.sound.device_player import DevicePlayer, DeviceTurn
from roastside.sound.motifs import Kind, Motif
from roastside.sound.player import Clip
from roastside.sound.tone import Tone

if sys.platform == "win32":
    pytest.skip("what the tests wait with needs POSIX", allow_module_level=True)

from tests.sound.stand_ins import PATIENCE_S, until

# There is no audio hardware where tests run: this answers as `device` does and keeps what it hears.
STAND_IN = """
import sys, time

def answer(words):
    print(words, flush=True)

said = open(sys.argv[1], "a", buffering=1)
{at_start}
answer("ready")
for line in sys.stdin:
    said.write(line)
    command = line.split()[0]
    {then}
"""

ANSWERS = "answer('tone') if command == 'tone' else [answer('began'), answer('done')]"
UNTIL_STOPPED = "answer('done' if command == 'stop' else 'began')"
SILENT = "pass"
FAILS = "answer('failed it burns'); sys.exit(1)"
DIES = "sys.exit(1)"


class Bench:
    """A player on a stand-in, and what that was told."""

    def __init__(self, folder: Path, then: str = ANSWERS, at_start: str = "") -> None:
        self.clip = Clip(folder / "a sound.wav", 0.2)
        self._said = folder / "said"
        script = folder / "device.py"
        script.write_text(STAND_IN.format(at_start=at_start, then=then))
        self.player = DevicePlayer((sys.executable, str(script), str(self._said)), patience_s=0.3)

    @property
    def said(self) -> list[str]:
        return self._said.read_text().splitlines() if self._said.exists() else []

    def in_background(self, turn: DeviceTurn) -> tuple[threading.Thread, list[str]]:
        troubles: list[str] = []
        thread = threading.Thread(target=lambda: troubles.append(turn.run()))
        thread.start()
        return thread, troubles


def test_sounds_and_tones_go_to_one_process(tmp_path: Path) -> None:
    here = Bench(tmp_path)
    assert here.player.turn(here.clip).run() == ""
    assert here.player.follow(Tone(600.0, 0.08)) == ""
    assert here.player.turn(here.clip).run() == ""
    assert here.said == [f"play {here.clip.path}", "tone 600.000 0.08000", f"play {here.clip.path}"]
    assert here.player.trouble() == ""
    here.player.close()


def test_when_a_sound_began_is_known(tmp_path: Path) -> None:
    here = Bench(tmp_path)
    turn = here.player.turn(here.clip)
    assert turn.began_s is None
    turn.run()
    assert turn.began_s is not None
    here.player.close()


def test_a_turn_is_broken_off_by_a_word(tmp_path: Path) -> None:
    here = Bench(tmp_path, UNTIL_STOPPED)
    here.clip = Clip(here.clip.path, 600.0)
    turn = here.player.turn(here.clip)
    thread, troubles = here.in_background(turn)
    until(lambda: here.said != [], "the sound")
    turn.stop()
    thread.join(PATIENCE_S)
    assert troubles == [""]
    assert here.said == [f"play {here.clip.path}", "stop"]
    turn.stop()
    assert here.player.follow(Tone()) != ""  # it answers as it does to a sound
    here.player.close()


def test_a_turn_stopped_before_it_began_is_not_played(tmp_path: Path) -> None:
    here = Bench(tmp_path)
    turn = here.player.turn(here.clip)
    turn.stop()
    assert turn.run() == ""
    assert here.said == []
    here.player.close()


@pytest.mark.parametrize(
    ("then", "at_start", "trouble"),
    [
        (SILENT, "", "the sound device does not answer"),
        (UNTIL_STOPPED, "", "the sound device does not answer"),
        (FAILS, "", "it burns"),
        (DIES, "", "the sound device has gone"),
        (ANSWERS, FAILS, "it burns"),
        (ANSWERS, DIES, "the sound device has gone"),
    ],
    ids=["never begins", "never ends", "fails", "dies", "cannot be opened", "cannot start"],
)
def test_a_device_that_fails_is_ended_and_told_of(
    tmp_path: Path, then: str, at_start: str, trouble: str
) -> None:
    here = Bench(tmp_path, then, at_start)
    assert here.player.turn(here.clip).run() == trouble
    assert here.player.trouble() == ""
    here.player.close()


def test_after_a_failure_the_device_is_opened_again(tmp_path: Path) -> None:
    mended = tmp_path / "mended"
    here = Bench(tmp_path, f"import os; {ANSWERS} if os.path.exists({str(mended)!r}) else 1 / 0")
    assert here.player.turn(here.clip).run() == "the sound device has gone"
    mended.touch()
    assert here.player.turn(here.clip).run() == ""
    here.player.close()


def test_a_device_that_goes_by_itself_is_noticed_once(tmp_path: Path) -> None:
    here = Bench(tmp_path, f"{ANSWERS}; answer('failed unplugged'); sys.exit(1)")
    assert here.player.turn(here.clip).run() == ""
    found: list[str] = []
    until(lambda: bool(found.append(here.player.trouble()) or found[-1]), "the trouble")
    assert found[-1] == "unplugged"
    assert here.player.trouble() == ""
    here.player.close()


def test_a_program_that_is_not_there_is_told_of(tmp_path: Path) -> None:
    player = DevicePlayer((str(tmp_path / "missing"),))
    assert player.turn(Clip(tmp_path / "x.wav", 0.1)).run() == (
        "the sound device cannot be started: No such file or directory"
    )
    player.close()


class TestTheLibrary:
    """The real library in its real process, on its own device that plays into the void."""

    @pytest.fixture
    def player(self) -> DevicePlayer:
        pytest.importorskip("miniaudio")
        return DevicePlayer((sys.executable, "-P", "-m", "roastside.sound.device", "null"))

    def test_it_plays_a_sound_and_a_tone(self, player: DevicePlayer) -> None:
        clips = Clips()
        turn = player.turn(clips.motif(Motif(Kind.AHEAD, Priority.LOW)))
        assert turn.run() == ""
        assert turn.began_s is not None
        assert player.follow(Tone(600.0, 0.08)) == ""
        assert player.trouble() == ""
        player.close()
        clips.close()

    def test_it_breaks_a_sound_off(self, player: DevicePlayer) -> None:
        clips = Clips()
        turn = player.turn(Clip(clips.motif(Motif(Kind.SAFETY, Priority.CRITICAL)).path, 600.0))
        troubles: list[str] = []
        thread = threading.Thread(target=lambda: troubles.append(turn.run()))
        thread.start()
        until(lambda: turn.began_s is not None, "the sound")
        turn.stop()
        thread.join(PATIENCE_S)
        assert troubles == [""]
        player.close()
        clips.close()

    def test_a_file_it_cannot_read_is_told_of(self, player: DevicePlayer, tmp_path: Path) -> None:
        path = tmp_path / "none.wav"
        assert player.turn(Clip(path, 0.1)).run().startswith(f"{path} cannot be read: ")
        player.close()

    def test_that_it_plays_into_the_void_unasked_is_told(self) -> None:
        """As the library does where it finds no sound system at all."""
        pytest.importorskip("miniaudio")
        finds_none = (
            "import miniaudio as m; real = m.PlaybackDevice; "
            "m.PlaybackDevice = lambda **how: real(**{**how, 'backends': [m.Backend.NULL]}); "
            "from roastside.sound import device; device.main()"
        )
        player = DevicePlayer((sys.executable, "-P", "-c", finds_none))
        assert player.turn(Clip(Path("x.wav"), 0.1)).run() == (
            "no sound device can be opened: this machine has no sound system that is known"
        )
        player.close()

    def test_a_device_that_is_not_there_is_told_of(self) -> None:
        pytest.importorskip("miniaudio")
        player = DevicePlayer((sys.executable, "-P", "-m", "roastside.sound.device", "jack"))
        trouble = player.turn(Clip(Path("x.wav"), 0.1)).run()
        assert trouble.startswith("no sound device can be opened: ")
        player.close()
