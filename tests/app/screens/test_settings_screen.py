"""The Settings page: find the adapter on a real line, see what it sends, keep the choice."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Button, Input, OptionList, Select

from roastside.app.app import RoastsideApp
from roastside.app.screens.keys import KeysScreen
from roastside.app.screens.settings import SettingsScreen
from roastside.app.screens.setup import SetupDialog
from roastside.app.screens.today import TodayScreen
from roastside.app.widgets.settings_form import SettingsForm
from roastside.live.home import note_cautions_read
from roastside.live.settings import (
    DisplaySettings,
    ProbeSettings,
    Settings,
    load_settings,
    save_settings,
    settings_path,
)
from roastside.probes.port import open_port
from roastside.probes.ports import PortFound
from roastside.probes.virtual_line import VirtualLine, virtual_line
from tests.app.screens.test_roast_screen import shown, until
from tests.live.running import posix_only
from tests.probes.test_finder import sending

pytestmark = posix_only

SIZE = (100, 40)


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROASTSIDE_HOME", str(tmp_path / "home"))
    note_cautions_read()
    return tmp_path


@pytest.fixture
def line() -> Iterator[VirtualLine]:
    with virtual_line() as made:
        yield made


def counted(number: int) -> bytes:
    """A device that numbers its lines."""
    return b"%d,%.2f,23.5\r\n" % (number, 24.0 + number % 2 / 4)


class Plugs:
    """What is plugged in; pseudo-terminals are in no list of ports."""

    def __init__(self, *ports: PortFound) -> None:
        self.ports = list(ports)

    def __call__(self) -> list[PortFound]:
        return list(self.ports)


def text(app: RoastsideApp, key: str) -> str:
    return app.screen.query_one(SettingsForm).text(key)


def said(app: RoastsideApp) -> str:
    return " ".join(note.message for note in app._notifications)


async def opened(pilot: Pilot[None], *ports: PortFound, settings: Settings | None = None) -> Plugs:
    """Settings over Today, its list of ports shown."""
    plugs = Plugs(*ports)
    await pilot.app.push_screen(SettingsScreen(settings or Settings(), plugs))
    listed = pilot.app.screen.query_one("#ports", OptionList)
    await until(pilot, lambda: listed.option_count > 0, "the list of ports")
    return plugs


async def test_enter_on_a_port_finds_out_how_to_read_it_and_keep_keeps_it(
    line: VirtualLine,
) -> None:
    app = RoastsideApp()
    with sending(line, counted):
        async with app.run_test(size=SIZE) as pilot:
            await opened(pilot, PortFound(line.port, "USB thermometer"))
            assert f"{line.port}  USB thermometer" in shown(app)
            await pilot.press("enter")
            await until(pilot, lambda: f"reading {line.port}" in shown(app), "readings")
            assert text(app, "probe.port") == line.port
            assert text(app, "probe.wire") == "lines:bean=2,air=3"
            # The very first line may have lost its head, so it alone is no reading yet.
            told = "bean 24.25 °C   air 23.5 °C"
            await until(pilot, lambda: told in shown(app), "a reading beside its line")
            page = shown(app)
            assert r",24.25,23.5\r\n" in page
            assert "Field 1 counts up steadily" in page
            await until(pilot, lambda: "readings a second" in shown(app), "the quality")
            await pilot.press("k")
            await until(pilot, lambda: bool(app._notifications), "the notice")
            assert str(settings_path()) in said(app)
            await pilot.press("escape")
            await until(pilot, lambda: isinstance(app.screen, TodayScreen), "Today")
    assert load_settings().probe == ProbeSettings(line.port, 9600, "lines:bean=2,air=3")
    open_port(line.port, 9600).close()  # it was let go


async def test_probes_and_unit_are_changed_with_a_key_each_and_read_at_once(
    line: VirtualLine,
) -> None:
    app = RoastsideApp()
    with sending(line, lambda _: b"75.2,212\n"):
        async with app.run_test(size=SIZE) as pilot:
            await opened(pilot, PortFound(line.port, ""))
            await pilot.press("f")
            await until(pilot, lambda: "bean 75.2 °C   air 212 °C" in shown(app), "as found")
            await until(pilot, lambda: "reading" in shown(app), "reading on")
            await pilot.press("x")
            await until(pilot, lambda: "bean 212 °C   air 75.2 °C" in shown(app), "swapped")
            await pilot.press("u")
            await until(pilot, lambda: "bean 100 °C   air 24 °C" in shown(app), "as °F")
            assert text(app, "probe.wire") == "lines:bean=2,air=1,unit=F"


async def test_what_is_written_is_listened_to_as_it_is_written(line: VirtualLine) -> None:
    app = RoastsideApp()
    with sending(line, counted):
        async with app.run_test(size=SIZE) as pilot:
            await opened(pilot)
            app.screen.query_one("#set-probe-port", Input).value = line.port
            app.screen.query_one("#set-probe-wire", Input).value = "lines:bean=3"
            app.screen.query_one("#set-display-unit", Select).value = "F"
            await pilot.press("l")
            # 23.5 °C is 74.3 °F: °F = °C x 9/5 + 32.
            await until(pilot, lambda: "bean 74.3 °F" in shown(app), "the reading")


async def test_an_adapter_that_is_plugged_in_appears_by_itself() -> None:
    app = RoastsideApp()
    async with app.run_test(size=SIZE) as pilot:
        plugs = await opened(pilot)
        assert "no serial port is here" in shown(app)
        plugs.ports.append(PortFound("/dev/ttyUSB0", "USB thermometer"))
        await until(pilot, lambda: "/dev/ttyUSB0  USB thermometer" in shown(app), "the port")


async def test_why_a_port_gives_nothing_stands_on_the_page() -> None:
    app = RoastsideApp()
    async with app.run_test(size=SIZE) as pilot:
        await opened(pilot, PortFound("/dev/no-such-port", ""))
        await pilot.press("enter")
        await until(pilot, lambda: "There is no port /dev/no-such-port" in shown(app), "why")


async def test_without_a_port_nothing_is_begun_and_a_notice_says_what_to_do() -> None:
    app = RoastsideApp()
    async with app.run_test(size=SIZE) as pilot:
        await opened(pilot)
        await pilot.press("l")
        await until(pilot, lambda: "Plug the adapter in" in said(app), "the notice")


@pytest.mark.parametrize(
    ("key", "value", "says"),
    [
        ("probe-baud", "fast", "not a whole number"),
        ("probe-baud", "0", "no line has the speed 0"),
        ("probe-wire", "morse", "morse"),
    ],
)
async def test_what_does_not_fit_is_not_kept(key: str, value: str, says: str) -> None:
    app = RoastsideApp()
    async with app.run_test(size=SIZE) as pilot:
        await opened(pilot)
        app.screen.query_one(f"#set-{key}", Input).value = value
        await pilot.press("k")
        await until(pilot, lambda: says in said(app), "the notice")
    assert not settings_path().exists()


async def test_every_setting_stands_on_the_page_with_its_meaning_and_what_was_chosen() -> None:
    chosen = Settings(ProbeSettings("COM3", 19200, "lines:bean=2", "K"), DisplaySettings("F"))
    app = RoastsideApp()
    async with app.run_test(size=SIZE) as pilot:
        await opened(pilot, settings=chosen)
        page = shown(app)
        assert "speed of the line" in page
        assert "degrees on the screen" in page
        assert app.screen.query_one(SettingsForm).settings() == chosen


async def test_in_eighty_columns_everything_can_be_reached() -> None:
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, PortFound("/dev/ttyUSB0", "USB thermometer"))
        for button in app.screen.query(Button):
            assert button.region.right <= 80
        unit = app.screen.query_one("#set-display-unit")
        unit.focus()
        await until(pilot, lambda: unit in app.screen.focus_chain and unit.has_focus, "the last")
        await until(pilot, lambda: "degrees on the screen" in shown(app), "it to be in sight")


async def test_today_leads_here_and_settings_that_cannot_be_read_are_told() -> None:
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("t")
        await until(pilot, lambda: isinstance(app.screen, SettingsScreen), "Settings")
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(app.screen, TodayScreen), "Today")
        settings_path().write_text("[probe")
        await pilot.press("t")
        await until(pilot, lambda: "mend it" in said(app), "the sentence")
        assert isinstance(app.screen, TodayScreen)


async def test_a_roast_is_prepared_with_what_was_kept() -> None:
    save_settings(Settings(ProbeSettings("/dev/no-such-port", 19200, "lines:bean=2")))
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("r")
        await until(pilot, lambda: isinstance(app.screen, SetupDialog), "the questions")
        answers = {field.id: field.value for field in app.screen.query(Input)}
        assert answers["port"] == "/dev/no-such-port"
        assert (answers["baud"], answers["wire"]) == ("19200", "lines:bean=2")
        app.screen.query_one("#baud", Input).value = "fast"
        await pilot.press("enter")
        await until(pilot, lambda: "not a whole number" in shown(app), "the sentence")
        assert isinstance(app.screen, SetupDialog)


async def test_a_question_mark_tells_what_every_key_does() -> None:
    app = RoastsideApp()
    async with app.run_test(size=SIZE) as pilot:
        await opened(pilot)
        await pilot.press("question_mark")
        await until(pilot, lambda: isinstance(app.screen, KeysScreen), "the keys")
        assert "exchange the bean and the air probe" in shown(app)
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(app.screen, SettingsScreen), "the settings again")
