"""What is known of roasts that want filling in, by the book or by their recordings alone."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from roastside.book.intake import take_in_all
from roastside.book.roasts import roasts
from roastside.book.store import BOOK_NAME, Book
from roastside.core.errors import RecordError
from roastside.live.after_roast import known_of, renewed, taken_in
from roastside.live.filling_in import keep
from roastside.record.facts import append_fact
from tests.book.homes import home_of, write_roast
from tests.live.running import posix_only


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return home_of(tmp_path)


def missing(home: Path) -> list[str]:
    recordings = sorted((home / "recordings").glob("*.csv"), reverse=True)
    return [each.words for each in known_of(home, recordings).to_fill_in]


def in_the_book(home: Path) -> None:
    with Book.open(home) as book:
        take_in_all(book)


def test_what_a_recording_tells_counts_though_the_book_does_not_know_it_yet(home: Path) -> None:
    known = write_roast(home, "a.csv", title="A")
    in_the_book(home)
    write_roast(home, "b.csv", title="B", started_at="2026-03-05T08:00:00+01:00")
    assert missing(home) == ["B: roasted weight, verdict", "A: roasted weight, verdict"]
    append_fact(known, "verdict", "good")
    append_fact(known, "roasted_weight_g", "1281")
    assert missing(home) == ["B: roasted weight, verdict"]


def test_what_is_no_longer_there_is_not_asked_about(home: Path) -> None:
    write_roast(home, "a.csv", title="A").rename(home / "recordings" / "b.csv")
    write_roast(home, "gone.csv", title="Gone")
    in_the_book(home)
    (home / "recordings" / "gone.csv").unlink()
    assert missing(home) == ["A: roasted weight, verdict"]


def test_without_a_book_the_newest_recordings_tell(home: Path) -> None:
    write_roast(home, "a.csv", title="A")
    (home / "recordings" / "b.csv").write_text("milk,flour\n", "utf-8")
    assert missing(home) == ["A: roasted weight, verdict"]
    (home / BOOK_NAME).write_bytes(b"no book at all, but long enough to be looked at")
    assert missing(home) == ["A: roasted weight, verdict"]


def test_files_that_are_no_roasts_take_no_places(home: Path) -> None:
    for number in range(12):
        (home / "recordings" / f"z{number}.csv").write_text("milk,flour\n", "utf-8")
    in_the_book(home)
    write_roast(home, "a.csv", title="A")
    assert missing(home) == ["A: roasted weight, verdict"]


@posix_only
def test_a_name_that_is_no_text_is_passed_over(home: Path) -> None:
    write_roast(home, "a.csv", title="A")
    odd = Path(os.fsdecode(os.fsencode(home / "recordings") + b"/caf\xe9.csv"))
    odd.write_bytes((home / "recordings" / "a.csv").read_bytes())
    for _ in range(2):
        assert missing(home) == ["A: roasted weight, verdict"]
        in_the_book(home)


def test_what_was_told_while_the_book_was_not_to_be_changed_is_what_is_corrected(
    home: Path,
) -> None:
    write_roast(home)
    in_the_book(home)
    with Book.open(home), Book.open(home) as reading:
        [roast] = roasts(reading)
        keep(reading, roast, {"roasted_weight_g": "1111"})
        now = renewed(reading, roast)
        assert (now.id, now.roasted_weight_g) == (roast.id, 1111.0)
        assert "roasted weight" not in now.unfinished
    with Book.open(home) as writing:
        assert renewed(writing, roast).roasted_weight_g == 1111.0


def test_a_recording_that_cannot_be_read_is_told_in_a_sentence(home: Path) -> None:
    for locked in (False, True):
        if locked:
            other = Book.open(home)
        with pytest.raises(RecordError, match="is not there"):
            taken_in(home, home / "recordings" / "none.csv")
    other.close()
