"""The story of a reference, and the list of all of them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from roastside.book.notes import add_note
from roastside.book.store import Book
from roastside.book.versions import versions
from roastside.core.errors import BookError
from roastside.core.findings import clock
from roastside.core.units import FAHRENHEIT
from roastside.live.reference_shelf import shelf
from roastside.live.reference_story import cup_words, curves, earned_words, story
from tests.live.reference_homes import at, home_with_story


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Book]:
    monkeypatch.setenv("ROASTSIDE_HOME", str(tmp_path))
    with Book.open(home_with_story(tmp_path)) as opened:
        yield opened


def test_the_chapters_tell_origin_and_what_was_earned(book: Book) -> None:
    [listed] = shelf(book)
    fourth, fifth = story(book, listed.shown.reference_id)
    assert fourth.origin == "Made from the roast of 4 March 2026."
    assert fifth.origin == "From v4: browning 20 s longer."
    assert earned_words(fourth).startswith("3 roasts: 2 good, 1 fair · in the corridor for ")
    # (83.0 + 83.5) / 2 and (84.0 + 84.7) / 2, as written down in the roasts' files.
    assert cup_words(fourth) == "cup 83.2 (of 2)"
    assert cup_words(fifth) == "cup 84.3, +1.1 against v4"
    assert "loss 15.0 %" in earned_words(fifth)


def test_the_curves_tell_what_changed_in_figures(book: Book) -> None:
    chapters = story(book, shelf(book)[0].shown.reference_id)
    first, second = curves(book, chapters)
    reference = first.reference
    assert reference is not None and first.parent is None
    assert f"drop at {clock(reference.marks['drop'])}" in first.words[0]
    browning_s = reference.marks["first_crack"] - reference.marks["yellowing"]
    assert second.reference is not None and second.parent is not None
    told = f"Browning {clock(browning_s)} → {clock(browning_s + 20.0)} (+20 s)"
    assert second.words[0].startswith(told)
    in_f = curves(book, chapters, FAHRENHEIT)[0].words[0]
    drop_c, drop_f = (float(words.split()[-2]) for words in (first.words[0], in_f))
    # By the definition of °F; both are rounded to a tenth.
    assert drop_f == pytest.approx(1.8 * drop_c + 32.0, abs=0.15) and in_f.endswith(" °F.")


def test_a_curve_that_is_gone_is_a_sentence_and_the_others_are_told(book: Book) -> None:
    chapters = story(book, shelf(book)[0].shown.reference_id)
    book.located(chapters[0].version.file).unlink()
    first, second = curves(book, chapters)
    assert first.reference is None and "House espresso v4.csv" in first.words[0]
    assert second.reference is not None
    assert f"drop at {clock(second.reference.marks['drop'])}" in second.words[0]


def test_notes_are_in_their_chapter(book: Book) -> None:
    fifth = versions(book)[-1]
    add_note(book, "Sweeter; keep it.", at("2026-03-15"), version_id=fifth.id)
    chapters = story(book, fifth.reference_id)
    assert [[note.text for note in each.notes] for each in chapters] == [[], ["Sweeter; keep it."]]


def test_the_list_shows_the_current_version_and_counts_all(book: Book) -> None:
    [listed] = shelf(book)
    assert listed.shown.title == "House espresso v5" and listed.shown.is_current
    assert (listed.versions, listed.roasts, listed.earned.roasts) == (2, 5, 2)
    assert (listed.last_at or "").startswith("2026-03-14")


def test_a_reference_that_is_gone_is_said(book: Book) -> None:
    with pytest.raises(BookError, match="no longer in the book"):
        story(book, 999)
