"""Coffees on the screen: looked at, called otherwise, put together, their lots and notes."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from roastside.app.app import RoastsideApp
from roastside.app.screens.ask import AskDialog
from roastside.app.screens.coffee_page import CoffeePage
from roastside.app.screens.coffees import CoffeesScreen
from roastside.app.screens.coffees_form import RowsDialog
from roastside.app.screens.keys import KeysScreen
from roastside.app.screens.log import LogScreen
from roastside.app.screens.references import ReferencesScreen
from roastside.app.screens.setup import Setup, SetupDialog
from roastside.app.screens.today import TodayScreen
from roastside.app.widgets.tick_box import TickBox
from roastside.book.coffees import coffee_called, coffees, lots
from roastside.book.intake import take_in_all
from roastside.book.naming import rename_coffee
from roastside.book.notes import notes
from roastside.book.store import BOOK_NAME, Book
from roastside.live.home import note_cautions_read
from roastside.record.facts import append_fact
from tests.app.screens.test_roast_screen import shown, until
from tests.book.homes import home_of, write_roast, write_version

WIDE, SMALL = (80, 24), (60, 20)


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A home with four roasts of three coffees, one of them misspelt, and a reference."""
    home = home_of(tmp_path / "home")
    monkeypatch.setenv("ROASTSIDE_HOME", str(home))
    note_cautions_read()
    append_fact(write_version(home, 3), "current_since", "2026-03-02T09:00:00+01:00")
    write_roast(home, "a.csv", lot="2026-A")
    write_roast(home, "b.csv", started_at="2026-03-05T07:28:09+01:00")
    write_roast(home, "c.csv", coffee="Lantern Hill decaf", lot="L-77", title="decaf 1")
    write_roast(home, "d.csv", coffee="Lantern Hil decaf", lot="L-77", title="decaf 2")
    with Book.open(home) as book:
        take_in_all(book)
    return home


@pytest.fixture
def writer(home: Path) -> Iterator[Book]:
    """Another roastside that has the book open for writing."""
    with Book.open(home) as book:
        yield book


async def on(pilot: Pilot[None], screen: type[object], says: str = "") -> None:
    """Wait until a screen is there and says something."""
    app = pilot.app
    await until(pilot, lambda: isinstance(app.screen, screen), screen.__name__)
    if says:
        await until(pilot, lambda: says in shown(app), f"“{says}”")  # type: ignore[arg-type]


async def the_list(pilot: Pilot[None]) -> None:
    """Open the list, and wait until nothing is being taken in any more."""
    await pilot.press("c")
    await on(pilot, CoffeesScreen, "House espresso")
    screen = pilot.app.screen
    assert isinstance(screen, CoffeesScreen)
    await until(pilot, lambda: not screen._log.taking_in.busy, "the recordings")


async def the_coffee(pilot: Pilot[None], place: int = 0) -> None:
    """Open the coffee in this place of the list."""
    await the_list(pilot)
    await pilot.press(*["down"] * place, "enter")
    await on(pilot, CoffeePage, "Lots of green")


def row(app: RoastsideApp, key: str) -> Input:
    return app.screen.query_one(f"#row-{key}", Input)


@pytest.mark.parametrize("size", [WIDE, SMALL])
async def test_the_list_tells_what_there_is_of_each(size: tuple[int, int]) -> None:
    app = RoastsideApp()
    async with app.run_test(size=size) as pilot:
        await the_list(pilot)
        house = next(line for line in shown(app).splitlines() if "House espresso" in line)
        assert house.startswith("› ") and house.split()[-3:] == ["1", "2", "2026-03-05"]
        assert ("House espresso v3" in house) == (size == WIDE), "it has no room in 60 cells"
        await pilot.press("down")
        await until(pilot, lambda: "› Lantern Hil decaf" in shown(app), "the cursor")
        assert shown(app).count("› ") == 1
        await pilot.press("question_mark")
        await on(pilot, KeysScreen, "write down a new coffee")
        await pilot.press("escape", "escape")
        await on(pilot, TodayScreen)


