"""A coffee or lot called otherwise keeps all that was recorded under the name it had."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from roastside.book.coffees import (
    coffee_called,
    coffee_named,
    coffee_of,
    coffee_summaries,
    coffees,
    describe_coffee,
    describe_lot,
    former_names,
    lot_called,
    lot_named,
    lots,
)
from roastside.book.filters import condition
from roastside.book.intake import take_in, take_in_all
from roastside.book.naming import merge_coffees, merge_lots, rename_coffee, rename_lot
from roastside.book.notes import add_note, notes
from roastside.book.rebuild import rebuild
from roastside.book.roasts import count_roasts, roasts
from roastside.book.store import Book
from roastside.book.versions import current_version, make_current, version_titled, versions
from roastside.core.errors import BookError
from tests.book.homes import home_of, write_roast, write_version

AT = datetime(2026, 3, 20, 18, 30, tzinfo=UTC)


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A home with three roasts of two coffees, and a reference of each."""
    home = home_of(tmp_path / "home")
    write_version(home, 3)
    write_version(home, 1, name="Fenmoor filter", coffee="Fenmoor washed")
    write_roast(home, "a.csv", lot="2026-A", started_at="2026-03-04T07:28:09+01:00")
    write_roast(home, "b.csv", lot="2026-B", started_at="2026-03-05T07:28:09+01:00")
    write_roast(home, "c.csv", coffee="Fenmoor washed", lot="2026-A", reference="Fenmoor filter v1")
    return home


@pytest.fixture
def book(home: Path) -> Iterator[Book]:
    with Book.open(home) as opened:
        take_in_all(opened)
        yield opened


def called(book: Book, name: str) -> int:
    found = coffee_called(book, name)
    assert found is not None
    return found.id


def rename(book: Book, name: str, to: str) -> None:
    with book.writing():
        rename_coffee(book, called(book, name), to)


def merge(book: Book, name: str, into: str) -> None:
    with book.writing():
        merge_coffees(book, called(book, name), called(book, into))


def names(book: Book) -> list[str]:
    return [coffee.name for coffee in coffees(book)]


def told(book: Book) -> list[object]:
    """Coffees, lots and what is of them, but for ids."""
    found: list[object] = [former_names(book)]
    found += [(each.title, each.file, each.coffee, each.lot) for each in roasts(book)]
    for coffee in coffees(book):
        found.append((coffee.name, coffee.decaf, coffee.remarks))
        found += [(lot.name, lot.supplier, lot.received_on) for lot in lots(book, coffee.id)]
        current = current_version(book, coffee.id)
        found.append(current and current.title)
    found += [(version.title, version.coffee) for version in versions(book)]
    return found


def test_a_renamed_coffee_has_all_that_it_had(book: Book) -> None:
    version = version_titled(book, "House espresso v3")
    assert version is not None
    make_current(book, version.id, AT)
    rename(book, "House espresso", "Market blend")
    assert names(book) == ["Fenmoor washed", "Market blend"]
    assert sorted(each.coffee for each in roasts(book)) == ["Fenmoor washed"] + 2 * ["Market blend"]
    renamed = version_titled(book, "House espresso v3")
    assert renamed is not None and (renamed.coffee, renamed.is_current) == ("Market blend", True)
    assert former_names(book) == {"House espresso": "Market blend"}


def test_recordings_and_references_with_the_old_name_are_collected(book: Book) -> None:
    rename(book, "House espresso", "Market blend")
    path = write_roast(book.home, "d.csv", coffee="HOUSE espresso")
    with book.writing():
        assert coffee_named(book, " house  espresso") == called(book, "Market blend")
    write_version(book.home, 4)
    take_in(book, path)
    take_in_all(book)
    version = version_titled(book, "House espresso v4")
    assert version is not None and version.coffee == "Market blend"
    assert [each.coffee for each in roasts(book)].count("Market blend") == 3
    assert names(book) == ["Fenmoor washed", "Market blend"], "none is made anew"


def test_both_names_find_its_roasts(book: Book) -> None:
    rename(book, "House espresso", "Market blend")
    with book.writing():
        rename_lot(book, lot_named(book, called(book, "Market blend"), "2026-B"), "Spring bag")
    for typed, count in (
        ('coffee:"market blend"', 2),
        ('coffee:"house espresso"', 2),
        ("market", 2),
        ("2026-b", 1),
        ("market fenmoor", 0),
        ('lot:"spring bag"', 1),
        ("lot:2026-b", 1),
        ("spring", 1),
    ):
        assert count_roasts(book, condition(typed)) == count, typed


def test_a_name_can_be_taken_back_and_its_case_changed(book: Book) -> None:
    rename(book, "House espresso", "Market blend")
    rename(book, "Market blend", "House espresso")
    assert former_names(book) == {"Market blend": "House espresso"}
    rename(book, "House espresso", "HOUSE ESPRESSO")
    assert former_names(book) == {"Market blend": "HOUSE ESPRESSO"}
    rename(book, "House espresso", "House espresso")
    assert names(book) == ["Fenmoor washed", "House espresso"]


