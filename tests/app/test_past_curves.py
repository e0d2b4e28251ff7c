"""What the charts of past roasts draw, and the words beside them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from roastside.app.draw.raster import Pattern
from roastside.app.past_curves import laid_over, letter_of, look_of, opened
from roastside.app.past_words import compared, head_of, page_lines, unfinished_words
from roastside.core.readings import MarkName
from roastside.core.units import CELSIUS, FAHRENHEIT
from roastside.live.overlay import Alignment, Laid, booked_figures, lay_over
from roastside.live.past_roast import look_into
from tests.live.log_homes import shop_log


@pytest.fixture
def laid(tmp_path: Path) -> list[Laid]:
    log = shop_log(tmp_path)
    return lay_over(log.book, log.shown(9))[0]


@pytest.mark.parametrize("alignment", list(Alignment))
def test_curves_are_shifted_so_that_the_mark_stands_at_one_place(
    laid: list[Laid], alignment: Alignment
) -> None:
    series = laid_over(laid, 0, alignment, rate=False, degrees=CELSIUS).series
    places = [
        float(line.x[0]) + each.curve.marks[alignment]
        for line, each in zip(series, laid, strict=True)
    ]
    assert places == pytest.approx([laid[0].curve.marks[alignment]] * len(laid))


def test_a_roast_without_the_mark_is_not_drawn(laid: list[Laid]) -> None:
    marks = {k: v for k, v in laid[1].curve.marks.items() if k != MarkName.FIRST_CRACK}
    curve = type(laid[1].curve)(
        laid[1].curve.elapsed_s, laid[1].curve.bean_c, laid[1].curve.rate_c_per_min, marks
    )
    laid[1] = Laid(laid[1].roast, curve)
    drawn = laid_over(laid, 0, Alignment.FIRST_CRACK, rate=False, degrees=CELSIUS)
    assert len(drawn.series) == len(laid) - 1


def test_rates_and_temperatures_are_in_the_persons_degrees(laid: list[Laid]) -> None:
    def highest(rate: bool, fahrenheit: bool) -> float:
        degrees = FAHRENHEIT if fahrenheit else CELSIUS
        series = laid_over(laid[:1], 0, Alignment.CHARGE, rate, degrees).series
        return float(np.nanmax(series[0].y))

    assert highest(False, True) == pytest.approx(highest(False, False) * 1.8 + 32.0)
    assert highest(True, True) == pytest.approx(highest(True, False) * 1.8)


def test_a_few_roasts_look_all_different_and_of_many_two_stand_out() -> None:
    few = [look_of(place, 8, highlighted=2) for place in range(8)]
    assert len(set(few)) == 8
    many = [look_of(place, 50, highlighted=2) for place in range(50)]
    assert [place for place, look in enumerate(many) if many.count(look) == 1] == [0, 2]
    assert few[2][1] is many[2][1] is Pattern.HEAVY


def test_an_opened_roast_shows_its_curves_and_its_words(tmp_path: Path) -> None:
    log = shop_log(tmp_path, "house-slow-browning")
    roast = log.shown(1)[0]
    past = look_into(log.book.located(roast.file), CELSIUS)
    assert [line.name for line in opened(past, None, CELSIUS).series] == ["bean", "rate", "air"]
    text = "\n".join(page_lines(roast, past, CELSIUS, 76))
    assert f"total           {roast.total_s // 60:.0f}:" in text
    assert "0:00 80 heat %" in text
    assert "key=" not in text
    assert "The rate" in text
    assert roast.title in head_of(roast)
    assert unfinished_words(roast) == "Still to fill in: verdict (e)."


def test_two_roasts_are_compared_in_numbers_and_in_words(laid: list[Laid]) -> None:
    by_name = {Path(each.roast.file).stem: booked_figures(each.roast) for each in laid}
    lines = compared(by_name["house-good-repeat-1"], by_name["house-slow-browning"], CELSIUS)
    numbers = next(line for line in lines if line.startswith("browning"))
    words = next(line for line in lines if line.startswith("Browning"))
    longer = numbers.split()[-2].lstrip("+")
    assert f"{longer} s longer" in words


def test_more_roasts_than_patterns_have_letters_so_that_no_colour_is_needed(
    laid: list[Laid],
) -> None:
    five = laid_over(laid, 1, Alignment.CHARGE, rate=False, degrees=CELSIUS)
    assert [line.letter for line in five.series] == list("abcde")
    four = laid_over(laid[:4], 1, Alignment.CHARGE, rate=False, degrees=CELSIUS)
    assert {line.letter for line in four.series} == {""}
    for count in range(1, 9):
        told = {(look_of(n, count, -1)[1], letter_of(n, count)) for n in range(count)}
        assert len(told) == count
    assert letter_of(0, 9) == ""


def test_a_letter_is_the_rows_also_where_a_roast_before_it_is_not_drawn(laid: list[Laid]) -> None:
    curve = laid[0].curve
    marks = {k: v for k, v in curve.marks.items() if k != MarkName.FIRST_CRACK}
    laid[0] = Laid(laid[0].roast, replace(curve, marks=marks))
    drawn = laid_over(laid, 1, Alignment.FIRST_CRACK, rate=False, degrees=CELSIUS)
    assert [line.letter for line in drawn.series] == list("bcde")