@pytest.mark.parametrize("size", [WIDE, SMALL])
async def test_a_renamed_coffee_is_called_so_everywhere(size: tuple[int, int]) -> None:
    app = RoastsideApp()
    async with app.run_test(size=size) as pilot:
        await the_coffee(pilot)
        await pilot.press("e")
        await on(pilot, RowsDialog)
        assert row(app, "name").value == "House espresso"
        await pilot.press(*"Market blend", "tab", "space", "tab", *"two parts", "enter")
        await on(pilot, CoffeePage, "Market blend · decaf · 2 roasts · last 5 March 2026")
        assert "Called before: House espresso" in shown(app)
        assert "Remarks: two parts" in shown(app)
        await pilot.press("r")
        await on(pilot, LogScreen)
        log = app.screen
        assert isinstance(log, LogScreen)
        assert (log._log.text, log._log.count) == ('coffee="Market blend"', 2)
        await pilot.press("escape", "escape")
        await on(pilot, CoffeePage)
        await pilot.press("escape")
        await on(pilot, CoffeesScreen, "› Market blend")
        await pilot.press("escape", "e")
        await on(pilot, ReferencesScreen, "Market blend")
        if size == WIDE:
            assert "House espresso v3" in shown(app), "the reference has its own name"
        await pilot.press("escape", "l")
        await on(pilot, LogScreen)
        await pilot.resize_terminal(160, 30)
        await on(pilot, LogScreen, "Market blend")
        await pilot.press("escape")
        await on(pilot, TodayScreen)


async def test_a_roast_is_begun_under_the_new_name_by_either(home: Path) -> None:
    with Book.open(home) as book, book.writing():
        found = coffee_called(book, "House espresso")
        assert found is not None
        rename_coffee(book, found.id, "Market blend")
    app, answers = RoastsideApp(), list[Setup | None]()
    async with app.run_test(size=WIDE) as pilot:
        for typed in ("house espresso", "Market blend"):
            await pilot.press("r")
            await on(pilot, SetupDialog)
            dialog = app.screen
            assert isinstance(dialog, SetupDialog)
            app.screen.query_one("#coffee", Input).value = typed
            await until(
                pilot,
                lambda dialog=dialog: dialog._typed("charge-weight") == "1500 g",  # type: ignore[misc]
                "what is usual",
            )
            dialog.dismiss = answers.append  # type: ignore[assignment,method-assign]
            dialog._answer()
            app.pop_screen()
            await on(pilot, TodayScreen)
    assert [answer and answer.coffee for answer in answers] == 2 * ["Market blend"]


async def test_given_another_ones_name_it_asks_and_then_they_are_one(home: Path) -> None:
    app = RoastsideApp()
    async with app.run_test(size=SMALL) as pilot:
        await the_coffee(pilot, place=1)
        await pilot.press("e")
        await on(pilot, RowsDialog)
        await pilot.press(*"Lantern Hill decaf", "tab", "tab", *"keep me", "enter")
        await on(pilot, AskDialog, "Are the two one coffee?")
        await pilot.press("escape")
        await on(pilot, RowsDialog)
        assert (row(app, "name").value, row(app, "remarks").value) == (
            "Lantern Hill decaf",
            "keep me",
        )
        await pilot.press("enter")
        await on(pilot, AskDialog)
        await pilot.press("y")
        await on(pilot, CoffeePage, "Lantern Hill decaf · 2 roasts")
        assert "Called before: Lantern Hil decaf" in shown(app) and "keep me" in shown(app)
        assert "L-77 · 2 roasts" in shown(app)
        await pilot.press("escape")
        await on(pilot, CoffeesScreen, "› Lantern Hill decaf")
    with Book.open(home) as book:
        assert [coffee.name for coffee in coffees(book)] == ["House espresso", "Lantern Hill decaf"]


