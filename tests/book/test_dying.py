"""A power cut at any moment of a rebuild or a restore leaves one whole home."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from roastside.book.backup import back_up
from roastside.book.coffees import coffee_named, coffees
from roastside.book.intake import take_in_all
from roastside.book.rebuild import rebuild
from roastside.book.roasts import roasts
from roastside.book.store import BOOK_NAME, Book
from roastside.core.errors import BookError
from roastside.live.cut_short import end_restoring
from tests.book.dying import AT, deaths
from tests.book.homes import home_of, write_roast
from tests.live.running import run

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")


def shop(home: Path, *roasts: str) -> Path:
    """A home with these roasts, and a coffee that only its book knows."""
    for title in roasts:
        write_roast(home, f"{title}.csv", title=title)
    (home / "settings.toml").write_text(f"# {roasts[0]}\n", "utf-8")
    with Book.open(home) as book:
        take_in_all(book)
        with book.writing():
            coffee_named(book, f"only in the book of {roasts[0]}")
    return home


def told(home: Path) -> tuple[list[str], list[str], str]:
    """Roasts and coffees of the book, with what the settings say. Every roast has its file."""
    with Book.open(home) as book:
        found = roasts(book, sort="title")
        assert all(book.located(roast.file).exists() for roast in found)
        known = [coffee.name for coffee in coffees(book)]
    return sorted(roast.title for roast in found), known, (home / "settings.toml").read_text()


def test_a_rebuild_that_dies_leaves_a_whole_book_and_can_be_done_again(tmp_path: Path) -> None:
    home = shop(home_of(tmp_path / "home"), "a", "b")
    before = told(home)
    left = deaths("rebuild", home, tmp_path / "left")
    assert len(left) > 5
    for each in left:
        assert (each / BOOK_NAME).exists(), each
        assert told(each) == before, each
        assert rebuild(each, AT).old is not None
        assert told(each) == before, each
        assert not [path for path in each.iterdir() if path.name.startswith("book being made")]


def test_a_restore_that_dies_is_ended_when_the_book_is_next_opened(tmp_path: Path) -> None:
    old = shop(home_of(tmp_path / "old"), "a", "b")
    new = shop(home_of(tmp_path / "new"), "c", "d", "e")
    back_up(new, tmp_path / "new.zip", AT)
    before, after = told(old), told(new)
    left = deaths("restore", old, tmp_path / "left", tmp_path / "new.zip")
    outcomes = []
    for each in left:
        outcomes.append(told(each))
        assert outcomes[-1] in (before, after), each
        aside = [path for path in each.iterdir() if path.name.startswith("before restore")]
        if outcomes[-1] == after:
            shutil.copy(each / f"{BOOK_NAME}.writer", aside[0])
            assert told(aside[0]) == before, each
        assert not [path for path in each.iterdir() if path.name.startswith((".restoring", "rest"))]
    assert outcomes == sorted(outcomes, key=lambda outcome: outcome == after), "never back again"
    assert before in outcomes
    assert outcomes.count(after) > 8


def cut_short(tmp_path: Path) -> Path:
    """A home whose restore died half way."""
    old = shop(home_of(tmp_path / "old"), "a", "b")
    new = shop(home_of(tmp_path / "new"), "c", "d", "e")
    back_up(new, tmp_path / "new.zip", AT)
    left = deaths("restore", old, tmp_path / "left", tmp_path / "new.zip")
    return next(
        home
        for home in left
        if (home / "restore under way.json").exists() and not (home / "settings.toml").exists()
    )


def test_the_next_start_tells_that_a_restore_was_ended(tmp_path: Path) -> None:
    home = cut_short(tmp_path)
    with pytest.raises(BookError, match="being restored into"):
        Book.open(home, write=False)
    told_then = end_restoring(home)
    assert told_then.startswith("Restoring a backup had been cut short, and was ended now; ")
    assert "before restore 2026-03-20 18.30.00" in told_then
    assert end_restoring(home) == ""
    assert told(home)[0] == ["c", "d", "e"]


def test_any_command_ends_a_restore_and_says_so(tmp_path: Path) -> None:
    done = run("rebuild", home=cut_short(tmp_path))
    assert done.code == 0
    assert "roastside: Restoring a backup had been cut short, and was ended now" in done.err
    assert "3 roasts" in done.out


def test_what_was_recorded_before_a_restore_was_ended_is_kept(tmp_path: Path) -> None:
    home = cut_short(tmp_path)
    (home / "recordings").mkdir()
    write_roast(home, "f.csv", title="f")
    write_roast(home, "c.csv", title="c, another")
    end_restoring(home)
    with Book.open(home) as book:
        take_in_all(book)
        assert [roast.title for roast in roasts(book, sort="title", descending=False)] == [
            "c",
            "c, another",
            "d",
            "e",
            "f",
        ]


@pytest.mark.parametrize(
    "text",
    [
        b"",
        b"{",
        b"[]",
        b'{"new": ".restoring-1", "old": ["../else"], "aside": "x"}',
        b'{"new": "recordings", "old": [], "aside": ""}',
    ],
)
def test_a_spoiled_plan_is_told_of_and_nothing_is_moved(text: bytes, tmp_path: Path) -> None:
    home = shop(home_of(tmp_path), "a")
    (home / "restore under way.json").write_bytes(text)
    with pytest.raises(BookError, match="cannot be read"):
        Book.open(home)
    assert "restore the backup again" in end_restoring(home)
    (home / "restore under way.json").unlink()
    assert told(home)[0] == ["a"]
