"""Roasts are listed, sorted, and found one by one."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from roastside.book.intake import take_in_all
from roastside.book.roasts import (
    SORTED_BY,
    count_roasts,
    roast_in,
    roast_of,
    roasts,
    unfinished,
)
from roastside.book.store import Book
from roastside.core.errors import BookError
from tests.book.homes import home_of, write_roast


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    home = home_of(tmp_path)
    for day, (coffee, roasted) in enumerate(
        [("Quarry Road natural", "1290"), ("fenmoor washed", "1275"), ("", ""), ("House", "1281")],
        1,
    ):
        write_roast(home, f"{day}.csv", title=str(day), coffee=coffee, roasted_weight_g=roasted,
                    started_at=f"2026-03-0{day}T07:00:00+01:00",
                    verdict="good" if day == 4 else "")  # fmt: skip
    with Book.open(home) as opened:
        take_in_all(opened)
        yield opened


def titles(found: object) -> str:
    return "".join(roast.title for roast in found)  # type: ignore[attr-defined]


def test_the_newest_comes_first_and_pages_follow_on(book: Book) -> None:
    assert titles(roasts(book)) == "4321"
    assert titles(roasts(book, first=1, most=2)) == "32"
    assert titles(roasts(book, first=4)) == ""
    assert count_roasts(book) == 4


@pytest.mark.parametrize("column", SORTED_BY)
def test_every_column_sorts_both_ways_and_the_unknown_comes_last(column: str, book: Book) -> None:
    for descending in (True, False):
        found = [
            getattr(roast, column) for roast in roasts(book, sort=column, descending=descending)
        ]
        assert len(found) == 4
        known = [value for value in found if value not in (None, "")]
        assert known == found[: len(known)]
        folded = [value.casefold() if isinstance(value, str) else value for value in known]
        assert folded == sorted(folded, reverse=descending)


def test_verdicts_sort_by_how_good_they_are(book: Book) -> None:
    with book.writing() as db:
        db.execute("UPDATE roast SET verdict = CASE title WHEN '1' THEN 'poor' WHEN '2' THEN 'fair'"
                   " WHEN '4' THEN 'good' ELSE '' END")  # fmt: skip
    assert titles(roasts(book, sort="verdict")) == "4213"
    assert titles(roasts(book, sort="verdict", descending=False)) == "1243"


def test_another_column_is_refused(book: Book) -> None:
    with pytest.raises(ValueError, match="remarks"):
        roasts(book, sort="remarks; DROP TABLE roast")


def test_one_roast_is_found_by_id_and_by_file(book: Book) -> None:
    found = roast_in(book, "recordings/2.csv")
    assert found is not None and roast_of(book, found.id) == found
    assert roast_in(book, "recordings/9.csv") is None
    with pytest.raises(BookError, match="no longer in the book"):
        roast_of(book, 99)


def test_what_is_still_to_be_filled_in_is_told(book: Book) -> None:
    assert titles(unfinished(book)) == "321"
    assert titles(unfinished(book, most=1)) == "3"
    by_title = {roast.title: roast.unfinished for roast in roasts(book)}
    assert by_title == {
        "4": (),
        "3": ("coffee", "roasted weight", "verdict"),
        "2": ("verdict",),
        "1": ("verdict",),
    }
    with book.writing() as db:
        db.execute("UPDATE roast SET settled = 1 WHERE title IN ('2', '3')")
    assert titles(unfinished(book)) == "1"
    assert all(not roast.unfinished for roast in roasts(book) if roast.settled)