async def test_lots_are_added_and_changed_and_a_wrong_day_loses_nothing(home: Path) -> None:
    app = RoastsideApp()
    async with app.run_test(size=SMALL) as pilot:
        await the_coffee(pilot)
        await pilot.press("a")
        await on(pilot, RowsDialog, "A new lot of House espresso")
        await pilot.press(*"Spring", "tab", *"Quay Green", "tab", *"31 June 2026", "enter")
        await on(pilot, RowsDialog, "is no day")
        assert [row(app, key).value for key in ("name", "supplier", "received-on")] == [
            "Spring",
            "Quay Green",
            "31 June 2026",
        ]
        row(app, "received-on").value = "20 June 2026"
        await pilot.press("ctrl+s")
        await on(pilot, CoffeePage, "› Spring · Quay Green · received 20 June 2026")
        await pilot.press("enter")
        await on(pilot, RowsDialog, "The lot Spring of House espresso")
        row(app, "remarks").value = "smells of hay"
        await pilot.press("enter")
        await on(pilot, CoffeePage, "smells of hay")
        assert "› Spring" in shown(app)
    with Book.open(home) as book:
        house = coffees(book)[0]
        assert [(lot.name, lot.received_on) for lot in lots(book, house.id)] == [
            ("Spring", "2026-06-20"),
            ("2026-A", None),
        ]


async def test_a_note_is_written_with_its_author_and_stays(home: Path) -> None:
    app = RoastsideApp()
    async with app.run_test(size=SMALL) as pilot:
        await the_coffee(pilot)
        await pilot.press("w")
        await on(pilot, RowsDialog, "Note about House espresso")
        await pilot.press("enter")
        await on(pilot, RowsDialog, "the note is empty")
        await pilot.press(*"par is 4 kg", "tab", *"Ines", "enter")
        await on(pilot, CoffeePage, "by Ines")
        assert "par is 4 kg" in shown(app)
        await pilot.press("enter")
        await until(pilot, lambda: bool(app._notifications), "the sentence")
        assert "w writes another one" in next(iter(app._notifications)).message
        assert isinstance(app.screen, CoffeePage)
    with Book.open(home) as book:
        house = coffee_called(book, "House espresso")
        assert house is not None
        (note,) = notes(book, coffee_id=house.id)
        assert (note.text, note.author) == ("par is 4 kg", "Ines")


async def test_a_new_coffee_is_written_down_before_its_first_roast(home: Path) -> None:
    app = RoastsideApp()
    async with app.run_test(size=WIDE) as pilot:
        await the_list(pilot)
        await pilot.press("n")
        await on(pilot, RowsDialog, "A new coffee")
        await pilot.press(*"house espresso", "enter")
        await on(pilot, RowsDialog, "there is a coffee called House espresso already")
        await pilot.press(*["backspace"] * 14, *"Fenmoor washed")
        app.screen.query_one(TickBox).value = True
        await pilot.press("ctrl+s")
        await on(pilot, CoffeesScreen, "› Fenmoor washed")
        await pilot.press("enter")
        await on(pilot, CoffeePage, "Fenmoor washed · decaf · not roasted yet")
        await pilot.press("r")
        await until(pilot, lambda: bool(app._notifications), "the sentence")
        assert isinstance(app.screen, CoffeePage)


async def test_what_was_typed_is_not_left_without_a_word(home: Path) -> None:
    app = RoastsideApp()
    async with app.run_test(size=SMALL) as pilot:
        await the_coffee(pilot)
        await pilot.press("e")
        await on(pilot, RowsDialog)
        await pilot.press("escape")
        await on(pilot, CoffeePage)
        await pilot.press("e")
        await on(pilot, RowsDialog)
        await pilot.press(*"Market", "escape")
        await on(pilot, RowsDialog, "It is not kept yet")
        await pilot.press("escape")
        await on(pilot, CoffeePage, "House espresso · 2 roasts")


