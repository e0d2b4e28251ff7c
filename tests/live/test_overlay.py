"""Roasts laid over each other."""

from __future__ import annotations

from pathlib import Path

import pytest

from roastside.core.side_by_side import comparison_words
from roastside.live.overlay import Alignment, figures_of, lay_over, stage_lines
from tests.live.log_homes import shop_log


def test_each_roast_has_its_curve_and_one_without_is_left_out_in_a_sentence(
    tmp_path: Path,
) -> None:
    log = shop_log(tmp_path)
    (tmp_path / "recordings" / "house-too-hot.csv").unlink()
    laid, left_out = lay_over(log.book, log.shown(10))
    assert len(laid) == log.count - 1
    assert len(left_out) == 1
    assert "house-too-hot.csv is not there" in left_out[0]


def test_every_alignment_has_its_moment_and_they_go_round(tmp_path: Path) -> None:
    log = shop_log(tmp_path, "house-good-repeat-1")
    (laid,), _ = lay_over(log.book, log.shown(1))
    at_s = [laid.at_s(each) for each in Alignment]
    assert at_s[0] == 0.0
    assert at_s[1] == pytest.approx(laid.roast.turning_point_s)
    assert at_s[2] == pytest.approx(laid.roast.first_crack_s)
    assert Alignment.FIRST_CRACK.next is Alignment.CHARGE


def test_a_slow_browning_shows_in_the_numbers_and_in_the_words(tmp_path: Path) -> None:
    log = shop_log(tmp_path, "house-good-repeat-1", "house-slow-browning")
    laid, _ = lay_over(log.book, log.shown(2))
    by_name = {Path(each.roast.file).stem: figures_of(each) for each in laid}
    first, second = by_name["house-good-repeat-1"], by_name["house-slow-browning"]
    longer_s = {line.name: line.longer_s for line in stage_lines(first, second)}
    assert longer_s["browning"] is not None
    assert longer_s["drying"] is not None
    assert longer_s["browning"] > 30.0 > abs(longer_s["drying"])
    browning = next(w for w in comparison_words(first, second) if w.startswith("Browning"))
    assert f"{longer_s['browning']:.0f} s longer" in browning


def test_the_figures_of_a_roast_the_book_knows_only_by_name_come_from_its_curve(
    tmp_path: Path,
) -> None:
    log = shop_log(tmp_path, "house-good-repeat-1")
    (known,), _ = lay_over(log.book, log.shown(1))
    (tmp_path / "book.sqlite3").write_bytes(b"spoiled")
    log.close()
    again = type(log).open(tmp_path, log.degrees)
    (by_name,), _ = lay_over(again.book, again.shown(1))
    assert by_name.roast.total_s is None
    ours, booked = figures_of(by_name), figures_of(known)
    assert ours.stages["browning"].lasted_s == pytest.approx(booked.stages["browning"].lasted_s)
    assert ours.moments["drop"].bean_c == pytest.approx(booked.moments["drop"].bean_c, abs=1.0)
