"""What versions of a reference earned."""

from __future__ import annotations

from pathlib import Path

import pytest

from roastside.book.earned import earned
from roastside.book.intake import take_in_all
from roastside.book.store import Book
from roastside.book.titles_in_use import titles_in_use
from tests.book.homes import home_of, write_roast, write_version


def test_roasts_verdicts_and_means_are_counted_for_each_version(tmp_path: Path) -> None:
    home = home_of(tmp_path)
    write_version(home, 3)
    write_version(home, 4)
    said = {"reference": "House espresso v3", "roasted_weight_g": "1275"}
    write_roast(home, "a.csv", verdict="good", cup_score="84", **said)
    write_roast(
        home, "b.csv", verdict="poor", cup_score="81", started_at="2026-03-09T07:00:00Z", **said
    )
    write_roast(home, "c.csv", started_at="2026-03-05T07:00:00Z", reference="House espresso v3")
    write_roast(home, "d.csv", reference="Some other v1")
    with Book.open(home) as book:
        take_in_all(book)
        every = earned(book)
        [own] = every.values()
    assert (own.roasts, own.good, own.fair, own.poor, own.scored) == (3, 1, 0, 1, 2)
    assert own.cup_score == pytest.approx(82.5)
    # 1275 g of 1500 g came out: 15 % were lost, by the definition of a loss.
    assert own.loss == pytest.approx(0.15)
    assert own.last_at is not None and own.last_at.startswith("2026-03-09")


def test_a_title_that_only_roasts_name_is_in_use_too(tmp_path: Path) -> None:
    home = home_of(tmp_path)
    write_version(home, 3)
    write_roast(home, "a.csv", reference="House espresso v7")
    write_roast(home, "b.csv", reference="House espresso v3")
    write_roast(home, "c.csv", reference="")
    with Book.open(home) as book:
        take_in_all(book)
        assert titles_in_use(book) == ["House espresso v3", "House espresso v7"]