@pytest.mark.parametrize("size", [WIDE, SMALL])
async def test_what_another_roastside_writes_is_shown_and_not_changed(
    writer: Book, size: tuple[int, int]
) -> None:
    app = RoastsideApp()
    async with app.run_test(size=size) as pilot:
        await the_list(pilot)
        assert "cannot" not in shown(app) and "can be read but not changed" in shown(app)
        await pilot.press("enter")
        await on(pilot, CoffeePage, "can be read but not changed")
        for key in ("e", "a", "w"):
            app.clear_notifications()
            await pilot.press(key)
            await until(pilot, lambda: bool(app._notifications), "the sentence")
            assert "another roastside has the book open" in next(iter(app._notifications)).message
            assert isinstance(app.screen, CoffeePage)
        await pilot.press("r")
        await on(pilot, LogScreen)


async def test_a_coffee_that_is_gone_is_left_with_a_sentence(home: Path) -> None:
    app = RoastsideApp()
    async with app.run_test(size=WIDE) as pilot:
        await the_coffee(pilot)
        page = app.screen
        assert isinstance(page, CoffeePage)
        with page._log.book.writing() as db:
            db.execute("DELETE FROM coffee WHERE name = 'House espresso'")
        await pilot.press("question_mark")
        await on(pilot, KeysScreen)
        await pilot.press("escape")
        await on(pilot, CoffeesScreen)
        assert "no longer in the book" in next(iter(app._notifications)).message


async def test_a_book_that_is_damaged_is_said_in_a_sentence(home: Path) -> None:
    (home / BOOK_NAME).write_bytes(b"no book" * 1000)
    app = RoastsideApp()
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("c")
        await on(pilot, CoffeesScreen, "Only the names of recordings are listed")
        assert "No coffees yet" not in shown(app)
        await pilot.press("n")
        await until(pilot, lambda: bool(app._notifications), "the sentence")
        assert "Nothing can be changed now" in next(iter(app._notifications)).message


async def test_without_any_coffee_it_says_how_one_comes(home: Path) -> None:
    for path in (*home.glob("recordings/*"), *home.glob("references/*"), *home.glob("book*")):
        path.unlink()
    app = RoastsideApp()
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("c")
        await on(pilot, CoffeesScreen, "No coffees yet")
        await pilot.press("enter")
        assert isinstance(app.screen, CoffeesScreen)


async def test_the_roasts_of_a_coffee_are_its_own_whatever_its_name_holds(home: Path) -> None:
    write_roast(home, "e.csv", coffee='The "big" espresso', title="e")
    write_roast(home, "f.csv", coffee="House espresso gold", title="f")
    app = RoastsideApp()
    async with app.run_test(size=WIDE) as pilot:
        for name, count in (("House espresso", 2), ('The "big" espresso', 1)):
            await the_list(pilot)
            screen = pilot.app.screen
            assert isinstance(screen, CoffeesScreen)
            place = [each.coffee.name for each in screen._coffees].index(name)
            await pilot.press("home", *["down"] * place, "enter")
            await on(pilot, CoffeePage, name)
            await pilot.press("r")
            await on(pilot, LogScreen)
            log = app.screen
            assert isinstance(log, LogScreen)
            field = log.query_one("#log-find", Input)
            assert field.value == f'coffee="{name}"'.replace('"big"', '""big""')
            assert log._log.count == count
            # It is words like all others: more of them narrow further, fewer find more.
            field.value += " verdict:none since:2030"
            await until(pilot, lambda log=log: log._log.count == 0, "fewer")
            field.value = "coffee:espresso"
            await until(pilot, lambda log=log: log._log.count == 4, "all of them")
            field.value = ""
            await pilot.press("escape")
            await on(pilot, CoffeePage)
            await pilot.press("escape")
            await on(pilot, CoffeesScreen)
            await pilot.press("escape")
            await on(pilot, TodayScreen)
