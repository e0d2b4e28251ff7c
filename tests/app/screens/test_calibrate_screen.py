"""The probe check on the screen, with a device on a real line."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from textual.widgets import Input

from roastside.app.app import RoastsideApp
from roastside.app.screens.calibrate import CalibrateScreen
from roastside.app.screens.calibrate_setup import CalibrateSetup
from roastside.app.screens.today import TodayScreen
from roastside.core.boiling import boiling_at_pressure
from roastside.live.check import Wish, prepare
from roastside.live.home import note_cautions_read
from roastside.live.probe_check import ProbeCheck
from roastside.live.settings import ProbeSettings, Settings, load_settings, save_settings
from roastside.probes.calibrate import Point
from roastside.probes.virtual_line import virtual_line
from tests.app.screens.test_roast_screen import shown, until

QUICK_S = 0.5


class Device:
    """Sends what its probe reads twenty times a second."""

    def __init__(self) -> None:
        self.reading: float | str = 21.0
        self._over = threading.Event()
        self._line = virtual_line()
        self.port = self._line.port
        self._thread = threading.Thread(target=self._send, daemon=True)
        self._thread.start()

    def _send(self) -> None:
        while not self._over.wait(0.05):
            self._line.write(f"{self.reading},230.0\n".encode())

    def unplug(self) -> None:
        self._over.set()
        self._thread.join()
        self._line.unplug()


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROASTSIDE_HOME", str(tmp_path / "home"))
    note_cautions_read()
    return tmp_path


@pytest.fixture
def device() -> Iterator[Device]:
    made = Device()
    yield made
    made.unplug()


def check_of(device: Device) -> ProbeCheck:
    place = boiling_at_pressure(950.0)
    wish = Wish(port=device.port, person="Ines", place=place, steady_for_s=QUICK_S)
    check = ProbeCheck(prepare(wish))
    check.open()
    return check


async def test_both_baths_are_taken_by_themselves_and_kept_by_a_key(device: Device) -> None:
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await app.push_screen(CalibrateScreen(check_of(device)))
        await until(pilot, lambda: "Fill a deep cup" in shown(app), "what to do")
        assert "scald" in shown(app)
        device.reading = 0.6
        await until(pilot, lambda: "the probe reads 0.60 °C, 0.00" in shown(app), "the ice bath")
        await until(pilot, lambda: "Here water boils at 98.2" in shown(app), "the next bath")
        device.reading = 101.4
        await until(pilot, lambda: "k keeps this correction" in shown(app), "the outcome")
        assert "3.2 °C too high" in shown(app)
        assert load_settings() == Settings()
        await pilot.press("k")
        await until(pilot, lambda: "Kept: gain=" in shown(app), "the keeping")
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(app.screen, TodayScreen), "Today")
    kept = load_settings().calibration["bean_c"]
    # 950 hPa: 98.178 °C by IAPWS-IF97 (`iapws` 1.5.5).
    assert kept.points == (Point(0.6, 0.0), Point(101.4, pytest.approx(98.178, abs=0.002)))
    assert kept.person == "Ines"


async def test_a_bath_that_is_skipped_leaves_an_offset_by_the_other(device: Device) -> None:
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await app.push_screen(CalibrateScreen(check_of(device)))
        await pilot.press("k")
        await until(pilot, lambda: bool(app._notifications), "that it is too early to keep")
        await pilot.press("s")
        device.reading = 97.9
        await until(pilot, lambda: "Correction (offset)" in shown(app), "the outcome")
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(app.screen, TodayScreen), "Today")
    assert load_settings() == Settings(), "leaving keeps nothing"


async def test_with_every_bath_skipped_there_is_nothing_to_keep(device: Device) -> None:
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await app.push_screen(CalibrateScreen(check_of(device)))
        await pilot.press("s", "s", "k")
        await until(pilot, lambda: "No bath was measured" in shown(app), "the words")
    assert load_settings() == Settings()


async def test_a_probe_in_the_wrong_bath_and_one_that_falls_silent_are_told(
    device: Device,
) -> None:
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await app.push_screen(CalibrateScreen(check_of(device)))
        await until(pilot, lambda: "▲ not in the bath" in shown(app), "that it is far off")
        device.reading = "err"
        await until(pilot, lambda: "Nothing comes from the probe" in shown(app), "the silence")
        device.reading = 0.2
        await until(pilot, lambda: "the probe reads 0.20 °C" in shown(app), "the ice bath")


@pytest.mark.parametrize("size", [(80, 24), (40, 10), (20, 4), (160, 45)])
async def test_it_is_drawn_at_every_size(device: Device, size: tuple[int, int]) -> None:
    app = RoastsideApp()
    async with app.run_test(size=size) as pilot:
        await app.push_screen(CalibrateScreen(check_of(device)))
        await until(pilot, lambda: "Probe check" in shown(app), "the screen")


async def test_from_today_it_asks_says_what_is_wrong_and_begins(device: Device) -> None:
    save_settings(Settings(ProbeSettings(port=device.port)))
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("b")
        await until(pilot, lambda: isinstance(app.screen, CalibrateSetup), "the questions")
        await until(pilot, lambda: "Begin" in shown(app), "the button, in 24 lines")
        assert app.screen.query_one("#port", Input).value == device.port
        await pilot.press(*"high up", "enter")
        await until(pilot, lambda: "'high up' is neither a height" in shown(app), "the sentence")
        app.screen.query_one("#place", Input).value = "520 m"
        app.screen.query_one("#channel", Input).value = "beans"
        await pilot.press("enter")
        await until(pilot, lambda: "'beans' is no channel" in shown(app), "the sentence")
        app.screen.query_one("#channel", Input).value = "bean_c"
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, CalibrateScreen), "the check")
        await until(pilot, lambda: f"bean_c on {device.port}" in shown(app), "which probe")
        await pilot.press("q")
        await until(pilot, lambda: isinstance(app.screen, TodayScreen), "Today")


async def test_settings_that_cannot_be_read_are_told(tmp_path: Path) -> None:
    (tmp_path / "home" / "settings.toml").write_text("[probe")
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("b")
        await until(pilot, lambda: bool(app._notifications), "the sentence")
        assert "mend it" in next(iter(app._notifications)).message
        assert isinstance(app.screen, TodayScreen)
