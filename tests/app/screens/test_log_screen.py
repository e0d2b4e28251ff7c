"""The Log screen, driven by its keys."""

from __future__ import annotations

import re
import shutil
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, Static

from roastside.app.app import RoastsideApp
from roastside.app.screens.keys import KeysScreen, keys_of
from roastside.app.screens.log import LogScreen
from roastside.app.screens.overlay import OverlayScreen
from roastside.app.screens.reading import ReadingDialog
from roastside.app.screens.roast_page import RoastPage
from roastside.app.screens.today import TodayScreen
from roastside.app.widgets.roast_table import RoastTable
from roastside.book.intake import take_in_all
from roastside.book.store import BOOK_NAME, Book
from roastside.live.home import note_cautions_read
from tests.app.screens.test_roast_screen import shown, until
from tests.book.homes import FIXTURES
from tests.live.log_homes import ROASTS, shop


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROASTSIDE_HOME", str(tmp_path))
    note_cautions_read()
    return tmp_path


@asynccontextmanager
async def the_log(width: int = 80, height: int = 24) -> AsyncIterator[Pilot[None]]:
    app = RoastsideApp()
    async with app.run_test(size=(width, height)) as pilot:
        await pilot.press("l")
        await until(pilot, lambda: isinstance(app.screen, LogScreen), "the log")
        await until(pilot, lambda: not log_of(pilot)._log.taking_in.busy, "the taking in")
        yield pilot


def log_of(pilot: Pilot[None]) -> LogScreen:
    return next(s for s in pilot.app.screen_stack if isinstance(s, LogScreen))


def app_of(pilot: Pilot[None]) -> RoastsideApp:
    assert isinstance(pilot.app, RoastsideApp)
    return pilot.app


def rows(pilot: Pilot[None]) -> list[str]:
    """The lines of the table that hold a roast."""
    table = log_of(pilot).query_one(RoastTable)
    lines = [table.render_line(y).text.strip() for y in range(1, table.size.height)]
    return [line for line in lines if line]


async def test_the_roasts_are_listed_with_what_is_to_be_filled_in(home: Path) -> None:
    shop(home)
    async with the_log() as pilot:
        assert len(rows(pilot)) == len(ROASTS)
        assert "5 roasts" in shown(app_of(pilot))
        assert all(line.endswith("verdict") for line in rows(pilot))


async def test_typing_narrows_the_list_at_once_and_escape_goes_back_step_by_step(
    home: Path,
) -> None:
    shop(home)
    async with the_log() as pilot:
        await pilot.press(*"decaf")
        await until(pilot, lambda: len(rows(pilot)) == 1, "the one decaf")
        assert log_of(pilot).query_one(Input).value == "decaf"
        assert "1 of 5" in shown(app_of(pilot))
        await pilot.press("escape", "escape")
        await until(pilot, lambda: len(rows(pilot)) == len(ROASTS), "all roasts")
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(pilot.app.screen, TodayScreen), "Today")


async def test_letters_that_are_keys_can_be_typed_after_a_slash(home: Path) -> None:
    shop(home)
    async with the_log() as pilot:
        await pilot.press("slash", *"slow")
        assert log_of(pilot).query_one(Input).value == "slow"


async def test_words_that_fit_no_roast_are_answered_with_a_sentence(home: Path) -> None:
    shop(home)
    async with the_log() as pilot:
        await pilot.press("slash", *"{tea}")
        await until(pilot, lambda: "No roast fits “{tea}”" in shown(app_of(pilot)), "the sentence")


async def test_an_empty_book_says_what_to_do() -> None:
    async with the_log() as pilot:
        assert "No roasts yet. Start one on the Today screen" in shown(app_of(pilot))


async def test_a_new_recording_is_taken_in_and_listed(home: Path) -> None:
    shop(home, "house-good-repeat-1")
    shutil.copy(FIXTURES / "house-too-hot.csv", home / "recordings")
    async with the_log() as pilot:
        await until(pilot, lambda: len(rows(pilot)) == 2, "both roasts")


async def test_what_another_screen_records_comes_in_while_the_log_is_open(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("roastside.app.screens.log._TAKE_IN_S", 0.2)
    shop(home, "house-good-repeat-1", "decaf-good-repeat")
    async with the_log() as pilot:
        await pilot.press("down")
        table = log_of(pilot).query_one(RoastTable)
        under = table.roast
        assert under is not None
        later = (FIXTURES / "house-too-hot.csv").read_text("utf-8")
        later = re.sub("# started_at: .*", "# started_at: 2027-01-01T08:00:00+01:00", later)
        (home / "recordings" / "later.csv").write_text(later, "utf-8")
        await until(pilot, lambda: len(rows(pilot)) == 3, "the new one")
        assert table.roast is not None
        assert (table.cursor, table.roast.id) == (2, under.id), "the cursor is on the same roast"


async def test_coming_back_the_cursor_is_on_the_roast_that_was_looked_at(home: Path) -> None:
    shop(home, "house-good-repeat-1", "decaf-good-repeat")
    async with the_log() as pilot:
        table = log_of(pilot).query_one(RoastTable)
        under = table.roast
        assert under is not None and table.cursor == 0
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, RoastPage), "the roast")
        later = (FIXTURES / "house-too-hot.csv").read_text("utf-8")
        later = re.sub("# started_at: .*", "# started_at: 2027-01-01T08:00:00+01:00", later)
        (home / "recordings" / "later.csv").write_text(later, "utf-8")
        log_of(pilot)._log.taking_in.run()
        await pilot.press("escape")
        await until(pilot, lambda: len(rows(pilot)) == 3, "the new one")
        assert table.roast is not None
        assert (table.cursor, table.roast.id) == (1, under.id)


