"""New versions of references: what they are made of, and how they are kept."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import numpy as np
import pytest

from roastside.book.intake import take_in_all
from roastside.book.store import Book
from roastside.book.versions import current_version, version_of, versions
from roastside.core.change import edited
from roastside.core.errors import BookError, RecordError, UsageError
from roastside.live.new_version import (
    Wish,
    begin_with_roasts,
    begin_with_version,
    begun,
    keep_version,
    people_known,
    title_to_be,
)
from roastside.record.reference_file import read_reference_file
from tests.book.homes import FIXTURES
from tests.live.reference_homes import (
    COFFEE,
    GOOD,
    at,
    first_version,
    next_version,
    roast_called,
    roasted,
)


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROASTSIDE_HOME", str(tmp_path))
    roasted(tmp_path, GOOD, "House espresso v3", "2026-03-04")
    with Book.open(tmp_path) as book:
        take_in_all(book)
    return tmp_path


def test_a_version_from_a_roast_does_not_take_a_title_that_roasts_name_already(home: Path) -> None:
    with Book.open(home) as book:
        made = first_version(book, reason="the best of the week")
        assert made.title == "House espresso v4" and made.is_current
        assert (made.coffee, made.origin, made.author) == (COFFEE, "roast", "Ines")
        assert made.parent_id is None
        file = read_reference_file(book.located(made.file))
    assert file.lineage.made_from == (f"recordings/{GOOD}.csv",)
    assert file.lineage.reason == "the best of the week"
    assert len(file.reference.cues) == 3


def test_an_edit_is_the_next_version_and_its_parent_stays_as_it_was(home: Path) -> None:
    with Book.open(home) as book:
        fourth = first_version(book)
        before = book.located(fourth.file).read_bytes()
        fifth = next_version(book, fourth, "browning 20 s longer", "2026-03-12", "flat")
        assert (fifth.title, fifth.parent_id) == ("House espresso v5", fourth.id)
        assert (fifth.change, fifth.reason) == ("browning 20 s longer", "flat")
        assert book.located(fourth.file).read_bytes() == before
        assert fifth.coffee_id is not None
        current = current_version(book, fifth.coffee_id)
        assert current is not None and current.id == fifth.id
        assert people_known(book) == ["Ines", "Tomas"]


def test_a_version_from_an_earlier_one_is_numbered_after_the_newest(home: Path) -> None:
    with Book.open(home) as book:
        fourth = first_version(book)
        next_version(book, fourth, "browning 20 s longer", "2026-03-12")
        sixth = next_version(book, fourth, "gentler start", "2026-03-13")
        assert (sixth.version, sixth.parent_id) == (6, fourth.id)
        assert title_to_be(book, "house ESPRESSO") == "House espresso v7"


def test_the_mean_of_repeats_says_which_roast_disagrees(home: Path) -> None:
    for name in ("house-good-repeat-2", "house-too-hot"):
        path = home / "recordings" / f"{name}.csv"
        path.write_bytes((FIXTURES / f"{name}.csv").read_bytes())
    with Book.open(home) as book:
        take_in_all(book)
        names = (GOOD, "house-good-repeat-2")
        good = [roast_called(book, name) for name in names]
        beginning = begin_with_roasts(book, good)
        agreed = begun(beginning)
        odd = begun(begin_with_roasts(book, [*good, roast_called(book, "house-too-hot")]))
        assert "None of them disagrees." in agreed.told
        assert any("lies" in words and "from the others" in words for words in odd.told)
        assert agreed.reference.corridor_c is not None
        assert any("spread is the corridor" in words for words in agreed.told)
        wish = Wish(beginning.name, beginning.coffee)
        kept = keep_version(book, beginning, agreed.reference, wish, at("2026-03-05"))
        made = version_of(book, kept.version_id or 0)
        assert made.origin == "repeats"
        lineage = read_reference_file(book.located(made.file)).lineage
    assert lineage.made_from == tuple(f"recordings/{name}.csv" for name in names)


def test_a_roast_with_a_long_gap_is_told_to_be_a_guess_there(home: Path) -> None:
    path = home / "recordings" / "house-good-repeat-2.csv"
    text = (FIXTURES / "house-good-repeat-2.csv").read_text(encoding="utf-8")
    gappy = [
        line for line in text.splitlines() if not re.match(r"(2[5-9]|3\d|4[0-9])\d\.\d+,\d", line)
    ]
    path.write_text("\n".join(gappy) + "\n", encoding="utf-8")
    with Book.open(home) as book:
        take_in_all(book)
        told = begun(begin_with_roasts(book, [roast_called(book, "house-good-repeat-2")])).told
    (said,) = [words for words in told if words.startswith("Readings were missing from")]
    assert re.search(r"from [3-7]:\d\d to [4-8]:\d\d: its curve is a guess there", said)


def test_a_version_from_a_roast_held_against_another_has_that_as_its_parent(home: Path) -> None:
    with Book.open(home) as book:
        fourth = first_version(book)
        next_version(book, fourth, "browning 20 s longer", "2026-03-12")
        roasted(home, "later", fourth.title, "2026-03-14")
        take_in_all(book)
        sixth = first_version(book, "later")
        assert (sixth.title, sixth.parent_id) == ("House espresso v6", fourth.id)


def test_what_cannot_be_kept_is_said_and_leaves_no_file(home: Path) -> None:
    with Book.open(home) as book:
        beginning = begin_with_roasts(book, [roast_called(book, GOOD)])
        reference = begun(beginning).reference
        with pytest.raises(UsageError, match="no coffee is said"):
            keep_version(book, beginning, reference, Wish("House", " "), at("2026-03-05"))
        with pytest.raises(UsageError, match="needs a name"):
            keep_version(book, beginning, reference, Wish("", COFFEE), at("2026-03-05"))
        with (
            Book.open(home, write=False) as reading,
            pytest.raises(BookError, match="cannot be kept"),
        ):
            keep_version(reading, beginning, reference, Wish("House", COFFEE), at("2026-03-05"))
        assert versions(book) == []
    assert list(home.glob("references/*")) == []


def test_it_need_not_be_current_and_then_needs_no_coffee(home: Path) -> None:
    with Book.open(home) as book:
        beginning = begin_with_roasts(book, [roast_called(book, GOOD)])
        reference = begun(beginning).reference
        wish = Wish("Trial", "", current=False)
        kept = keep_version(book, beginning, reference, wish, at("2026-03-05"))
        made = version_of(book, kept.version_id or 0)
    assert (made.title, made.coffee, made.is_current) == ("Trial v1", "", False)


def test_a_version_whose_file_is_gone_cannot_be_edited(home: Path) -> None:
    with Book.open(home) as book:
        fourth = first_version(book)
        beginning = begin_with_version(book, fourth)
        book.located(fourth.file).unlink()
        with pytest.raises(RecordError, match="House espresso v4"):
            begun(beginning)


def test_an_edit_of_a_stored_version_is_as_smooth_as_one_never_stored(home: Path) -> None:
    with Book.open(home) as book:
        fresh = begun(begin_with_roasts(book, [roast_called(book, GOOD)])).reference
        stored = begun(begin_with_version(book, first_version(book))).reference
    off = [edited(each, "browning 20 s longer").rate_change_c_per_min for each in (fresh, stored)]
    # What can be seen of a rate is 0.05 °C/min: core/change.py.
    assert np.abs(off[0] - off[1]).max() < 0.02


def test_a_recording_titled_as_a_version_that_nobody_made_becomes_that_version(home: Path) -> None:
    shutil.copy(FIXTURES / "house-espresso-v3.csv", home / "recordings")
    with Book.open(home) as book:
        take_in_all(book)
        v3 = roast_called(book, "house-espresso-v3")
        beginning = begin_with_roasts(book, [v3])
        assert beginning.own_title == "House espresso v3"
        assert title_to_be(book, beginning.name, beginning.own_title) == "House espresso v3"
        assert title_to_be(book, "Another", beginning.own_title) == "Another v1"
