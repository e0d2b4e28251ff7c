"""`roastside sounds` from the outside."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from roastside.sound.motifs import MOTIFS
from roastside.sound.samples import SOUNDS
from tests.live.running import Done, run
from tests.sound.wav_reading import Wav

if sys.platform == "win32":
    pytest.skip("the stand-in programs start by their first line", allow_module_level=True)

from tests.sound.stand_ins import FAIL, StandIn


@pytest.fixture
def programs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The only folder in which programs are found; nothing else can play."""
    folder = tmp_path / "programs"
    folder.mkdir()
    monkeypatch.setenv("PATH", str(folder))
    # Where the sound library is installed it is hidden: it would go before any program.
    (folder / "sitecustomize.py").write_text("import sys\nsys.modules['miniaudio'] = None\n")
    monkeypatch.setenv("PYTHONPATH", str(folder), prepend=os.pathsep)
    for name in ("SSH_CONNECTION", "SSH_TTY"):
        monkeypatch.delenv(name, raising=False)
    return folder


def sounds(home: Path, *arguments: object) -> Done:
    return run("sounds", *arguments, home=home)


def test_each_sound_is_played_with_its_meaning(tmp_path: Path, programs: Path) -> None:
    player = StandIn(programs, "pw-play")
    done = sounds(tmp_path, "--only", "behind-medium")
    assert (done.code, done.err) == (0, "")
    assert done.out == "behind-medium    below the corridor, or stalling: more heat\n"
    assert [Path(run.arguments[0]).name for run in player.runs] == ["behind-medium.wav"]


def test_without_a_player_all_are_told_and_why_none_sounds(tmp_path: Path, programs: Path) -> None:
    done = sounds(tmp_path)
    assert done.code == 0
    lines = done.out.splitlines()
    assert [line.split()[0] for line in lines] == [sound.name for sound in SOUNDS]
    for motif, line in zip(MOTIFS, lines, strict=False):
        assert motif.meaning in line
    assert "the terminal bell rings instead" in done.sentence


def test_by_ssh_nothing_is_played(
    tmp_path: Path, programs: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    player = StandIn(programs, "aplay")
    monkeypatch.setenv("SSH_CONNECTION", "10.0.0.2 50000 10.0.0.3 22")
    done = sounds(tmp_path, "--only", "probe-low")
    assert (done.code, player.runs) == (0, [])
    assert "SSH" in done.sentence


def test_a_player_that_fails_is_told_of(tmp_path: Path, programs: Path) -> None:
    StandIn(programs, "aplay", FAIL)
    done = sounds(tmp_path, "--only", "probe-low")
    assert done.code == 0
    assert "no such voice" in done.sentence


def test_on_a_terminal_without_a_player_the_bell_rings(tmp_path: Path, programs: Path) -> None:
    import pty

    device, terminal = pty.openpty()
    subprocess.run(
        [sys.executable, "-m", "roastside", "sounds", "--only", "milestone-medium"],
        stdin=terminal,
        stdout=terminal,
        stderr=subprocess.DEVNULL,
        check=True,
        timeout=60,
    )
    shown = os.read(device, 4096)
    os.close(device)
    os.close(terminal)
    assert shown.count(b"\a") == 3


def test_saved_sounds_have_the_volume_asked_for(tmp_path: Path, programs: Path) -> None:
    folder = tmp_path / "new" / "folder"
    done = sounds(tmp_path, "--save", folder, "--volume", "50", "--only", "safety-critical")
    path = folder / "safety-critical.wav"
    assert (done.code, done.err) == (0, "")
    assert done.out == f"{path}: danger: cut the heat, look at the beans\n"
    assert Wav.read(path).peak == pytest.approx(0.5, abs=0.001)
    assert list(folder.iterdir()) == [path]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--only", "gong"), "there is no sound 'gong'; there are safety-critical"),
        (("--volume", "101"), "'101' is not a volume from 0 to 100"),
        (("--save", os.devnull), "cannot be made a folder for sounds"),
    ],
)
def test_bad_usage_is_refused_in_a_sentence(
    tmp_path: Path, programs: Path, arguments: tuple[str, ...], words: str
) -> None:
    done = sounds(tmp_path, *arguments)
    assert (done.code, done.out) == (2, "")
    assert words in done.sentence


def test_a_file_that_cannot_be_written_is_named(tmp_path: Path, programs: Path) -> None:
    (tmp_path / "probe-low.wav").mkdir()
    done = sounds(tmp_path, "--save", tmp_path, "--only", "probe-low")
    assert done.code == 2
    assert f"{tmp_path / 'probe-low.wav'} cannot be written" in done.sentence
