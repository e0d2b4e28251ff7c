"""What people write about coffees and lots: read as they write it, kept, and found again."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from roastside.book.coffees import coffee_called, coffees, lots
from roastside.book.intake import take_in_all
from roastside.book.rows import Coffee, Lot
from roastside.book.store import Book
from roastside.core.errors import BookError, UsageError
from roastside.live.coffee_changes import (
    Question,
    coffee_rows,
    day_of,
    keep_coffee,
    keep_lot,
    keep_note,
    lot_rows,
    note_rows,
)
from roastside.live.coffees import coffee_story, why_not_now
from roastside.live.log import RoastLog
from roastside.live.start import choices
from tests.book.homes import home_of, write_roast

AT = datetime(2026, 3, 20, 18, 30, tzinfo=UTC)
TODAY = date(2026, 3, 20)


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    home = home_of(tmp_path / "home")
    monkeypatch.setenv("ROASTSIDE_HOME", str(home))
    write_roast(home, "a.csv", lot="2026-A")
    write_roast(home, "b.csv", lot="2026-B")
    write_roast(home, "c.csv", coffee="Fenmoor washed")
    return home


@pytest.fixture
def book(home: Path) -> Iterator[Book]:
    with Book.open(home) as opened:
        take_in_all(opened)
        yield opened


def coffee(book: Book, name: str) -> Coffee:
    found = coffee_called(book, name)
    assert found is not None
    return found


def of_coffee(name: str, decaf: str = "", remarks: str = "") -> dict[str, str]:
    return {"name": name, "decaf": decaf, "remarks": remarks}


def of_lot(name: str, received_on: str = "", supplier: str = "") -> dict[str, str]:
    return {"name": name, "supplier": supplier, "received_on": received_on, "remarks": ""}


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("", None),
        (" ", None),
        ("2026-03-02", "2026-03-02"),
        ("2026-3-2", "2026-03-02"),
        ("2 March 2026", "2026-03-02"),
        ("2. mar 2026", "2026-03-02"),
        ("29 february 2024", "2024-02-29"),
        ("today", "2026-03-20"),
        ("Yesterday", "2026-03-19"),
    ],
)
def test_a_day_is_read_as_it_is_written(text: str, day: str | None) -> None:
    assert day_of(text, TODAY) == day


@pytest.mark.parametrize(
    "text",
    ["soon", "2026-02-30", "29 February 2026", "3/4/2026", "0226-03-02", "2 Ma 2026", "2026",
     "99999-01-01", "2 March 26", "2026-03-02T10:00"],
)  # fmt: skip
def test_what_is_no_day_is_told_in_a_sentence(text: str) -> None:
    with pytest.raises(UsageError, match="is no day; write it as 2026-03-02 or 2 March 2026"):
        day_of(text, TODAY)


def test_a_coffee_is_renamed_and_described(book: Book) -> None:
    house = coffee(book, "House espresso")
    assert keep_coffee(book, house.id, of_coffee(" Market  blend", "yes", "two parts")) == house.id
    assert coffee(book, "House espresso") == Coffee(house.id, "Market blend", True, "two parts")
    story = coffee_story(book, house.id)
    assert (story.former, story.summary.roasts, story.summary.lots) == (["House espresso"], 2, 2)
    assert [(lot.name, roasts) for lot, roasts in story.lots] == [("2026-B", 1), ("2026-A", 1)]


def test_two_coffees_become_one_only_when_that_is_agreed_to(book: Book) -> None:
    house, fenmoor = coffee(book, "House espresso"), coffee(book, "Fenmoor washed")
    keep_coffee(book, fenmoor.id, of_coffee(fenmoor.name, "yes", "sweet"))
    texts = of_coffee("fenmoor Washed", remarks="as typed just now")
    question = keep_coffee(book, house.id, texts)
    assert isinstance(question, Question)
    assert "2 roasts, 2 lots" in question.text and "is a decaf, and stays one" in question.text
    assert len(coffees(book)) == 2
    assert keep_coffee(book, house.id, texts, agreed=True) == fenmoor.id
    assert coffees(book) == [
        Coffee(fenmoor.id, "Fenmoor washed", True, "sweet; as typed just now"),
    ]
    assert coffee_story(book, fenmoor.id).summary.roasts == 3


def test_a_new_coffee_takes_no_name_that_is_or_was_there(book: Book) -> None:
    made = keep_coffee(book, None, of_coffee("Lantern Hill decaf", "yes"))
    assert isinstance(made, int)
    assert coffee(book, "lantern hill decaf").id == made
    keep_coffee(book, coffee(book, "House espresso").id, of_coffee("Market blend"))
    for name, why in (
        ("market BLEND", "there is a coffee called Market blend already"),
        ("House espresso", "the coffee Market blend was called House espresso before"),
        ("", "a coffee needs a name"),
    ):
        with pytest.raises(BookError, match=why):
            keep_coffee(book, None, of_coffee(name))
    with pytest.raises(BookError, match="was called House espresso before"):
        keep_coffee(book, made, of_coffee("House espresso", "", "lost?"))
    assert coffee(book, "Lantern Hill decaf").decaf, "nothing of it was kept"


def test_lots_are_added_changed_and_put_together(book: Book) -> None:
    house = coffee(book, "House espresso")
    spring = keep_lot(book, house.id, None, of_lot("Spring", "2 March 2026", "Quay Green"))
    assert isinstance(spring, int)
    found = {lot.name: lot for lot in lots(book, house.id)}
    assert found["Spring"] == Lot(spring, house.id, "Spring", "Quay Green", "2026-03-02")
    with pytest.raises(UsageError, match="Received on “soon” is no day"):
        keep_lot(book, house.id, spring, of_lot("Summer", "soon"))
    with pytest.raises(BookError, match="a lot called 2026-A already"):
        keep_lot(book, house.id, None, of_lot("2026-a"))
    with pytest.raises(BookError, match="a lot needs a name"):
        keep_lot(book, house.id, None, of_lot(" "))
    assert keep_lot(book, house.id, spring, of_lot("Summer", "")) == spring
    question = keep_lot(book, house.id, spring, of_lot("2026-A"))
    assert isinstance(question, Question) and "2026-A" in question.text
    assert len(lots(book, house.id)) == 3
    assert keep_lot(book, house.id, spring, of_lot("2026-A"), agreed=True) == found["2026-A"].id
    assert {lot.name for lot in lots(book, house.id)} == {"2026-A", "2026-B"}


def test_notes_have_an_author_and_a_day_and_authors_are_proposed(book: Book) -> None:
    house = coffee(book, "House espresso")
    keep_note(book, house.id, {"note": "par is 4 kg", "author": "Ines"}, AT)
    keep_note(book, house.id, {"note": "thin today", "author": ""}, AT)
    keep_note(book, house.id, {"note": "better", "author": "Tomas"}, AT)
    (first, *_, last) = coffee_story(book, house.id).notes
    assert (first.text, first.author, last.text) == ("par is 4 kg", "Ines", "better")
    assert datetime.fromisoformat(first.written_at) == AT
    assert list(note_rows(book)[1].names) == ["Tomas", "Ines"]
    with pytest.raises(BookError, match="the note is empty"):
        keep_note(book, house.id, {"note": " ", "author": "Ines"}, AT)


def test_a_form_begins_with_what_is_known() -> None:
    rows = coffee_rows(Coffee(3, "Lantern Hill decaf", True, "slow to yellow"))
    assert [row.text for row in rows] == ["Lantern Hill decaf", "yes", "slow to yellow"]
    rows = lot_rows(Lot(4, 3, "L-77", "Quay Green", "2026-02-20", "hay"))
    assert [row.text for row in rows] == ["L-77", "Quay Green", "2026-02-20", "hay"]
    assert [row.text for row in coffee_rows() + lot_rows()] == 7 * [""]


def test_a_roast_is_begun_under_the_new_name_whichever_is_typed(book: Book) -> None:
    keep_coffee(book, coffee(book, "House espresso").id, of_coffee("Market blend"))
    known = choices(book.home)
    assert {each.name for each in known.coffees} == {"Fenmoor washed", "Market blend"}
    for typed in ("house espresso", "HOUSE ESPRESSO ", "market blend"):
        assert known.now_called(typed) == "Market blend"
        found = known.coffee(typed)
        assert found is not None and set(found.lots) == {"2026-A", "2026-B"}
    assert known.now_called("Nobody knows it") == "Nobody knows it"


def test_what_another_roastside_writes_can_be_read_and_not_changed(book: Book) -> None:
    with Book.open(book.home) as second:
        log = RoastLog(second)
        assert "another roastside has the book open for writing" in why_not_now(log)
        story = coffee_story(second, coffee(second, "House espresso").id)
        assert story.summary.roasts == 2
        with pytest.raises(BookError, match="another roastside"):
            keep_coffee(second, story.summary.coffee.id, of_coffee("Market blend"))
    log = RoastLog(book)
    assert why_not_now(log) == ""
    log.taking_in.busy = True
    assert "try again in a moment" in why_not_now(log)
