"""Looking through the past roasts."""

from __future__ import annotations

from pathlib import Path

from roastside.book.store import BOOK_NAME, Book
from roastside.core.units import CELSIUS, FAHRENHEIT
from roastside.live.log import RoastLog
from tests.live.log_homes import ROASTS, listed, shop, shop_log


def test_all_roasts_are_listed_the_newest_first(tmp_path: Path) -> None:
    log = shop_log(tmp_path)
    started = [roast.started_utc for n in range(log.count) if (roast := log.row(n))]
    assert log.count == log.total == len(ROASTS)
    assert started == sorted(started, key=str, reverse=True)


def test_typed_words_narrow_the_list_and_no_words_show_all_of_it_again(tmp_path: Path) -> None:
    log = shop_log(tmp_path)
    log.narrow("decaf")
    assert listed(log) == ["decaf-good-repeat"]
    assert (log.count, log.total) == (1, len(ROASTS))
    log.narrow("")
    assert log.count == len(ROASTS)


def test_typed_temperatures_are_in_the_persons_degrees(tmp_path: Path) -> None:
    log = shop_log(tmp_path)
    log.narrow("drop>207")
    above_c = listed(log)
    log.close()
    in_f = RoastLog.open(tmp_path, FAHRENHEIT)
    in_f.narrow("drop>405")
    assert above_c == listed(in_f) == ["house-too-hot"]


def test_sorting_begins_with_the_largest_and_turns_round_when_asked_again(tmp_path: Path) -> None:
    log = shop_log(tmp_path)
    log.sort_by("total_s")
    assert listed(log)[0] == "house-slow-browning"
    totals = [roast.total_s for roast in log.shown(9)]
    log.sort_by("total_s")
    assert [roast.total_s for roast in log.shown(9)] == totals[::-1]


def test_names_are_sorted_from_a_on(tmp_path: Path) -> None:
    log = shop_log(tmp_path)
    log.sort_by("coffee")
    assert listed(log)[0] == "decaf-good-repeat"


def test_rows_far_apart_are_each_the_right_one(tmp_path: Path) -> None:
    home = shop(tmp_path, "house-good-repeat-1")
    with Book.open(home) as book, book.writing() as db:
        db.execute("DELETE FROM roast")
        db.executemany(
            "INSERT INTO roast (file, content_hash, opening_hash, size_bytes, modified_ns, title,"
            " total_s) VALUES (?, '', '', 0, 0, ?, ?)",
            [(f"elsewhere/{n}.csv", str(n), float(n)) for n in range(3000)],
        )
    log = RoastLog.open(home, CELSIUS)
    log.sort_by("total_s")
    for number in (0, 63, 64, 1500, 2999, 5, 2000):
        roast = log.row(number)
        assert roast is not None
        assert roast.total_s == 2999.0 - number
    assert log.row(3000) is None
    assert log.row(-1) is None


def test_a_roast_is_picked_and_put_back(tmp_path: Path) -> None:
    log = shop_log(tmp_path)
    first, second = log.shown(2)
    log.pick(second)
    log.pick(first)
    assert list(log.picked) == [second.id, first.id]
    log.pick(second)
    assert list(log.picked) == [first.id]


def test_a_book_that_another_roastside_writes_is_read_and_it_is_said(tmp_path: Path) -> None:
    home = shop(tmp_path)
    with Book.open(home):
        log = RoastLog.open(home, CELSIUS)
        assert log.count == len(ROASTS)
        assert "another roastside has the book open" in log.trouble
        log.close()


def test_without_a_readable_book_the_names_of_recordings_are_listed(tmp_path: Path) -> None:
    home = shop(tmp_path, "house-good-repeat-1", "house-too-hot")
    (home / "recordings" / "house-too-hot.csv").rename(
        home / "recordings" / "2026-03-02 08.14.09.csv"
    )
    (home / BOOK_NAME).write_bytes(b"a shopping list and nothing else")
    log = RoastLog.open(home, CELSIUS)
    assert log.trouble.startswith("Only the names of recordings are listed: the book ")
    assert listed(log) == ["2026-03-02 08.14.09", "house-good-repeat-1"]
    log.narrow("good")
    assert listed(log) == ["house-good-repeat-1"]
    roast = log.row(0)
    assert roast is not None
    assert log.book.located(roast.file).is_file()


def test_a_damaged_page_of_the_book_is_told_and_what_can_be_read_is_listed(
    tmp_path: Path,
) -> None:
    home = shop(tmp_path)
    log = RoastLog.open(home, CELSIUS)
    log.book.db.execute("ALTER TABLE coffee RENAME TO torn")
    log.look_again()
    assert log.count == len(ROASTS)
    assert log.row(0) is None
    assert log.trouble.startswith("A part is missing here: the book ")
