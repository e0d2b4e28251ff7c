"""Sounds through a program of the system: real programs that stand in for it."""

from __future__ import annotations

import shutil
import sys
import threading
from pathlib import Path

import pytest

from roastside.core.events import Priority
from roastside.sound.clips import Clips
from roastside.sound.motifs import Kind, Motif
from roastside.sound.player import Clip
from roastside.sound.players import NO_PLAYER, find_players
from roastside.sound.system_player import SystemPlayer, find_system_players
from roastside.sound.unheard import BY_SSH

if sys.platform == "win32":
    pytest.skip("the stand-in programs start by their first line", allow_module_level=True)

from tests.sound.stand_ins import FAIL, HANG, StandIn
from tests.sound.wav_reading import Wav

MOTIF = Motif(Kind.BEHIND, Priority.MEDIUM)


def player(folder: Path, then: str = "") -> tuple[SystemPlayer, StandIn]:
    stand_in = StandIn(folder, "aplay", then)
    return SystemPlayer("aplay", str(stand_in.path)), stand_in


def test_the_program_is_given_the_sound_as_a_file(tmp_path: Path) -> None:
    kept = tmp_path / "kept.wav"
    aplay, stand_in = player(tmp_path, f"import shutil; shutil.copy(sys.argv[-1], {str(kept)!r})")
    clips = Clips(volume=0.5)
    clip = clips.motif(MOTIF)
    assert aplay.turn(clip).run() == ""
    assert [run.arguments for run in stand_in.runs] == [["-q", str(clip.path)]]
    wav = Wav.read(kept)
    assert len(wav.pulses()) == 3
    assert wav.peak == pytest.approx(0.5 * MOTIF.level, abs=0.001)
    assert clip.seconds == pytest.approx(len(wav.samples) / wav.rate_hz)
    clips.close()
    assert not clip.path.parent.exists()


def test_a_sound_is_made_once(tmp_path: Path) -> None:
    clips = Clips()
    assert clips.motif(MOTIF) is clips.motif(MOTIF)
    clips.close()


def test_a_program_that_fails_is_told_of(tmp_path: Path) -> None:
    aplay, _ = player(tmp_path, FAIL)
    assert aplay.turn(Clip(tmp_path / "x.wav", 0.1)).run() == (
        "aplay failed (exit code 1): no such voice"
    )


def test_a_program_that_hangs_is_ended(tmp_path: Path) -> None:
    aplay, _ = player(tmp_path, HANG)
    clip = Clip(tmp_path / "x.wav", -2.5)  # so that its time is up half a second from now
    assert aplay.turn(clip).run() == "aplay did not come to an end and was ended"


def test_a_turn_that_is_stopped_ends_without_trouble(tmp_path: Path) -> None:
    aplay, stand_in = player(tmp_path, HANG)
    turn = aplay.turn(Clip(tmp_path / "x.wav", 600.0))
    troubles: list[str] = []
    thread = threading.Thread(target=lambda: troubles.append(turn.run()))
    thread.start()
    stand_in.wait_for_runs(1)
    turn.stop()
    thread.join(30.0)
    assert troubles == [""]


def test_a_turn_stopped_before_it_began_does_not_begin(tmp_path: Path) -> None:
    aplay, stand_in = player(tmp_path)
    turn = aplay.turn(Clip(tmp_path / "x.wav", 1.0))
    turn.stop()
    assert turn.run() == ""
    assert stand_in.runs == []


@pytest.mark.parametrize(
    ("platform", "names"),
    [("linux", ["pw-play", "paplay", "aplay"]), ("darwin", ["afplay"]), ("win32", [])],
)
def test_all_players_of_the_system_are_found_in_order(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, platform: str, names: list[str]
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    assert find_system_players(platform) == []
    for name in ("aplay", "afplay", "paplay", "pw-play"):
        StandIn(tmp_path, name)
        assert shutil.which(name)
    assert [found.name for found in find_system_players(platform)] == names


def test_by_ssh_there_are_no_players_and_a_reason(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    StandIn(tmp_path, "aplay")
    here = find_players("linux", {})
    assert [found.name for found in here.players][-1] == "aplay"
    assert here.why_none == ""
    there = find_players("linux", {"SSH_CONNECTION": "10.0.0.2 50000 10.0.0.3 22"})
    assert (there.players, there.why_none) == ((), BY_SSH)


def test_without_any_player_the_reason_says_what_to_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr("roastside.sound.players.library_there", lambda: False)
    found = find_players("linux", {})
    assert (found.players, found.why_none) == ((), NO_PLAYER)
    assert "pip install" in NO_PLAYER
