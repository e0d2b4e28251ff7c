"""Today: the first screen, and the cautions before it."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.widgets import Input

from roastside.app.app import RoastsideApp
from roastside.app.screens.cautions import CautionsScreen
from roastside.app.screens.replay import ReplayScreen
from roastside.app.screens.roast import RoastScreen
from roastside.app.screens.setup import SetupDialog
from roastside.app.screens.today import TodayScreen
from roastside.book.intake import take_in_all
from roastside.book.store import Book
from roastside.live.home import cautions_were_read, note_cautions_read, recordings
from roastside.live.settings import settings_path
from tests.app.screens.test_roast_screen import shown, until
from tests.live.running import HOUSE

FIXTURES = Path(__file__).resolve().parents[3] / "fixtures"


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROASTSIDE_HOME", str(tmp_path / "home"))
    return tmp_path


async def test_the_cautions_come_first_and_only_once() -> None:
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert isinstance(app.screen, CautionsScreen)
        assert "Never leave a roast unattended" in shown(app)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, TodayScreen)
    again = RoastsideApp()
    async with again.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert isinstance(again.screen, TodayScreen)


async def test_practising_opens_a_roast_and_leaving_it_comes_back() -> None:
    note_cautions_read()
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("p")
        await until(pilot, lambda: isinstance(app.screen, RoastScreen), "the roast")
        await pilot.press("q", "e")
        await until(pilot, lambda: "over: q leaves" in shown(app), "the end")
        await pilot.press("q")
        await until(pilot, lambda: isinstance(app.screen, TodayScreen), "Today")


async def test_a_kept_recording_is_listed_and_replayed() -> None:
    note_cautions_read()
    kept = recordings() / "2026-03-02 08.14.09.csv"
    kept.write_bytes((FIXTURES / "house-good-repeat-1.csv").read_bytes())
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert kept.stem in shown(app)
        await pilot.press("end", "enter")
        await until(pilot, lambda: isinstance(app.screen, ReplayScreen), "the replay")
        await until(pilot, lambda: "playing ×10" in shown(app), "the first frame")
        await pilot.press("q")
        await until(pilot, lambda: isinstance(app.screen, TodayScreen), "Today")


async def test_a_recording_that_the_book_knows_bears_its_title(home: Path) -> None:
    note_cautions_read()
    for name in ("2026-03-02 08.14.09.csv", "2026-03-03 08.14.09.csv"):
        data = (FIXTURES / "house-good-repeat-1.csv").read_bytes()
        (recordings() / name).write_bytes(data + b"# " + name.encode() + b"\n")
        if name.startswith("2026-03-02"):
            with Book.open(home / "home") as book:
                take_in_all(book)
    app = RoastsideApp()
    async with app.run_test(size=(80, 30)) as pilot:
        title = "2026-03-02 08.14.09  House espresso, batch 12"
        await until(pilot, lambda: title in shown(app), "its title")
        (new,) = [line for line in shown(app).splitlines() if "2026-03-03" in line]
        assert new.strip() == "2026-03-03 08.14.09"


async def test_a_port_that_is_not_there_is_said_in_a_sentence_and_nothing_is_lost() -> None:
    note_cautions_read()
    app = RoastsideApp()
    async with app.run_test(size=(80, 30)) as pilot:
        await pilot.press("r")
        await until(pilot, lambda: isinstance(app.screen, SetupDialog), "the questions")
        answers = {"coffee": "Decaf", "lot": "7", "charge-weight": "600 g", "reference": str(HOUSE)}
        for field, answer in {**answers, "port": "/dev/no-such-port"}.items():
            app.screen.query_one(f"#{field}", Input).value = answer
        await pilot.press("enter")
        await until(pilot, lambda: "There is no port /dev/no-such-port" in shown(app), "why not")
        assert isinstance(app.screen, SetupDialog)
        for field, answer in answers.items():
            assert app.screen.query_one(f"#{field}", Input).value == answer
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(app.screen, TodayScreen), "Today")


async def test_with_damaged_settings_a_roast_can_begin_and_it_is_said_once(home: Path) -> None:
    note_cautions_read()
    settings_path().write_bytes(b"\xff\xfe garbage")
    app = RoastsideApp()
    async with app.run_test(size=(80, 30)) as pilot:
        for _ in range(2):
            await pilot.press("r")
            await until(pilot, lambda: isinstance(app.screen, SetupDialog), "the questions")
            await pilot.press("escape")
            await until(pilot, lambda: isinstance(app.screen, TodayScreen), "Today")
        (told,) = app._notifications
        assert "is no text; mend it or take it away" in told.message
        assert "calibration do not count" in told.message
        await pilot.press("p")
        await until(pilot, lambda: isinstance(app.screen, RoastScreen), "the roast")
    assert settings_path().read_bytes() == b"\xff\xfe garbage"


async def test_what_a_full_disk_left_elsewhere_is_named_on_today(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    note_cautions_read()
    monkeypatch.setenv("HOME", str(home))
    recording = recordings() / "2026-03-02 08.14.09.csv"
    lines = (FIXTURES / "house-good-repeat-1.csv").read_bytes().splitlines(keepends=True)
    recording.write_bytes(b"".join(lines[:600]))
    (home / f"{recording.stem}-rest-1.csv").write_bytes(
        b"".join([lines[0], f"# rest_of: {recording}\n".encode(), *lines[1:8], *lines[600:]])
    )
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert f"{recording.name} is whole again." in shown(app)
    assert recording.read_bytes() == b"".join(lines)


@pytest.mark.parametrize("key", ["q", "ctrl+c"])
async def test_the_cautions_can_be_left_by_leaving(key: str) -> None:
    app = RoastsideApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press(key)
        await pilot.pause()
        assert not app.is_running
    assert not cautions_were_read()
