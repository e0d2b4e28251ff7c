"""A book that is lost or damaged is made anew, and nothing people wrote is lost with it."""

from __future__ import annotations

import errno
import os
import shutil
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from roastside.book.coffees import coffee_named, coffees, lot_named, lots
from roastside.book.intake import take_in, take_in_all
from roastside.book.notes import add_note, notes
from roastside.book.rebuild import rebuild
from roastside.book.roasts import roasts
from roastside.book.store import BOOK_NAME, Book
from roastside.book.versions import make_current, version_titled, versions
from roastside.core.errors import BookError
from tests.book.homes import home_of, roast_text, write_roast, write_version
from tests.live.running import run

AT = datetime(2026, 3, 20, 18, 30)
ASIDE = "book until 2026-03-20 18.30.00.sqlite3"


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A home with two roasts, two versions, and what people wrote about them."""
    home = home_of(tmp_path)
    write_version(home, 1)
    write_version(home, 2, parent="House espresso v1", origin="edit")
    write_roast(home, "a.csv", lot="2026-A", reference="House espresso v2")
    write_roast(home, "b.csv", title="b", coffee="Fenmoor washed")
    with Book.open(home) as book:
        take_in_all(book)
        with book.writing() as db:
            house = coffee_named(book, "House espresso")
            decaf = coffee_named(book, "Lantern Hill decaf", decaf=True)
            lot = lot_named(book, house, "2026-A")
            db.execute("UPDATE coffee SET remarks = 'two parts natural' WHERE id = ?", (house,))
            db.execute("UPDATE lot SET supplier = 'Quay Green', received_on = '2026-02-20',"
                       " remarks = 'smells of hay' WHERE id = ?", (lot,))  # fmt: skip
            db.execute("INSERT INTO setting VALUES ('mapping', '{}')")
        first, second = versions(book)
        make_current(book, second.id, AT.astimezone(UTC))
        add_note(book, "thin", AT, "Ines", version_id=first.id)
        add_note(book, "for filter", AT, coffee_id=decaf)
    return home


def told(home: Path) -> list[object]:
    """Everything the book tells, but for ids."""
    with Book.open(home, write=False) as book:
        found: list[object] = [
            (roast.file, roast.title, roast.coffee, roast.lot, roast.drop_c, roast.within_share)
            for roast in roasts(book, sort="title")
        ]
        for coffee in coffees(book):
            found.append((coffee.name, coffee.decaf, coffee.remarks))
            found += [
                (lot.name, lot.supplier, lot.received_on, lot.remarks)
                for lot in lots(book, coffee.id)
            ]
            found += [(note.author, note.text) for note in notes(book, coffee_id=coffee.id)]
        for version in versions(book):
            found.append((version.title, version.file, version.is_current, version.parent_id))
            found += [
                (note.written_at, note.author, note.text)
                for note in notes(book, version_id=version.id)
            ]
        found += [tuple(row) for row in book.db.execute("SELECT * FROM setting")]
    return found


def test_a_book_made_anew_tells_the_same(home: Path) -> None:
    before = told(home)
    made = rebuild(home, AT)
    assert told(home) == before
    assert (made.taken_in.roasts, made.taken_in.versions, made.homeless) == (2, 2, 0)
    assert (made.unread, made.taken_in.refused) == ((), {})


def test_the_old_book_is_kept_aside(home: Path) -> None:
    content = (home / BOOK_NAME).read_bytes()
    assert rebuild(home, AT).old == home / ASIDE
    assert (home / ASIDE).read_bytes() == content
    again = rebuild(home, AT)
    assert again.old == home / "book until 2026-03-20 18.30.00 (2).sqlite3"
    assert sorted(path.name for path in home.glob("book*") if "writer" not in path.name) == [
        again.old.name,
        ASIDE,
        BOOK_NAME,
    ]


def test_without_an_old_book_one_is_made(home: Path) -> None:
    (home / BOOK_NAME).unlink()
    made = rebuild(home, AT)
    assert (made.old, made.taken_in.roasts) == (None, 2)
    with Book.open(home) as book:
        assert book.writable
        found = version_titled(book, "House espresso v2")
        assert found is not None and found.is_current, "the file told"


def test_a_home_with_nothing_in_it_gets_an_empty_book(tmp_path: Path) -> None:
    assert rebuild(tmp_path / "new", AT).taken_in.roasts == 0
    assert told(tmp_path / "new") == []


@pytest.mark.parametrize("content", [b"", b"no book" * 1000, b"SQLite format 3\0" + b"x" * 9000])
def test_a_damaged_book_is_moved_aside_as_it_is(content: bytes, home: Path) -> None:
    (home / BOOK_NAME).write_bytes(content)
    made = rebuild(home, AT)
    assert made.taken_in.roasts == 2
    assert (home / ASIDE).read_bytes() == content
    assert made.unread == (("anything",) if content else ())


def test_of_a_book_damaged_in_part_the_rest_is_carried_over(home: Path) -> None:
    with closing(sqlite3.connect(home / BOOK_NAME)) as db:
        db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        page_bytes = db.execute("PRAGMA page_size").fetchone()[0]
        root = db.execute("SELECT rootpage FROM sqlite_schema WHERE name = 'note'").fetchone()[0]
    with (home / BOOK_NAME).open("r+b") as file:
        file.seek((root - 1) * page_bytes)
        file.write(b"\xff" * page_bytes)
    made = rebuild(home, AT)
    assert made.unread == ("notes",)
    with Book.open(home) as book:
        assert {coffee.name: coffee.decaf for coffee in coffees(book)}["Lantern Hill decaf"]
        assert book.db.execute("SELECT count(*) FROM note").fetchone()[0] == 0


def test_changes_not_yet_in_the_one_file_are_carried_over(home: Path) -> None:
    with Book.open(home) as book:
        with book.writing():
            coffee_named(book, "Late coffee")
        copy = {
            name: (home / f"{BOOK_NAME}{name}").read_bytes()
            for name in ("", "-wal")
            if (home / f"{BOOK_NAME}{name}").exists()
        }
    assert copy["-wal"], "as after a power cut"
    for name, content in copy.items():
        (home / f"{BOOK_NAME}{name}").write_bytes(content)
    rebuild(home, AT)
    with Book.open(home) as book:
        assert "Late coffee" in {coffee.name for coffee in coffees(book)}


def test_a_note_about_a_version_that_is_gone_is_found_when_that_is_back(home: Path) -> None:
    (home / "references" / "House espresso v1.csv").unlink()
    assert rebuild(home, AT).homeless == 0
    write_version(home, 1)
    with Book.open(home) as book:
        take_in_all(book)
        first = version_titled(book, "House espresso v1")
        assert first is not None
        assert [note.text for note in notes(book, version_id=first.id)] == ["thin"]


def test_a_recording_kept_elsewhere_stays_in_the_book(home: Path, tmp_path: Path) -> None:
    other = tmp_path.parent / f"{tmp_path.name}-elsewhere.csv"
    other.write_text(roast_text({"title": "elsewhere"}))
    with Book.open(home) as book:
        take_in(book, other)
    rebuild(home, AT)
    with Book.open(home) as book:
        assert "elsewhere" in {roast.title for roast in roasts(book)}
    other.unlink()
    assert rebuild(home, AT).taken_in.roasts == 2


@pytest.mark.parametrize("failing", ["replace", "unlink"])
def test_if_the_old_book_cannot_be_replaced_it_stays(
    failing: str, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before, real = told(home), getattr(Path, failing)

    def fail(path: Path, *given: object, **named: object) -> Path:
        if (
            path.name.startswith(("book being made.sqlite3", f"{BOOK_NAME}-"))
            and (home / ASIDE).exists()
        ):
            raise OSError(errno.EACCES, os.strerror(errno.EACCES))
        return real(path, *given, **named)

    with monkeypatch.context() as patched, pytest.raises(BookError, match="is as it was"):
        patched.setattr(Path, failing, fail)
        rebuild(home, AT)
    assert told(home) == before
    assert not (home / ASIDE).exists()


def test_while_another_writes_nothing_is_made(home: Path) -> None:
    with Book.open(home), pytest.raises(BookError, match="another roastside"):
        rebuild(home, AT)
    assert not (home / ASIDE).exists()


def test_a_book_of_a_newer_roastside_is_left_alone(home: Path) -> None:
    with closing(sqlite3.connect(home / BOOK_NAME)) as db:
        db.execute("PRAGMA user_version = 999")
    with pytest.raises(BookError, match="newer roastside"):
        rebuild(home, AT)
    assert not (home / ASIDE).exists()


def test_what_an_earlier_try_left_is_no_hindrance(home: Path) -> None:
    (home / "book being made.sqlite3").write_bytes(b"half a book")
    (home / "book being made.sqlite3-wal").write_bytes(b"x")
    assert rebuild(home, AT).taken_in.roasts == 2
    assert not list(home.glob("book being made*"))


def test_the_command_tells_what_it_did_and_what_was_refused(home: Path) -> None:
    write_roast(home, "bad.csv", "time,temp\n1,2\n")
    done = run("rebuild", home=home)
    assert (done.code, done.err) == (0, "")
    assert "2 roasts, 2 versions of references" in done.out
    assert "1 file could not be taken in:" in done.out
    assert "bad.csv" in done.out and "time_s" in done.out
    assert "The old book is kept as" in done.out


def test_the_command_says_in_a_sentence_why_it_cannot(home: Path) -> None:
    with Book.open(home):
        done = run("rebuild", home=home)
    assert (done.code, done.out) == (2, "")
    assert "another roastside" in done.sentence


def test_the_command_says_that_people_s_words_were_lost(home: Path) -> None:
    (home / BOOK_NAME).write_bytes(b"no book" * 1000)
    done = run("rebuild", home=home)
    assert done.code == 0
    assert "The old book is damaged" in done.out
    shutil.rmtree(home / "recordings")
    assert run("rebuild", home=home).code == 0
