"""Versions of references: taken in from their files, their lineage, and which is current."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from roastside.book.intake import take_in_all
from roastside.book.notes import add_note, notes
from roastside.book.store import Book
from roastside.book.versions import (
    current_version,
    lineage,
    make_current,
    roasts_to,
    take_in_version,
    version_of,
    version_titled,
    versions,
)
from roastside.core.cues import Cue
from roastside.core.errors import BookError, RecordError
from roastside.live.opening import load_reference
from roastside.record.facts import append_fact
from tests.book.homes import GOOD, HOUSE, home_of, write_reference, write_roast, write_version

MARCH = datetime(2026, 3, 9, 8, tzinfo=UTC)
APRIL = datetime(2026, 4, 9, 8, tzinfo=UTC)


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return home_of(tmp_path)


@pytest.fixture
def book(home: Path) -> Iterator[Book]:
    with Book.open(home) as opened:
        yield opened


def titles(found: object) -> list[str]:
    return [version.title for version in found]  # type: ignore[attr-defined]


def test_a_version_is_taken_in_with_all_it_tells(book: Book, home: Path) -> None:
    path = write_version(
        home, 2, origin="edit", parent="House espresso v1", change="browning 20 s longer",
        reason="it was thin", made_from=("recordings/b.csv", "recordings/a.csv"),  # type: ignore[arg-type]
    )  # fmt: skip
    found = version_of(book, take_in_version(book, path))
    assert (found.title, found.name, found.version) == ("House espresso v2", "House espresso", 2)
    assert (found.coffee, found.author, found.origin) == ("House espresso", "Ines", "edit")
    assert (found.change, found.reason) == ("browning 20 s longer", "it was thin")
    assert (found.file, found.made_at) == (
        "references/House espresso v2.csv",
        "2026-03-02T09:00:00+01:00",
    )
    assert (found.parent_id, found.is_current) == (None, False)
    sources = book.db.execute("SELECT file FROM version_source ORDER BY file").fetchall()
    assert [row["file"] for row in sources] == ["recordings/a.csv", "recordings/b.csv"]


def test_its_cues_are_kept_in_order(book: Book, home: Path) -> None:
    curve = load_reference(HOUSE)
    assert curve.cues, "the house reference has some"
    version_id = take_in_version(book, write_reference(home, curve, 3))
    assert take_in_version(book, home / "references" / "House espresso v3.csv") == version_id
    rows = book.db.execute("SELECT * FROM cue WHERE version_id = ? ORDER BY ordinal", (version_id,))
    kept = [Cue(row["elapsed_s"], row["bean_c"], row["words"]) for row in rows]
    assert [cue.words for cue in kept] == [cue.words for cue in curve.cues]
    assert [cue.elapsed_s for cue in kept] == [cue.elapsed_s for cue in curve.cues]


def test_lineage_holds_whatever_the_order_of_the_files(book: Book, home: Path) -> None:
    third = write_version(home, 3, parent="House espresso v2")
    second = write_version(home, 2, parent="House espresso v1")
    first = write_version(home, 1)
    for path in (third, first, second):
        take_in_version(book, path)
    ids = {version.version: version.id for version in versions(book)}
    assert titles(versions(book)) == ["House espresso v1", "House espresso v2", "House espresso v3"]
    assert titles(lineage(book, ids[3])) == titles(versions(book))
    assert titles(lineage(book, ids[1])) == ["House espresso v1"]
    second.unlink()
    take_in_all(book)
    assert titles(lineage(book, ids[3])) == ["House espresso v3"]


def test_two_that_call_each_other_parent_are_told_once(book: Book, home: Path) -> None:
    write_version(home, 1, parent="House espresso v2")
    write_version(home, 2, parent="House espresso v1")
    write_version(home, 3, parent="House espresso v3")
    take_in_all(book)
    for version in versions(book):
        found = lineage(book, version.id)
        assert found[-1] == version
        assert len(found) == len({one.id for one in found})


def test_references_are_kept_apart(book: Book, home: Path) -> None:
    take_in_version(book, write_version(home, 1))
    other = home / "references" / "decaf.csv"
    write_version(home, 2, name="Small decaf", coffee="Lantern Hill decaf").rename(other)
    decaf = version_of(book, take_in_version(book, other))
    assert titles(versions(book)) == ["House espresso v1", "Small decaf v2"]
    assert titles(versions(book, decaf.reference_id)) == ["Small decaf v2"]
    assert version_titled(book, "small DECAF v2") == decaf
    assert version_titled(book, "Small decaf v3") is None
    with pytest.raises(BookError, match="no longer in the book"):
        version_of(book, 99)


def test_the_one_that_became_current_last_is_current(book: Book, home: Path) -> None:
    first, second = (take_in_version(book, write_version(home, n)) for n in (1, 2))
    coffee_id = version_of(book, first).coffee_id
    assert coffee_id is not None
    assert current_version(book, coffee_id) is None
    make_current(book, second, MARCH)
    assert current_version(book, coffee_id) == version_of(book, second)
    assert [version.is_current for version in versions(book)] == [False, True]
    make_current(book, first, APRIL)
    assert [version.is_current for version in versions(book)] == [True, False]
    text = (home / "references" / "House espresso v1.csv").read_text("utf-8")
    assert "current_since=2026-04-09T" in text, "the file knows, so a book made anew does too"


def test_moments_are_compared_whatever_their_offset(book: Book, home: Path) -> None:
    first, second = (write_version(home, n) for n in (1, 2))
    append_fact(first, "current_since", "2026-03-09T10:00:00+05:00")
    append_fact(second, "current_since", "2026-03-09T06:00:00+00:00")
    take_in_all(book)
    assert [version.is_current for version in versions(book)] == [False, True]


def test_when_the_current_one_is_gone_the_one_before_is_current(book: Book, home: Path) -> None:
    first, second = (take_in_version(book, write_version(home, n)) for n in (1, 2))
    make_current(book, first, MARCH)
    make_current(book, second, APRIL)
    (home / "references" / "House espresso v2.csv").unlink()
    take_in_all(book)
    assert [(v.version, v.is_current) for v in versions(book)] == [(1, True)]


def test_a_version_of_no_coffee_cannot_be_current(book: Book, home: Path) -> None:
    path = write_version(home, 1, coffee="")
    version_id, before = take_in_version(book, path), path.read_bytes()
    with pytest.raises(BookError, match="of no coffee"):
        make_current(book, version_id, MARCH)
    assert path.read_bytes() == before


def test_only_the_writer_makes_one_current(book: Book, home: Path) -> None:
    path = write_version(home, 1)
    version_id, before = take_in_version(book, path), path.read_bytes()
    with Book.open(home) as second, pytest.raises(BookError, match="another roastside"):
        make_current(second, version_id, MARCH)
    assert path.read_bytes() == before


def test_a_file_with_the_title_of_another_is_refused(book: Book, home: Path) -> None:
    path = write_version(home, 1)
    take_in_version(book, path)
    twin = home / "references" / "twin.csv"
    twin.write_bytes(path.read_bytes())
    with pytest.raises(RecordError, match="already in references/House espresso v1"):
        take_in_version(book, twin)
    outcome = take_in_all(book)
    assert list(outcome.refused) == ["references/twin.csv"]
    assert titles(versions(book)) == ["House espresso v1"]


def test_a_file_that_was_renamed_stays_the_version_it_was(book: Book, home: Path) -> None:
    path = write_version(home, 1)
    version_id = take_in_version(book, path)
    add_note(book, "sweeter", MARCH, version_id=version_id)
    path.rename(home / "references" / "one.csv")
    take_in_all(book)
    assert [(v.id, v.file) for v in versions(book)] == [(version_id, "references/one.csv")]
    assert len(notes(book, version_id=version_id)) == 1


def test_what_is_no_reference_is_refused_in_a_sentence(book: Book, home: Path) -> None:
    path = home / "references" / "x.csv"
    path.write_bytes(GOOD.read_bytes())
    with pytest.raises(RecordError, match="is a roast, not a reference"):
        take_in_version(book, path)
    flat = ["# kind: reference", "# title: Flat v1", "time_s,bean_c,rate,corridor,mark,value,note"]
    flat += [f"{k / 2:.2f},100.00,0.0,,,," for k in range(200)]
    path.write_text("\n".join(flat) + "\n")
    with pytest.raises(RecordError, match=r"x\.csv: .*never rises"):
        take_in_version(book, path)
    assert versions(book) == []
    assert book.db.execute("SELECT count(*) FROM reference").fetchone()[0] == 0


def test_the_roasts_to_a_version_are_listed(book: Book, home: Path) -> None:
    write_version(home, 2)
    version_id = take_in_version(book, write_version(home, 3))
    for number in (1, 2):
        write_roast(home, f"{number}.csv", title=f"{number}",
                    started_at=f"2026-03-0{number}T07:00:00+01:00")  # fmt: skip
    write_roast(home, "3.csv", reference="House espresso v2")
    take_in_all(book)
    assert titles(roasts_to(book, version_id)) == ["2", "1"]


def test_notes_are_about_a_version_or_a_coffee(book: Book, home: Path) -> None:
    version_id = take_in_version(book, write_version(home, 1))
    coffee_id = version_of(book, version_id).coffee_id
    add_note(book, " sweeter\nthan before ", MARCH, "Ines", version_id=version_id)
    add_note(book, "par is 4 kg", APRIL, coffee_id=coffee_id)
    (about,) = notes(book, version_id=version_id)
    assert (about.text, about.author) == ("sweeter than before", "Ines")
    assert datetime.fromisoformat(about.written_at) == MARCH
    assert [note.text for note in notes(book, coffee_id=coffee_id)] == ["par is 4 kg"]
    with pytest.raises(BookError, match="is empty"):
        add_note(book, " \n", MARCH, coffee_id=coffee_id)
    with pytest.raises(BookError, match="no longer in the book"):
        add_note(book, "x", MARCH, coffee_id=99)
    with pytest.raises(ValueError, match="or else"):
        add_note(book, "x", MARCH)