async def test_a_log_that_only_reads_shows_what_the_other_writes(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("roastside.app.screens.log._TAKE_IN_S", 0.2)
    shop(home, "house-good-repeat-1")
    with Book.open(home) as other:
        async with the_log() as pilot:
            assert len(rows(pilot)) == 1
            shutil.copy(FIXTURES / "house-too-hot.csv", home / "recordings")
            take_in_all(other)
            await until(pilot, lambda: len(rows(pilot)) == 2, "the new one")


async def test_the_list_is_sorted_by_keys_and_by_a_click_on_a_head(home: Path) -> None:
    shop(home)
    async with the_log() as pilot:
        await pilot.press("s", "s")
        await pilot.pause()
        assert log_of(pilot)._log.sort == "total_s"
        assert "11:56" in rows(pilot)[0]
        await pilot.press("r")
        await pilot.pause()
        assert "11:56" in rows(pilot)[-1]
        table = log_of(pilot).query_one(RoastTable)
        drop = next(place for place in table.placed if place.column.sort == "drop_c")
        await pilot.click(RoastTable, offset=(drop.begin + 1, 0))
        assert log_of(pilot)._log.sort == "drop_c"
        assert " drop▾°C " in table.render_line(0).text
        await pilot.click(RoastTable, offset=(drop.begin + 1, 0))
        assert " drop▴°C " in table.render_line(0).text


async def test_the_cursor_moves_by_keys_and_stays_in_view(home: Path) -> None:
    shop(home, "house-good-repeat-1")
    for number in range(60):
        text = (FIXTURES / "house-good-repeat-1.csv").read_text("utf-8")
        (home / "recordings" / f"{number}.csv").write_text(text.replace("batch", f"{number}"))
    async with the_log() as pilot:
        table = log_of(pilot).query_one(RoastTable)
        await until(pilot, lambda: "61 roasts" in shown(app_of(pilot)), "all of them taken in")
        for key, expected in (("end", 60), ("up", 59), ("home", 0), ("down", 1)):
            await pilot.press(key)
            assert table.cursor == expected
            line = table.cursor - round(table.scroll_y)
            assert 0 <= line < table.size.height - 1
            assert table.render_line(line + 1).text.startswith("›")
        await pilot.press("pagedown")
        assert table.cursor > 10


async def test_roasts_are_picked_and_laid_over_each_other(home: Path) -> None:
    shop(home)
    async with the_log() as pilot:
        await pilot.press("o")
        assert isinstance(pilot.app.screen, LogScreen)
        await pilot.press("space", "space")
        assert "2 picked · 5 roasts" in shown(app_of(pilot))
        assert [line[0] for line in rows(pilot)[:2]] == ["●", "●"]
        await pilot.press("o")
        await until(pilot, lambda: isinstance(pilot.app.screen, OverlayScreen), "the overlay")
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(pilot.app.screen, LogScreen), "the log")
        await pilot.press("x")
        assert not log_of(pilot)._log.picked


async def test_a_click_goes_to_a_row_and_a_second_opens_it(home: Path) -> None:
    shop(home)
    async with the_log() as pilot:
        await pilot.click(RoastTable, offset=(20, 3))
        assert log_of(pilot).query_one(RoastTable).cursor == 2
        await pilot.click(RoastTable, offset=(20, 3))
        await until(pilot, lambda: isinstance(pilot.app.screen, RoastPage), "the roast")


async def test_a_damaged_book_is_told_and_the_recordings_are_listed(home: Path) -> None:
    shop(home)
    (home / BOOK_NAME).write_bytes(b"a shopping list and nothing else")
    async with the_log() as pilot:
        assert "Only the names of recordings are listed" in shown(app_of(pilot))
        assert rows(pilot)[-1].endswith("decaf-good-repeat")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, RoastPage), "the roast")


async def test_all_keys_are_explained(home: Path) -> None:
    shop(home)
    async with the_log() as pilot:
        await pilot.press("question_mark")
        await until(pilot, lambda: isinstance(pilot.app.screen, KeysScreen), "the keys")
        assert "sort by the next column" in shown(app_of(pilot))
        assert "pick the roast to compare it" in shown(app_of(pilot))


