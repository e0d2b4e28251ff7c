"""New recordings come into the book while the log is looked at."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from roastside.book.store import BOOK_NAME, Book
from roastside.core.errors import BookError
from roastside.core.units import CELSIUS
from roastside.live.log import RoastLog
from tests.book.homes import FIXTURES
from tests.live.log_homes import listed, shop, shop_log


def test_a_new_recording_is_listed_once_it_is_taken_in(tmp_path: Path) -> None:
    log = shop_log(tmp_path, "house-good-repeat-1")
    shutil.copy(FIXTURES / "house-too-hot.csv", tmp_path / "recordings")
    log.taking_in.run()
    log.look_again()
    assert set(listed(log)) == {"house-good-repeat-1", "house-too-hot"}
    assert not log.taking_in.busy
    assert log.taking_in.trouble == ""


def test_a_file_that_is_no_roast_is_told_in_a_sentence(tmp_path: Path) -> None:
    log = shop_log(tmp_path, "house-good-repeat-1")
    (tmp_path / "recordings" / "shopping.csv").write_text("milk,flour\n", "utf-8")
    log.taking_in.run()
    assert log.taking_in.trouble.startswith("A file is no roast and is not listed: ")
    assert "shopping.csv" in log.taking_in.trouble


def test_a_folder_that_is_emptied_while_the_log_is_open_is_not_given_up(tmp_path: Path) -> None:
    log = shop_log(tmp_path, "house-good-repeat-1")
    log.taking_in.run()
    (tmp_path / "recordings").rename(tmp_path / "elsewhere")
    for _ in range(2):
        log.taking_in.run()
        log.look_again()
        assert listed(log) == ["house-good-repeat-1"]
        (tmp_path / "recordings").mkdir(exist_ok=True)
    (tmp_path / "recordings").rmdir()
    (tmp_path / "elsewhere").rename(tmp_path / "recordings")
    shutil.copy(FIXTURES / "house-too-hot.csv", tmp_path / "recordings")
    log.taking_in.run()
    log.look_again()
    assert set(listed(log)) == {"house-good-repeat-1", "house-too-hot"}
    log.close()


def test_a_log_that_could_only_read_writes_once_the_other_has_closed(tmp_path: Path) -> None:
    home = shop(tmp_path, "house-good-repeat-1")
    with Book.open(home):
        log = RoastLog.open(home, CELSIUS)
        log.try_to_write()
        assert not log.book.writable and log.trouble
    shutil.copy(FIXTURES / "house-too-hot.csv", tmp_path / "recordings")
    log.try_to_write()
    log.taking_in.run()
    log.look_again()
    assert (log.trouble, log.count) == ("", 2)
    log.close()


def test_a_book_that_was_moved_away_is_not_made_anew(tmp_path: Path) -> None:
    log = shop_log(tmp_path, "house-good-repeat-1")
    (tmp_path / BOOK_NAME).rename(tmp_path / "elsewhere.sqlite3")
    log.taking_in.run()
    assert log.taking_in.trouble.startswith("New recordings are not listed yet: ")
    assert not (tmp_path / BOOK_NAME).exists()
    log.close()


def test_leaving_closes_the_book_and_nothing_is_taken_in_after_it(tmp_path: Path) -> None:
    log = shop_log(tmp_path, "house-good-repeat-1")
    log.close()
    log.taking_in.run()
    with pytest.raises(BookError):
        log.book.db.execute("SELECT 1")


def test_leaving_in_the_midst_of_it_stops_it_and_then_closes_the_book(tmp_path: Path) -> None:
    log = shop_log(tmp_path, "house-good-repeat-1")
    for number in range(3):
        shutil.copy(FIXTURES / "house-too-hot.csv", tmp_path / "recordings" / f"{number}.csv")
    taking_in = log.taking_in
    keep = taking_in._progress

    def leave_after_one(done: int, count: int) -> None:
        taking_in.leave()
        log.book.db.execute("SELECT 1")  # not closed under the writer's feet
        keep(done, count)

    taking_in._progress = leave_after_one  # type: ignore[method-assign]
    taking_in.run()
    assert (taking_in.done, taking_in.count) == (1, 3)
    with pytest.raises(BookError):
        log.book.db.execute("SELECT 1")


def test_what_is_half_taken_in_is_not_seen_and_is_taken_in_once(tmp_path: Path) -> None:
    log = shop_log(tmp_path, "house-good-repeat-1")
    for number in range(2):
        shutil.copy(FIXTURES / "house-too-hot.csv", tmp_path / "recordings" / f"{number}.csv")
    taking_in, seen = log.taking_in, []

    def look(done: int, count: int) -> None:
        taking_in.run()  # as by a second screen over the same book
        log.look_again()
        seen.append((done, count, log.total))

    taking_in._progress = look  # type: ignore[method-assign]
    taking_in.run()
    assert seen == [(1, 2, 1), (2, 2, 1)]
    log.look_again()
    assert log.total == 3
    assert not taking_in.busy
