"""What people add to a roast when it is over."""

from __future__ import annotations

from pathlib import Path

import pytest

from roastside.book.roasts import roast_of
from roastside.book.store import Book
from roastside.core.errors import UsageError
from roastside.core.units import CELSIUS
from roastside.live.filling_in import changes, grams, keep, loss_words, texts_of
from roastside.live.log import RoastLog
from roastside.record.reader import read_roast_file
from tests.live.log_homes import shop, shop_log


@pytest.mark.parametrize(
    ("text", "expected_g"),
    [
        ("1500", 1500.0),
        ("1500 g", 1500.0),
        ("1.5kg", 1500.0),
        ("1,5 kg", 1500.0),
        # International Yard and Pound Agreement (1959): a pound is 0.45359237 kg.
        ("1 lb", 453.59237),
        ("3.3 LB", 1496.854821),
        # Sixteen ounces are a pound.
        ("2 lb 4 oz", 2.25 * 453.59237),
    ],
)
def test_weights_are_read_as_people_write_them(text: str, expected_g: float) -> None:
    assert grams(text) == pytest.approx(expected_g, abs=1e-6)


@pytest.mark.parametrize("text", ["1.5", "3 stone", "heavy", "-5 g", "0 g", "900 kg", "5 g ish!"])
def test_what_is_no_weight_is_refused_with_what_to_write(text: str) -> None:
    with pytest.raises(UsageError, match=r"1500 g|use g, kg, lb or oz"):
        grams(text)


def test_the_loss_is_told_as_soon_as_both_weights_are_written() -> None:
    assert loss_words("1.5 kg", "") == ""
    assert loss_words("1.5 kg", "12") == ""
    assert loss_words("1.5 kg", "1281 g") == "Roast loss 14.6 %"
    assert (
        loss_words("1.5 kg", "1.6 kg") == "More came out than went in: look at the two weights "
        "again."
    )


def test_only_what_was_changed_is_kept_and_as_the_file_has_it() -> None:
    before = {
        "coffee": "Fenmoor washed",
        "charge_weight_g": "1500 g",
        "verdict": "",
        "remarks": "x",
    }
    after = {
        "coffee": "Fenmoor washed ",
        "charge_weight_g": "1.6 kg",
        "verdict": "good",
        "remarks": "",
    }
    assert changes(before, after) == {"charge_weight_g": "1600", "verdict": "good", "remarks": ""}


@pytest.mark.parametrize(
    ("key", "text", "told"),
    [
        ("cup_score", "very good", "Cup score “very good” is no number"),
        ("cup_score", "101", "scores go from 0 to 100"),
        ("colour", "dark", "Colour “dark” is no number"),
        ("verdict", "superb", "Verdict “superb” is none of good, fair, poor"),
        ("charge_weight_g", "plenty", "Charge weight “plenty” is no weight"),
    ],
)
def test_what_does_not_fit_is_told_in_a_sentence(key: str, text: str, told: str) -> None:
    with pytest.raises(UsageError, match=told):
        changes({}, {key: text})


def test_a_roasted_weight_above_the_charge_weight_is_questioned() -> None:
    with pytest.raises(UsageError, match="more than the charge weight"):
        changes({}, {"charge_weight_g": "1 kg", "roasted_weight_g": "1.1 kg"})


def test_what_is_filled_in_is_in_the_file_and_in_the_book(tmp_path: Path) -> None:
    log = shop_log(tmp_path, "house-good-repeat-1")
    roast = log.shown(1)[0]
    assert roast.unfinished == ("verdict",)
    after = texts_of(roast) | {
        "coffee": "House espresso",
        "lot": "spring 2026",
        "roasted_weight_g": "1.281 kg",
        "verdict": "good",
        "cup_score": "84,5",
        "remarks": "a little bright",
    }
    assert keep(log.book, roast, changes(texts_of(roast), after)) == ""
    header = read_roast_file(log.book.located(roast.file)).header
    assert header["roasted_weight_g"] == "1281"
    now = roast_of(log.book, roast.id)
    assert now.loss == pytest.approx(1.0 - 1281.0 / 1500.0)
    assert (now.coffee, now.lot, now.verdict) == ("House espresso", "spring 2026", "good")
    assert (now.cup_score, now.remarks) == (84.5, "a little bright")
    assert now.unfinished == ()


def test_nothing_more_to_fill_in_settles_a_roast(tmp_path: Path) -> None:
    log = shop_log(tmp_path, "house-good-repeat-1")
    roast = log.shown(1)[0]
    keep(log.book, roast, changes(texts_of(roast), texts_of(roast) | {"settled": "yes"}))
    assert roast_of(log.book, roast.id).unfinished == ()


def test_with_a_book_that_cannot_be_changed_the_file_still_has_it(tmp_path: Path) -> None:
    home = shop(tmp_path, "house-good-repeat-1")
    with Book.open(home):
        log = RoastLog.open(home, CELSIUS)
        roast = log.shown(1)[0]
        told = keep(log.book, roast, {"verdict": "fair"})
        log.close()
    assert told.startswith("It is in the roast's file, and comes into the book later: ")
    assert read_roast_file(home / roast.file).header["verdict"] == "fair"
