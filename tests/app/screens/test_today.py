"""Today: the first screen, and the cautions before it."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.widgets import Input, OptionList

from roastside.app.app import RoastsideApp
from roastside.app.screens.cautions import CautionsScreen
from roastside.app.screens.fill_in import FillInScreen
from roastside.app.screens.log import LogScreen
from roastside.app.screens.replay import ReplayScreen
from roastside.app.screens.roast import RoastScreen
from roastside.app.screens.setup import SetupDialog
from roastside.app.screens.today import ALL_UNFINISHED, FILL_IN, TodayScreen
from roastside.book.intake import take_in_all
from roastside.book.roasts import roasts
from roastside.book.store import Book
from roastside.live.home import cautions_were_read, note_cautions_read, recordings
from roastside.live.settings import settings_path
from tests.app.screens.test_roast_screen import shown, until
from tests.book.homes import write_roast
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


async def test_a_recording_bears_its_title_whether_the_book_knows_it_yet_or_not(home: Path) -> None:
    note_cautions_read()
    for name in ("2026-03-02 08.14.09.csv", "2026-03-03 08.14.09.csv"):
        data = (FIXTURES / "house-good-repeat-1.csv").read_bytes()
        (recordings() / name).write_bytes(data + b"# " + name.encode() + b"\n")
        if name.startswith("2026-03-02"):
            with Book.open(home / "home") as book:
                take_in_all(book)
    app = RoastsideApp()
    async with app.run_test(size=(80, 30)) as pilot:
        for begun in ("2026-03-02 08.14.09", "2026-03-03 08.14.09"):
            titled = f"{begun}  House espresso, batch 12"
            await until(pilot, lambda titled=titled: titled in shown(app), "its title")


async def test_what_is_older_and_to_be_filled_in_is_counted_and_found_in_the_log(
    home: Path,
) -> None:
    note_cautions_read()
    for number in range(12):
        write_roast(recordings().parent, f"{number}.csv", title=f"Batch {number}")
    write_roast(recordings().parent, "done.csv", title="Done", settled="yes")
    with Book.open(home / "home") as book:
        take_in_all(book)
    app = RoastsideApp()
    async with app.run_test(size=(80, 30)) as pilot:
        await until(pilot, lambda: "and 3 older" in shown(app), "how many more there are")
        today = app.screen.query_one(OptionList)
        today.highlighted = today.get_option_index(ALL_UNFINISHED)
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, LogScreen), "the Log")
        await until(pilot, lambda: "12 of 13" in shown(app), "just these")


async def test_it_is_asked_what_came_out_while_another_roastside_has_its_log_open(
    home: Path,
) -> None:
    note_cautions_read()
    recording = write_roast(recordings().parent, charge_weight_g="1500")
    app = RoastsideApp()
    with Book.open(home / "home") as other:
        async with app.run_test(size=(80, 30)) as pilot:
            words = "House espresso, batch 12: roasted weight, verdict"
            await until(pilot, lambda: words in shown(app), "what is missing")
            today = app.screen.query_one(OptionList)
            today.highlighted = today.get_option_index(f"{FILL_IN}{recording}")
            await pilot.press("enter")
            await until(pilot, lambda: isinstance(app.screen, FillInScreen), "the form")
            app.screen.query_one("#fact-roasted-weight-g", Input).value = "1281 g"
            await pilot.press("ctrl+s")
            words = "House espresso, batch 12: verdict"
            await until(pilot, lambda: words in shown(app), "what is still missing")
        take_in_all(other)
        [roast] = roasts(other)
    assert roast.roasted_weight_g == 1281.0


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