def test_a_name_that_is_or_was_another_ones_is_refused(book: Book) -> None:
    with pytest.raises(BookError, match="a coffee called Fenmoor washed already"):
        rename(book, "House espresso", "fenmoor washed")
    rename(book, "Fenmoor washed", "Harbour filter")
    with pytest.raises(BookError, match="Harbour filter was called Fenmoor washed before"):
        rename(book, "House espresso", "Fenmoor washed")
    with pytest.raises(BookError, match="needs a name"):
        rename(book, "House espresso", " \u200b")
    assert names(book) == ["Harbour filter", "House espresso"]
    assert former_names(book) == {"Fenmoor washed": "Harbour filter"}


def test_two_coffees_become_one_with_all_that_either_had(book: Book) -> None:
    house, fenmoor = called(book, "House espresso"), called(book, "Fenmoor washed")
    with book.writing():
        describe_coffee(book, house, True, "two parts")
        describe_coffee(book, fenmoor, False, "sweet")
        describe_lot(book, lot_named(book, fenmoor, "2026-A"), "Quay Green", "2026-02-20", "hay")
        describe_lot(book, lot_named(book, house, "2026-A"), "", None, "dry")
    first, second = (
        version_titled(book, f"{n}") for n in ("House espresso v3", "Fenmoor filter v1")
    )
    assert first is not None and second is not None
    make_current(book, second.id, AT)
    make_current(book, first.id, AT.replace(year=2025))
    add_note(book, "for filter", AT, coffee_id=fenmoor)
    rename(book, "Fenmoor washed", "Fen")
    merge(book, "Fen", "House espresso")
    (only,) = coffees(book)
    assert (only.id, only.name, only.decaf, only.remarks) == (
        house, "House espresso", True, "two parts; sweet",
    )  # fmt: skip
    assert [
        (lot.name, lot.supplier, lot.received_on, lot.remarks) for lot in lots(book, house)
    ] == [
        ("2026-A", "Quay Green", "2026-02-20", "dry; hay"),
        ("2026-B", "", None, ""),
    ]
    assert {each.coffee_id for each in roasts(book)} == {house}
    assert sorted(each.lot for each in roasts(book)) == ["2026-A", "2026-A", "2026-B"]
    assert {version.coffee for version in versions(book)} == {"House espresso"}
    current = current_version(book, house)
    assert current is not None and current.title == "Fenmoor filter v1", "the latest to become it"
    assert [note.text for note in notes(book, coffee_id=house)] == ["for filter"]
    assert former_names(book) == {"Fen": "House espresso", "Fenmoor washed": "House espresso"}
    (summary,) = coffee_summaries(book)
    assert (summary.lots, summary.roasts, summary.reference) == (2, 3, "Fenmoor filter v1")
    assert summary.last_at == "2026-03-05T07:28:09+01:00"


def test_lots_are_renamed_and_put_together_in_the_same_way(book: Book) -> None:
    house = called(book, "House espresso")
    with book.writing():
        a, b = (lot_named(book, house, name) for name in ("2026-A", "2026-B"))
        describe_lot(book, b, "Quay Green", "2026-02-20", "")
        with pytest.raises(BookError, match="a lot called 2026-B already"):
            rename_lot(book, a, "2026-b")
        rename_lot(book, b, "Spring bag")
        with pytest.raises(BookError, match="the lot Spring bag was called 2026-B before"):
            rename_lot(book, a, "2026-B")
        merge_lots(book, b, a)
    (lot,) = lots(book, house)
    assert (lot.name, lot.supplier, lot.received_on) == ("2026-A", "Quay Green", "2026-02-20")
    for old in ("2026-b", "spring bag"):
        found = lot_called(book, house, old)
        assert found is not None and found.id == lot.id
    path = write_roast(book.home, "d.csv", lot="Spring bag")
    take_in(book, path)
    assert {each.lot for each in roasts(book)} == {"2026-A"}


def test_a_name_two_lots_had_is_that_of_the_coffee_that_stays(book: Book) -> None:
    house, fenmoor = called(book, "House espresso"), called(book, "Fenmoor washed")
    with book.writing():
        rename_lot(book, lot_named(book, fenmoor, "2026-A"), "Spring bag")
        kept = lot_named(book, house, "2026-A")
        merge_coffees(book, fenmoor, house)
        assert lot_named(book, house, "2026-A") == kept
        rename_lot(book, kept, "First bag")
        assert lot_named(book, house, "2026-A") == kept
    assert [lot.name for lot in lots(book, house)] == ["Spring bag", "2026-B", "First bag"]


def test_a_book_made_anew_knows_every_name(home: Path) -> None:
    with Book.open(home) as book:
        take_in_all(book)
        write_roast(home, "d.csv", coffee="Fen wash", lot="x")
        take_in_all(book)
        merge(book, "Fen wash", "Fenmoor washed")
        rename(book, "House espresso", "Market blend")
        house = called(book, "Market blend")
        with book.writing():
            rename_lot(book, lot_named(book, house, "2026-B"), "Spring bag")
            describe_coffee(book, house, False, "two parts natural")
        before = told(book)
    assert rebuild(home, AT.replace(tzinfo=None)).unread == ()
    with Book.open(home) as book:
        assert told(book) == before


def test_a_change_that_fails_in_the_middle_changes_nothing(book: Book) -> None:
    before = told(book)
    with pytest.raises(BookError, match="no longer in the book"), book.writing():
        rename_coffee(book, called(book, "House espresso"), "Market blend")
        merge_coffees(book, 99, called(book, "Market blend"))
    assert told(book) == before
    with pytest.raises(BookError, match="no longer in the book"):
        coffee_of(book, 99)