async def test_the_arrow_of_the_sorting_touches_no_neighbours_head(home: Path) -> None:
    shop(home)
    async with the_log(80) as pilot:
        table = log_of(pilot).query_one(RoastTable)
        for place in table.placed:
            if place.column.sort and place.column.sort != log_of(pilot)._log.sort:
                await pilot.click(RoastTable, offset=(place.begin, 0))
            head = table.render_line(0).text
            at = max(head.find("▾"), head.find("▴"))
            if place.column.sort:
                assert place.begin <= at < place.end
            assert head[place.begin - 1] == " "


async def test_a_batchs_number_is_read_at_80_columns(home: Path) -> None:
    shop(home, "house-good-repeat-1")
    recording = next((home / "recordings").glob("*.csv"))
    title = "Quarry Road natural espresso, batch 12"
    text = recording.read_text().splitlines()
    at = next(n for n, line in enumerate(text) if line.startswith("# title:"))
    text[at] = f"# title: {title}"
    recording.write_text("\n".join(text) + "\n")
    async with the_log(80) as pilot:
        await until(pilot, lambda: "…" in rows(pilot)[0], "the title taken in")
        assert "Quarry" in rows(pilot)[0] and "tch 12 " in rows(pilot)[0]
        await pilot.press("o", "space", "o")
        await until(pilot, lambda: isinstance(pilot.app.screen, OverlayScreen), "the overlay")
        over = pilot.app.screen
        assert isinstance(over, OverlayScreen)
        await until(pilot, lambda: bool(over.laid), "the curves")
        await until(pilot, lambda: "batch 12" in shown(app_of(pilot)), "the legend")


async def test_files_that_were_refused_are_counted_and_a_key_tells_why(home: Path) -> None:
    shop(home, "house-good-repeat-1")
    (home / "recordings" / "till.csv").write_text("day,sold\n1,2\n")
    (home / "recordings" / "torn.csv").write_bytes(b"\x00\x01\x02")
    async with the_log() as pilot:
        await until(pilot, lambda: "2 files could not be read" in shown(app_of(pilot)), "the sign")
        assert "N shows which" in shown(app_of(pilot))
        await pilot.press("N")
        await until(pilot, lambda: isinstance(pilot.app.screen, ReadingDialog), "the files")
        told = str(pilot.app.screen.query_one("#reading", Static).render())
        assert "till.csv" in told and "torn.csv" in told
        await pilot.press("escape")
        await until(pilot, lambda: pilot.app.screen is log_of(pilot), "the log again")


async def test_a_recording_without_a_reading_says_so_is_sorted_and_opened(home: Path) -> None:
    shop(home, "house-good-repeat-1", "house-too-hot")
    (home / "recordings" / "silent.csv").write_text("time_s,bean_c,mark,value,note\n")
    async with the_log() as pilot:
        await until(pilot, lambda: len(rows(pilot)) == 3, "three rows")
        for _ in log_of(pilot).query_one(RoastTable).placed:
            await pilot.press("s")
            await pilot.pause()
            assert [line.endswith("readings") for line in rows(pilot)].count(True) == 1
        silent = next(n for n, line in enumerate(rows(pilot)) if line.endswith("readings"))
        await pilot.press("home", *["down"] * silent, "enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, RoastPage), "its page")
        await until(pilot, lambda: "silent has no charge" in shown(app_of(pilot)), "a sentence")


@pytest.mark.parametrize("size", [(80, 24), (60, 20)])
async def test_the_words_below_the_edge_are_found_by_a_key(
    home: Path, size: tuple[int, int]
) -> None:
    shop(home, "house-good-repeat-1", "house-slow-browning")
    async with the_log(*size) as pilot:
        await pilot.press("O")
        await until(pilot, lambda: isinstance(pilot.app.screen, OverlayScreen), "the overlay")
        await until(pilot, lambda: "w: all of them" in shown(app_of(pilot)), "the sign of more")
        await pilot.press("w")
        await until(pilot, lambda: "w: the curves again" in shown(app_of(pilot)), "the way back")
        box = pilot.app.screen.query_one("#over-words-box")
        assert box.max_scroll_y == 0
        await pilot.press("w")
        await until(pilot, lambda: "w: all of them" in shown(app_of(pilot)), "the curves")


async def test_each_key_of_the_overlay_is_listed_once_and_with_words(home: Path) -> None:
    shop(home)
    async with the_log() as pilot:
        await pilot.press("O")
        await until(pilot, lambda: isinstance(pilot.app.screen, OverlayScreen), "the overlay")
        listed = keys_of(pilot.app.screen)
        keys = [key for key, _ in listed]
        assert "↑↓" in keys and "↓" not in keys
        assert len(set(keys)) == len(keys)
        assert all(binding.tooltip for _, binding in listed)
