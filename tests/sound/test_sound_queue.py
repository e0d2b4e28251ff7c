"""Sounds take turns; nobody waits for them, and nothing they do is in the way of a roast."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from roastside.core.events import Priority
from roastside.sound.fallback import REST_S
from roastside.sound.motifs import Kind, Motif
from roastside.sound.player import Clip
from roastside.sound.players import NO_PLAYER, Found
from roastside.sound.sound_news import LATE, NO_TONE
from roastside.sound.sound_queue import SoundQueue
from roastside.sound.system_player import SystemPlayer
from roastside.sound.tone import SILENCE, Tone
from roastside.sound.unheard import MUTED

if sys.platform == "win32":
    pytest.skip("the stand-in programs start by their first line", allow_module_level=True)

from tests.sound.stand_ins import FAIL, HANG, PATIENCE_S, StandIn, until, waits_for

LOW, MEDIUM, HIGH, CRITICAL = (Motif(Kind.PROBE, priority) for priority in Priority)
DANGER = Motif(Kind.SAFETY, Priority.CRITICAL)

# Of the stand-ins only a real sound is held up or fails; the silence at the start always works.
FOR_SOUNDS = "if 'silence' not in sys.argv[-1]: "

# However slow the machine that tests: no sound is late but where a test is about that.
NEVER_S = 600.0


class Bench:
    """A queue whose system players are stand-ins, and all it did."""

    def __init__(
        self, folder: Path, *doings: str, muted: bool = False, late_s: float = NEVER_S
    ) -> None:
        self.gate = folder / "gate"
        self.told: list[str] = []
        self.bells: list[str] = []
        self.muted = muted
        self.now_s = 0.0
        self.stand_ins = [StandIn(folder, f"player{n}", then) for n, then in enumerate(doings)]
        players = tuple(SystemPlayer(each.path.name, str(each.path)) for each in self.stand_ins)
        self.queue = SoundQueue(
            self.told.append,
            lambda motif: self.bells.append(motif.name),
            found=Found(players, "" if players else NO_PLAYER),
            silenced=lambda: self.muted,
            clock=lambda: self.now_s,
            late_s=late_s,
        )

    def start(self) -> None:
        self.queue.start()
        self.wait()

    def wait(self) -> None:
        assert self.queue.wait(PATIENCE_S)

    def sound(self, motif: Motif) -> None:
        self.queue.play(motif)
        self.wait()

    def hold(self, motif: Motif) -> None:
        """Play a motif that sounds until the gate is opened."""
        self.queue.play(motif)
        self.stand_ins[0].wait_for_runs(2)

    def played(self, n: int = 0) -> list[str]:
        """The sounds that a player was given, without the silence at the start."""
        names = [Path(run.arguments[-1]).stem for run in self.stand_ins[n].runs]
        return [name for name in names if name != "silence"]


def bench(folder: Path, *doings: str, muted: bool = False, late_s: float = NEVER_S) -> Bench:
    made = Bench(folder, *doings, muted=muted, late_s=late_s)
    made.start()
    return made


def held(folder: Path) -> Bench:
    shut = f"not os.path.exists({str(folder / 'gate')!r})"
    return bench(folder, f"while 'silence' not in sys.argv[-1] and {shut}: time.sleep(0.005)")


def test_sounds_are_played_in_turn(tmp_path: Path) -> None:
    here = bench(tmp_path, "")
    for motif in (LOW, DANGER, LOW):
        here.sound(motif)
    assert here.played() == ["probe-low", "safety-critical", "probe-low"]
    assert (here.told, here.bells) == ([], [])
    assert here.queue.stop()


def test_the_gravest_goes_first(tmp_path: Path) -> None:
    here = held(tmp_path)
    here.hold(CRITICAL)
    for motif in (LOW, HIGH, MEDIUM):
        here.queue.play(motif)
    here.gate.touch()
    here.wait()
    assert here.played() == ["probe-critical", "probe-high", "probe-medium", "probe-low"]
    assert here.queue.stop()


@pytest.mark.parametrize("lesser", [LOW, MEDIUM, HIGH])
def test_a_critical_sound_cuts_off_a_lesser_one(tmp_path: Path, lesser: Motif) -> None:
    here = bench(tmp_path, f"{FOR_SOUNDS}'critical' in sys.argv[-1] or time.sleep(600)")
    here.hold(lesser)
    here.sound(DANGER)
    assert here.played() == [lesser.name, "safety-critical"]
    assert (here.told, here.bells) == ([], [])
    assert here.queue.stop()


@pytest.mark.parametrize(("first", "then"), [(LOW, HIGH), (CRITICAL, DANGER)])
def test_nothing_else_is_cut_off(tmp_path: Path, first: Motif, then: Motif) -> None:
    here = held(tmp_path)
    here.hold(first)
    here.queue.play(then)
    here.gate.touch()
    here.wait()
    assert here.played() == [first.name, then.name]
    assert (here.told, here.bells) == ([], [])
    assert here.queue.stop()


def test_a_critical_sound_is_played_when_nothing_else_is(tmp_path: Path) -> None:
    here = bench(tmp_path, "")
    here.sound(DANGER)
    assert here.played() == ["safety-critical"]
    assert here.queue.stop()


def test_of_ten_thousand_alerts_one_of_each_priority_waits(tmp_path: Path) -> None:
    here = held(tmp_path)
    here.hold(CRITICAL)
    for _ in range(2500):
        for kind in (Kind.BEHIND, Kind.AHEAD, Kind.MILESTONE, Kind.PROBE):
            here.queue.play(Motif(kind, Priority.MEDIUM))
            here.queue.play(Motif(kind, Priority.LOW))
    here.gate.touch()
    here.wait()
    assert here.played() == ["probe-critical", "probe-medium", "probe-low"]
    assert here.queue.stop()


def test_a_hush_breaks_off_what_sounds_and_drops_what_waits(tmp_path: Path) -> None:
    here = held(tmp_path)
    here.hold(MEDIUM)
    here.queue.play(LOW)
    here.queue.hush()
    here.wait()
    assert here.played() == ["probe-medium"]
    assert (here.told, here.bells) == ([], [])
    here.gate.touch()
    here.sound(LOW)
    assert here.played() == ["probe-medium", "probe-low"]
    assert here.queue.stop()


def test_stopping_ends_what_sounds_and_takes_the_files_away(tmp_path: Path) -> None:
    here = held(tmp_path)
    here.hold(MEDIUM)
    file = Path(here.stand_ins[0].runs[-1].arguments[-1])
    assert file.exists()
    assert here.queue.stop(PATIENCE_S)
    assert not file.exists()


def test_a_queue_that_was_never_started_can_be_stopped(tmp_path: Path) -> None:
    assert Bench(tmp_path, "").queue.stop()


def test_nothing_to_play_with_is_told_at_once_and_the_bell_rings(tmp_path: Path) -> None:
    here = bench(tmp_path)
    assert here.told == [NO_PLAYER]
    for motif in (LOW, DANGER):
        here.sound(motif)
    assert here.bells == ["probe-low", "safety-critical"]
    assert here.told == [NO_PLAYER]
    assert here.queue.stop()


def test_a_player_that_cannot_play_is_told_of_before_any_alert(tmp_path: Path) -> None:
    here = bench(tmp_path, FAIL, FAIL)
    assert here.told == [
        "no sound: player0 failed (exit code 1): no such voice, player1 failed (exit code 1): "
        "no such voice; the terminal bell rings instead"
    ]
    here.sound(LOW)
    assert here.bells == ["probe-low"]
    assert len(here.told) == 1
    assert here.queue.stop()


def test_where_one_player_works_a_failing_one_is_no_news_at_the_start(tmp_path: Path) -> None:
    here = bench(tmp_path, FAIL, "")
    here.sound(LOW)
    assert here.played(1) == ["probe-low"]
    assert (here.told, here.bells) == ([], [])
    assert here.queue.stop()


def test_a_player_that_fails_in_a_roast_is_told_of_once_and_another_plays(tmp_path: Path) -> None:
    here = bench(tmp_path, FOR_SOUNDS + FAIL, "")
    for motif in (LOW, HIGH):
        here.sound(motif)
        here.now_s += 2 * REST_S
    assert here.played(1) == ["probe-low", "probe-high"]
    assert here.told == [
        "no sound: player0 failed (exit code 1): no such voice; player1 plays instead"
    ]
    assert here.bells == []
    assert here.queue.stop()


def test_a_device_that_vanishes_in_a_roast_is_told_of_once_and_the_bell_rings(
    tmp_path: Path,
) -> None:
    here = bench(tmp_path, FOR_SOUNDS + FAIL)
    for motif in (LOW, HIGH, DANGER):
        here.sound(motif)
    assert here.bells == ["probe-low", "probe-high", "safety-critical"]
    assert len(here.told) == 1
    assert here.told[0].endswith("no such voice; the terminal bell rings instead")
    assert here.queue.stop()


def test_a_player_that_failed_rests_and_is_tried_again(tmp_path: Path) -> None:
    here = bench(tmp_path, FOR_SOUNDS + f"os.path.exists({str(tmp_path / 'gate')!r}) or {FAIL}")
    here.sound(LOW)
    here.sound(MEDIUM)
    assert here.played() == ["probe-low"]
    here.now_s += REST_S
    here.gate.touch()
    here.sound(HIGH)
    assert here.played() == ["probe-low", "probe-high"]
    assert here.bells == ["probe-low", "probe-medium"]
    assert here.queue.stop()


def test_a_player_that_works_again_is_found_without_an_alert_and_told(tmp_path: Path) -> None:
    here = bench(tmp_path, f"os.path.exists({str(tmp_path / 'gate')!r}) or {FAIL}")
    trouble = (
        "no sound: player0 failed (exit code 1): no such voice; the terminal bell rings instead"
    )
    for n in (1, 2):  # told each time: it is news again
        here.gate.unlink(missing_ok=True)
        if n == 2:
            here.sound(LOW)
        assert here.told == [trouble, "sounds play again: player0 works"] * (n - 1) + [trouble]
        here.gate.touch()
        here.now_s += REST_S
        until(lambda: len(here.told) == 2 * n, "the good news")  # noqa: B023
    assert here.told == [trouble, "sounds play again: player0 works"] * 2
    here.sound(HIGH)
    assert here.played()[-1:] == ["probe-high"]
    assert here.queue.stop()


def test_a_try_that_an_alert_cuts_off_is_no_good_news(tmp_path: Path) -> None:
    bad = tmp_path / "bad"
    doing = f"if os.path.exists({str(bad)!r}): 'silence' in sys.argv[-1] and {HANG} or {FAIL}"
    here = bench(tmp_path, doing)
    bad.touch()
    here.sound(LOW)
    here.now_s += REST_S
    here.stand_ins[0].wait_for_runs(3)
    here.sound(DANGER)
    assert here.bells == ["probe-low", "safety-critical"]
    assert here.told == [
        "no sound: player0 failed (exit code 1): no such voice; the terminal bell rings instead"
    ]
    assert here.queue.stop()


def test_where_a_player_works_the_next_are_not_tried_again(tmp_path: Path) -> None:
    here = bench(tmp_path, "", FAIL)
    here.now_s += REST_S
    here.sound(LOW)
    assert here.stand_ins[1].runs == []
    assert here.queue.stop()


def test_for_a_sound_that_hangs_the_bell_rings_and_it_is_told(tmp_path: Path) -> None:
    hangs = waits_for(tmp_path / "gate")
    here = bench(tmp_path, f"if 'silence' not in sys.argv[-1]:\n    {hangs}", late_s=0.0)
    here.queue.play(LOW)
    until(lambda: here.told == [LATE], "the warning")
    assert here.bells == ["probe-low"]
    here.gate.touch()
    here.wait()
    assert here.told == [LATE, "sounds play again: player0 works"]
    assert here.queue.stop()


def test_the_bell_that_rang_for_a_late_sound_does_not_ring_again(tmp_path: Path) -> None:
    late = waits_for(tmp_path / "gate")
    here = bench(tmp_path, f"if 'silence' not in sys.argv[-1]:\n    {late}\n    {FAIL}", late_s=0.0)
    here.queue.play(LOW)
    until(lambda: here.told == [LATE], "the warning")
    here.gate.touch()
    here.wait()
    assert here.bells == ["probe-low"]
    assert here.told[-1].endswith("no such voice; the terminal bell rings instead")
    assert here.queue.stop()


def test_with_the_sound_turned_off_it_is_told_and_the_bell_rings_as_well(tmp_path: Path) -> None:
    here = bench(tmp_path, "", muted=True)
    assert here.told == [MUTED]
    here.sound(LOW)
    assert (here.played(), here.bells) == (["probe-low"], ["probe-low"])
    here.muted = False
    here.sound(LOW)
    here.sound(MEDIUM)
    assert here.bells == ["probe-low", "probe-low"]
    assert here.told == [MUTED]
    assert here.queue.stop()


def test_where_no_file_can_be_written_it_is_told_and_the_bell_rings(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "missing"))
    here = bench(tmp_path, "")
    here.sound(LOW)
    assert here.told == [
        "no sounds: there is no room for sounds: No such file or directory; "
        "the terminal bell rings instead"
    ]
    assert here.bells == ["probe-low"]
    assert here.queue.stop()


def test_a_screen_that_is_gone_silences_nothing(tmp_path: Path) -> None:
    def gone(what: object) -> None:
        raise RuntimeError("no screen")

    stand_in = StandIn(tmp_path, "player", FOR_SOUNDS + FAIL)
    player = SystemPlayer("player", str(stand_in.path))
    queue = SoundQueue(gone, gone, found=Found((player,)), silenced=lambda: True, clock=lambda: 0.0)
    queue.start()
    for motif in (LOW, HIGH):
        queue.play(motif)
        assert queue.wait(PATIENCE_S)
    assert len(stand_in.runs) == 2  # then it rests
    assert queue.stop()


class Device:
    """A sound device, where there is no audio hardware: keeps what it was told to sound."""

    name = "device"
    follows = True

    def __init__(self) -> None:
        self.sounded: list[str | Tone] = []
        self.gone = ""

    def turn(self, clip: Clip) -> DeviceTurn:
        return DeviceTurn(self, clip.path.stem)

    def follow(self, tone: Tone) -> str:
        self.sounded.append(tone)
        return self.gone

    def trouble(self) -> str:
        return self.gone

    def close(self) -> None:
        self.sounded.append("closed")


class DeviceTurn:
    def __init__(self, device: Device, name: str) -> None:
        self.device = device
        self.sound = name

    def run(self) -> str:
        if not self.device.gone:
            self.device.sounded.append(self.sound)
        return self.device.gone

    def stop(self) -> None:
        pass


def on_device(told: list[str]) -> tuple[SoundQueue, Device]:
    device = Device()
    queue = SoundQueue(
        told.append, lambda motif: None, 0.5, Found((device,)), lambda: False, lambda: 0.0
    )
    queue.start()
    assert queue.wait(PATIENCE_S)
    return queue, device


def test_the_tone_is_sounded_when_it_changes_at_the_volume_set() -> None:
    queue, device = on_device(told := [])
    high = Tone(600.0, 0.08)
    for tone in (high, high, SILENCE):
        queue.follow(tone)
        assert queue.wait(PATIENCE_S)
    assert queue.stop()
    assert device.sounded == [
        "silence", Tone(600.0, 0.04), Tone(SILENCE.pitch_hz, 0.0), "closed"
    ]  # fmt: skip
    assert told == []


def test_a_device_that_goes_by_itself_is_told_of_without_waiting_for_an_alert() -> None:
    queue, device = on_device(told := [])
    device.gone = "the sound device has gone"
    until(lambda: bool(told), "the news")
    assert told == ["no sound: the sound device has gone; the terminal bell rings instead"]
    assert queue.stop()


def test_a_tone_that_nothing_here_can_sound_is_told_of_once(tmp_path: Path) -> None:
    here = bench(tmp_path, "")
    here.queue.follow(SILENCE)
    for pitch_hz in (600.0, 700.0):
        here.queue.follow(Tone(pitch_hz, 0.08))
        here.wait()
    assert here.queue.stop()
    assert here.told == [NO_TONE]


def test_nothing_of_it_needs_numpy_before_a_sound_is_made() -> None:
    """The start of the program must not wait for an import that takes long."""
    script = (
        "import sys; import roastside.sound.sound_queue, roastside.sound.samples; "
        "sys.exit('numpy' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", script], check=False).returncode == 0
