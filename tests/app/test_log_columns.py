"""Which columns of the list fit, and what stands in them."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from roastside.app.log_columns import columns, name_of, placed, to_fill_in
from roastside.book.rows import Roast
from roastside.core.units import CELSIUS, FAHRENHEIT
from tests.live.log_homes import shop_log


@pytest.fixture
def roast(tmp_path: Path) -> Roast:
    return shop_log(tmp_path, "house-good-repeat-1").shown(1)[0]


def heads(width: int) -> list[str]:
    return [place.column.head for place in placed(columns(CELSIUS), width)]


def test_on_a_small_screen_the_figures_that_matter_most_are_shown() -> None:
    assert heads(79) == [
        *("date", "roast", "total", "ratio %", "drop °C", "loss %", "verdict", "missing")
    ]


def test_on_a_large_screen_all_are_shown() -> None:
    assert heads(159) == [column.head for column in columns(CELSIUS)]


@pytest.mark.parametrize("width", range(10, 220, 7))
def test_columns_never_run_over_each_other_or_over_the_edge(width: int) -> None:
    found = placed(columns(CELSIUS), width)
    assert all(a.end < b.begin for a, b in pairwise(found))
    assert not found or found[-1].end <= width


def test_temperatures_are_in_the_persons_degrees(roast: Roast) -> None:
    assert roast.drop_c is not None
    for degrees, expected in ((CELSIUS, roast.drop_c), (FAHRENHEIT, roast.drop_c * 1.8 + 32.0)):
        drop = next(c for c in columns(degrees) if c.head.startswith("drop"))
        assert drop.head == f"drop {degrees.unit}"
        assert float(drop.text(roast)) == pytest.approx(expected, abs=0.05)


def test_what_is_not_known_is_left_empty(roast: Roast) -> None:
    unknown = replace(roast, total_s=None, drop_c=None, loss=None, cup_score=None)
    texts = {column.head: column.text(unknown) for column in columns(CELSIUS)}
    assert [texts[head] for head in ("total", "drop °C", "loss %", "score")] == [""] * 4


def test_what_is_to_be_filled_in_is_said_in_words(roast: Roast) -> None:
    assert to_fill_in(roast) == "verdict"
    assert to_fill_in(replace(roast, verdict="good", roasted_weight_g=None)) == "weight"
    assert to_fill_in(replace(roast, roasted_weight_g=None)) == "2 things"
    assert to_fill_in(replace(roast, settled=True)) == ""


def test_a_roast_without_a_title_of_its_own_goes_by_its_coffee(roast: Roast) -> None:
    untitled = replace(
        roast, title="2026-03-02 08.14.09", file="recordings/2026-03-02 08.14.09.csv"
    )
    assert name_of(roast) == roast.title
    assert name_of(untitled) == roast.coffee
    assert name_of(replace(untitled, coffee="")) == "2026-03-02 08.14.09"
    titled = replace(roast, title="Decaf, 2026-03-14 08:10", started_at="2026-03-14T08:10:09+01:00")
    assert name_of(titled) == "Decaf, 08:10"
    another = replace(titled, started_at="2026-03-15T08:10:09+01:00")
    assert name_of(another) == "Decaf, 2026-03-14 08:10"
