"""The spread of repeats, to read on a screen."""

from __future__ import annotations

from pathlib import Path

import pytest

from roastside.book.intake import take_in_all
from roastside.book.store import Book
from roastside.book.versions import versions
from roastside.core.errors import BookError
from roastside.core.units import FAHRENHEIT
from roastside.desk.consistency_page import consistency_page
from tests.book.homes import home_of, write_roast, write_version


def home_with_repeats(folder: Path, count: int) -> int:
    """A version with so many roasts; its id."""
    home = home_of(folder)
    write_version(home, 3)
    for day in range(count):
        started = f"2026-03-{10 + day}T07:00:00+01:00"
        write_roast(home, f"{day}.csv", started_at=started, cup_score=f"{83 + day}")
    with Book.open(home) as book:
        take_in_all(book)
        return versions(book)[0].id


def test_every_figure_is_a_line_of_mean_spread_and_ends(tmp_path: Path) -> None:
    page = consistency_page(tmp_path, home_with_repeats(tmp_path, 5), FAHRENHEIT)
    lines = page.splitlines()
    assert lines[0].startswith("House espresso v3: 5 repeats")
    # The sample standard deviation of 83, 84, 85, 86, 87 is the root of 10 / 4, 1.58.
    [score] = [line.split() for line in lines if line.startswith("Cup score")]
    assert score == ["Cup", "score", "85.0", "±", "1.6", "83.0", "to", "87.0"]
    # They drop at 188 °C, which are 370.4 °F by the definition of °F.
    assert any(line.startswith("Drop temperature") and "370.4 °F" in line for line in lines)
    assert max(map(len, lines)) <= 76


def test_too_few_repeats_are_said(tmp_path: Path) -> None:
    page = consistency_page(tmp_path, home_with_repeats(tmp_path, 2))
    assert page == "House espresso v3 has 2 repeats; from 5 on their spread and drift are told."


def test_without_the_book_a_sentence_is_raised(tmp_path: Path) -> None:
    with pytest.raises(BookError, match="is not there yet"):
        consistency_page(tmp_path / "nowhere", 1)
