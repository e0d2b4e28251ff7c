"""A second connection to a book, for another thread."""

from __future__ import annotations

from pathlib import Path
from threading import Event, Thread

from roastside.book.coffees import coffee_named, coffees
from roastside.book.filters import condition
from roastside.book.intake import take_in_all
from roastside.book.roasts import count_roasts
from roastside.book.store import Book
from tests.book.homes import home_of, write_roast

PATIENCE_S = 60.0


def test_it_writes_for_the_same_writer_and_is_seen_once_it_is_kept(tmp_path: Path) -> None:
    with Book.open(tmp_path) as book:
        with book.beside() as beside:
            with beside.writing():
                coffee_named(beside, "House espresso")
                assert coffees(book) == []
            assert [coffee.name for coffee in coffees(book)] == ["House espresso"]
        assert book.writable
        with Book.open(tmp_path) as other:
            assert not other.writable
    with Book.open(tmp_path) as again:
        assert again.writable


def test_beside_a_book_for_reading_nothing_can_be_written(tmp_path: Path) -> None:
    Book.open(tmp_path).close()
    with Book.open(tmp_path, write=False) as book, book.beside() as beside:
        assert not beside.writable and coffees(beside) == []


def test_a_filter_and_another_thread_do_not_wait_for_each_other(tmp_path: Path) -> None:
    home = home_of(tmp_path)
    for number in range(5):
        write_roast(home, f"{number}.csv")
    with Book.open(home) as book:
        take_in_all(book)
        enough = Event()

        def look() -> None:
            with book.beside() as beside:
                while not enough.is_set():
                    beside.db.execute("SELECT id FROM roast WHERE file = ?", ("x",)).fetchone()

        def narrow() -> None:
            wanted = condition('reference:"house espresso v3"')
            found.extend(count_roasts(book, wanted) for _ in range(300))

        found: list[int] = []
        threads = [Thread(target=work, daemon=True) for work in (look, narrow)]
        for thread in threads:
            thread.start()
        threads[1].join(PATIENCE_S)
        enough.set()
        threads[0].join(PATIENCE_S)
        assert not any(thread.is_alive() for thread in threads)
        assert found == [5] * 300
