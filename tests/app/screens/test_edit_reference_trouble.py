"""Making a reference over a book that is damaged or locked: a sentence, and nothing typed lost."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from textual.app import App
from textual.pilot import Pilot
from textual.widgets import Input, Static

from roastside.app.screens.edit_reference import EditReference
from roastside.book.store import Book
from roastside.book.versions import version_titled
from roastside.core.units import CELSIUS
from roastside.live.log import RoastLog
from roastside.live.new_version import Beginning, begin_with_roasts, begin_with_version
from tests.app.screens.test_damaged_book import spoil
from tests.app.screens.test_roast_screen import until
from tests.live.reference_homes import GOOD, home_with_story, roast_called

CHANGE = "browning 20 s longer"


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    home = tmp_path / "home"
    monkeypatch.setenv("ROASTSIDE_HOME", str(home))
    return home_with_story(home)


@pytest.fixture
def log(home: Path) -> Iterator[RoastLog]:
    log = RoastLog.open(home, CELSIUS)
    log.taking_in.run()
    yield log
    log.close()


def an_edit(log: RoastLog) -> Beginning:
    version = version_titled(log.book, "House espresso v5")
    assert version is not None
    return begin_with_version(log.book, version)


def kept(home: Path) -> list[str]:
    return sorted(path.stem for path in home.glob("references/*.csv"))


def told(app: App[None]) -> str:
    return str(app.screen.query_one("#new-trouble", Static).content)


async def opened(pilot: Pilot[None], log: RoastLog, beginning: Beginning) -> None:
    app = pilot.app
    await app.push_screen(EditReference(log, beginning))
    words = app.screen.query_one("#new-words", Static)
    await until(pilot, lambda: str(words.content) != "Reading…", "the curve")


async def stays_until_left_twice(pilot: Pilot[None]) -> None:
    """What was typed is not left without a word, and then it is left."""
    screen = pilot.app.screen
    await pilot.press("escape")
    await until(pilot, lambda: "It is not kept yet" in told(pilot.app), "the warning")
    assert pilot.app.screen is screen
    await pilot.press("escape")
    await until(pilot, lambda: pilot.app.screen is not screen, "the way out")


async def test_an_edit_over_a_damaged_book_is_not_kept_and_not_lost(
    home: Path, log: RoastLog
) -> None:
    before, beginning = kept(home), an_edit(log)
    spoil(log, "reference_version", "roast")
    app: App[None] = App()
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, log, beginning)
        app.screen.query_one("#new-change", Input).value = CHANGE
        await pilot.pause()
        await pilot.press("ctrl+s")
        await until(pilot, lambda: "is damaged" in told(app), "the sentence")
        assert "roastside rebuild" in told(app)
        assert app.screen.query_one("#new-change", Input).value == CHANGE
        await stays_until_left_twice(pilot)
    assert kept(home) == before


async def test_a_roast_over_a_damaged_book_is_not_kept_and_not_lost(
    home: Path, log: RoastLog
) -> None:
    before, beginning = kept(home), begin_with_roasts(log.book, [roast_called(log.book, GOOD)])
    spoil(log, "reference_version", "roast")
    app: App[None] = App()
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, log, beginning)
        name = app.screen.query_one("#new-name", Input)
        name.value = "Evening espresso"
        await until(pilot, lambda: "is damaged" in told(app), "the sentence while typing")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "is damaged" in told(app) and name.value == "Evening espresso"
        await stays_until_left_twice(pilot)
    assert kept(home) == before


async def test_while_another_roastside_writes_nothing_is_kept_and_nothing_lost(home: Path) -> None:
    before = kept(home)
    with Book.open(home), closing(RoastLog.open(home, CELSIUS)) as log:
        app: App[None] = App()
        async with app.run_test(size=(80, 24)) as pilot:
            await opened(pilot, log, an_edit(log))
            app.screen.query_one("#new-change", Input).value = CHANGE
            await pilot.pause()
            await pilot.press("ctrl+s")
            await until(pilot, lambda: "cannot be kept, as" in told(app), "the sentence")
            assert app.screen.query_one("#new-change", Input).value == CHANGE
            await stays_until_left_twice(pilot)
    assert kept(home) == before


async def test_a_book_that_something_else_locks_gets_the_version_later(
    home: Path, log: RoastLog
) -> None:
    before, beginning = kept(home), an_edit(log)
    log.book.db.execute("PRAGMA busy_timeout = 50")
    app: App[None] = App()
    with closing(sqlite3.connect(log.book.path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        async with app.run_test(size=(80, 24)) as pilot:
            await opened(pilot, log, beginning)
            screen = app.screen
            app.screen.query_one("#new-change", Input).value = CHANGE
            await pilot.pause()
            await pilot.press("ctrl+s")
            await until(pilot, lambda: app.screen is not screen, "the end of the form")
            (notice,) = [each.message for each in app._notifications]
            assert "House espresso v6 is kept, but it comes into the book later" in notice
        other.execute("ROLLBACK")
    assert kept(home) == [*before, "House espresso v6"]
    log.taking_in.run()
    assert an_edit(log).coffee
