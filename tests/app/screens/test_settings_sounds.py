"""Settings of sound and advice: tried before they are kept, and kept from the form."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from textual.widgets import Input, Select

from roastside.app.app import RoastsideApp
from roastside.app.screens.settings import SettingsScreen
from roastside.live.advice_settings import AdviceSettings
from roastside.live.home import note_cautions_read
from roastside.live.outlets import Bell, Outlets, Tell
from roastside.live.settings import Settings, load_settings, settings_path
from roastside.live.sound_settings import SoundSettings
from roastside.live.trial import TRIAL

if sys.platform == "win32":
    pytest.skip("the stand-in programs start by their first line", allow_module_level=True)

from tests.app.screens.test_roast_screen import until
from tests.app.screens.test_settings_screen import SIZE, Plugs, opened, said
from tests.live.earshot import Earshot


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROASTSIDE_HOME", str(tmp_path / "home"))
    note_cautions_read()
    return tmp_path


async def test_try_it_lets_what_is_written_be_heard_before_it_is_kept(tmp_path: Path) -> None:
    here, chosen = Earshot(tmp_path), list[SoundSettings]()

    def make(choice: SoundSettings, tell: Tell, bell: Bell) -> Outlets:
        chosen.append(choice)
        return here.outlets

    app = RoastsideApp()
    async with app.run_test(size=SIZE) as pilot:
        await app.push_screen(SettingsScreen(Settings(), Plugs(), make))
        command = here.programs["command"].path
        app.screen.query_one("#set-sound-command", Input).value = f"{command} '{{message}}'"
        app.screen.query_one("#set-sound-volume", Input).value = "40"
        await pilot.press("t")
        await until(pilot, lambda: "Tried: a sound, a sentence, the command" in said(app), "it")
    assert (here.played, here.spoken) == (["milestone-medium"], [TRIAL.message])
    assert here.commanded == [f"trial: {TRIAL.message}"]
    assert chosen == [SoundSettings(volume=40, command=(str(command), "{message}"))]
    assert not settings_path().exists()


@pytest.mark.parametrize("key", ["t", "k"])
async def test_a_command_that_cannot_be_run_is_neither_tried_nor_kept(key: str) -> None:
    app = RoastsideApp()
    async with app.run_test(size=SIZE) as pilot:
        await opened(pilot)
        app.screen.query_one("#set-sound-command", Input).value = "no-such-program {message}"
        await pilot.press(key)
        await until(pilot, lambda: "no-such-program is not a program" in said(app), "the sentence")
    assert not settings_path().exists()


async def test_sound_and_advice_are_kept_from_the_form() -> None:
    app = RoastsideApp()
    async with app.run_test(size=SIZE) as pilot:
        await opened(pilot)
        app.screen.query_one("#set-sound-speech", Select).value = "no"
        app.screen.query_one("#set-sound-status_every_s", Select).value = "60"
        app.screen.query_one("#set-advice-tolerance_c", Input).value = "2.5"
        app.screen.query_one("#set-advice-rules_off", Input).value = "stall rebound"
        await pilot.press("k")
        await until(pilot, lambda: str(settings_path()) in said(app), "the notice")
    kept = load_settings()
    assert kept.sound == SoundSettings(speech=False, status_every_s=60)
    assert kept.advice == AdviceSettings(tolerance_c=2.5, rules_off=("stall", "rebound"))
