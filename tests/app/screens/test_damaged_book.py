"""A form over a book that is damaged while it is open: a sentence, and nothing typed is lost."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.app import App
from textual.widgets import Input, Static

from roastside.app.screens.fill_in import FillInScreen
from roastside.live.log import RoastLog
from tests.live.log_homes import shop_log


def spoil(log: RoastLog, *tables: str) -> None:
    """Overwrite the tables' first pages, as a failing disk may."""
    book = log.book
    book.db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    size = book.db.execute("PRAGMA page_size").fetchone()[0]
    pages = [
        book.db.execute("SELECT rootpage FROM sqlite_schema WHERE name = ?", (table,)).fetchone()[0]
        for table in tables
    ]
    with book.path.open("r+b") as file:
        for page in pages:
            file.seek((page - 1) * size)
            file.write(b"\xff" * size)
    book.db.execute("PRAGMA shrink_memory")


@pytest.fixture
def log(tmp_path: Path) -> RoastLog:
    log = shop_log(tmp_path, "house-good-repeat-1")
    log.taking_in.run()
    log.look_again()
    return log


async def test_a_form_to_fill_in_says_that_the_book_is_damaged(log: RoastLog) -> None:
    (roast,) = log.shown(5)
    spoil(log, "coffee", "roast")
    app: App[None] = App()
    async with app.run_test(size=(80, 24)) as pilot:
        await app.push_screen(FillInScreen(log.book, roast))
        await pilot.pause()
        told = app.screen.query_one("#fill-in-trouble", Static)
        assert "is damaged" in str(told.content) and "roastside rebuild" in str(told.content)
        field = app.screen.query(Input).first()
        field.focus()
        field.value = "Lantern Hill"
        await pilot.pause()
        await pilot.press("ctrl+s")
        await pilot.pause()
    kept = log.book.located(roast.file).read_text("utf-8")
    assert "title=Lantern Hill" in kept, "the recording has it, whatever becomes of the book"
