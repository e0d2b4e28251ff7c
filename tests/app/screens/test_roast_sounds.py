"""What the Roast screen lets be heard: the key that says it, the hush, the bell, the troubles."""

from __future__ import annotations

import asyncio
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from roastside.app.app import RoastsideApp
from roastside.app.screens.keys import keys_of
from roastside.app.screens.roast import RoastScreen
from roastside.core.events import Priority
from roastside.core.readings import MarkName
from roastside.live.home import note_cautions_read
from roastside.live.outlets import Bell, MakeOutlets, Outlets, Tell, all_outlets
from roastside.live.roast import LiveRoast
from roastside.live.settings import Settings, save_settings, settings_path
from roastside.live.sound_settings import SoundSettings
from roastside.sound.fallback import REST_S
from roastside.sound.motifs import Kind, Motif

if sys.platform == "win32":
    pytest.skip("the stand-in programs start by their first line", allow_module_level=True)

from tests.app.screens.test_roast_screen import practice, shown, until
from tests.live.earshot import Earshot
from tests.sound.stand_ins import FAIL, PATIENCE_S


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROASTSIDE_HOME", str(tmp_path / "home"))
    note_cautions_read()
    return tmp_path


class Sounds:
    """Stand-ins for what sounds and speaks, and what they were made for."""

    def __init__(self, folder: Path) -> None:
        self.unplugged = folder / "unplugged"
        fails = f"os.path.exists({str(self.unplugged)!r}) and {FAIL}"
        self.here = Earshot(folder, doings={"player": fails})
        self.choice: SoundSettings | None = None
        self.tell: Tell = print
        self.bell: Bell = print

    def make(self, choice: SoundSettings, tell: Tell, bell: Bell) -> Outlets:
        self.choice, self.tell, self.bell = choice, tell, bell
        return self.here.outlets


@pytest.fixture
def sounds(tmp_path: Path) -> Iterator[Sounds]:
    made = Sounds(tmp_path)
    yield made
    assert made.here.sounds.stop(PATIENCE_S)


async def opened(pilot: Pilot[None], roast: LiveRoast, make_outlets: MakeOutlets) -> RoastScreen:
    screen = RoastScreen(roast, make_outlets)
    await pilot.app.push_screen(screen)
    return screen


async def ask_until(pilot: Pilot[None], holds: Callable[[], bool], what: str) -> None:
    """Press the key until it says something; of a stale reading it rightly says nothing.

    Thirty times as fast as life a reading is stale after a sixth of a second, which a busy
    machine may well take. Not too often: a newer word cuts off the one being said.
    """

    async def ask() -> None:
        while not holds():
            await pilot.press("v")
            await asyncio.sleep(2.0)

    asking = asyncio.create_task(ask())
    try:
        await until(pilot, holds, what)
    finally:
        asking.cancel()


async def test_a_key_says_where_the_roast_stands_and_shows_it(sounds: Sounds) -> None:
    roast, app = practice(speed=30.0), RoastsideApp()
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(pilot, roast, sounds.make)
        view = roast.board.view
        await until(pilot, lambda: MarkName.TURNING_POINT in view().marks, "the turning point")
        await ask_until(
            pilot, lambda: any("rate" in said for said in sounds.here.spoken), "the voice"
        )
        said = next(said for said in sounds.here.spoken if "rate" in said)
        assert "degrees" in said
        assert "rate" in shown(app)
        roast.end()


async def test_without_a_voice_the_key_still_shows_the_words() -> None:
    roast = practice(speed=30.0)
    app = RoastsideApp(roast)
    async with app.run_test(size=(120, 40)) as pilot:
        await until(pilot, lambda: roast.board.view().last is not None, "a reading")
        await ask_until(pilot, lambda: "degrees" in shown(app), "the words")
        roast.end()


async def test_the_key_is_in_the_help_and_in_the_palette() -> None:
    roast = practice(speed=10.0)
    app = RoastsideApp(roast)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert any(key == "v" and "say" in str(each.tooltip) for key, each in keys_of(app.screen))
        titles = [command.title for command in app.get_system_commands(app.screen)]
        assert "say it now (v)" in titles
        assert "Keys" not in titles  # the framework's, beside our own `Keys (?)`
        roast.end()


async def test_an_alert_of_the_roast_is_sounded(sounds: Sounds) -> None:
    roast, app = practice(speed=30.0), RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, roast, sounds.make)
        await until(pilot, lambda: sounds.here.played != [], "a sound")
        roast.end()


async def test_troubles_of_the_sound_are_lines_of_the_log(sounds: Sounds) -> None:
    roast, app = practice(speed=10.0), RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, roast, sounds.make)
        sounds.tell("no sound: the speaker is gone")
        await until(pilot, lambda: "the speaker is gone" in shown(app), "the line")
        roast.end()


async def test_as_long_as_the_sound_is_lost_the_status_line_says_so(sounds: Sounds) -> None:
    roast, app = practice(speed=1.0), RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, roast, sounds.make)
        assert "! no sound" not in shown(app)
        sounds.unplugged.touch()
        sounds.here.sounds.play(Motif(Kind.PROBE, Priority.LOW))
        await until(pilot, lambda: "! no sound" in shown(app), "the sign")
        sounds.unplugged.unlink()
        sounds.here.now_s += REST_S
        await until(pilot, lambda: "! no sound" not in shown(app), "its end")
        assert sounds.here.told[-1] == "sounds play again: player works"
        roast.end()


async def test_a_machine_without_sound_and_speech_gets_one_warning_in_the_log(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("SSH_CONNECTION", "SSH_TTY"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr("roastside.sound.players.library_there", lambda: False)
    roast, app = practice(speed=1.0), RoastsideApp()
    warnings = lambda: [line for line in roast.board.view().log if line.tone == "warn"]  # noqa: E731
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, roast, all_outlets)
        await until(pilot, lambda: "only the terminal bell is heard" in shown(app), "the line")
        assert len(warnings()) == 1
        assert "install espeak-ng" in warnings()[0].text
        roast.end()


async def test_the_bell_rings_once_for_each_pulse(
    sounds: Sounds, monkeypatch: pytest.MonkeyPatch
) -> None:
    roast, app, rung = practice(speed=10.0), RoastsideApp(), list[int]()
    monkeypatch.setattr(app, "bell", lambda: rung.append(1))
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, roast, sounds.make)
        sounds.bell(Motif(Kind.SAFETY, Priority.CRITICAL))
        await until(pilot, lambda: len(rung) == 10, "ten bells")
        roast.end()


async def test_a_practice_roast_sends_no_word_to_anyone(sounds: Sounds) -> None:
    chosen = SoundSettings(command=("send-it",), notices=True, volume=30)
    save_settings(Settings(sound=chosen))
    roast, app = practice(speed=10.0), RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, roast, sounds.make)
        assert sounds.choice == SoundSettings(volume=30)
        roast.end()


async def test_settings_that_cannot_be_read_are_told_and_the_roast_begins(sounds: Sounds) -> None:
    settings_path().parent.mkdir(parents=True, exist_ok=True)
    settings_path().write_text("[sound]\nvolume = 1000")
    roast, app = practice(speed=10.0), RoastsideApp()
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(pilot, roast, sounds.make)
        # Wherever the line is broken, which hangs on how long the name of the folder is.
        words = lambda: " ".join(str(app.screen.query_one("#log", Static).content).split())  # noqa: E731
        await until(pilot, lambda: "from 1 to 100" in words(), "the line")
        assert sounds.choice == SoundSettings()
        roast.end()
