"""Homes with a reference and the roasts that were held against it."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from roastside.book.intake import take_in_all
from roastside.book.roasts import roasts
from roastside.book.rows import Roast, Version
from roastside.book.store import Book
from roastside.book.versions import version_of
from roastside.core.change import edited
from roastside.live.new_version import (
    Wish,
    begin_with_roasts,
    begin_with_version,
    begun,
    keep_version,
)
from roastside.record.facts import append_fact
from tests.book.homes import FIXTURES

GOOD = "house-good-repeat-1"
COFFEE = "Quarry Road natural and Fenmoor washed"


def at(day: str) -> datetime:
    """Nine o'clock on a day."""
    return datetime.fromisoformat(f"{day}T09:00:00+01:00")


def roasted(home: Path, name: str, title: str, day: str, **facts: str) -> Path:
    """A recording of the good repeat, held against the version `title`, with later facts."""
    text = (FIXTURES / f"{GOOD}.csv").read_text("utf-8")
    text = text.replace("reference: House espresso v3", f"reference: {title}")
    text = text.replace("2026-03-04T07:28:09", f"{day}T07:28:09")
    path = home / "recordings" / f"{name}.csv"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, "utf-8")
    for key, value in facts.items():
        append_fact(path, key, value)
    return path


def roast_called(book: Book, name: str) -> Roast:
    """The roast whose file is called so."""
    return next(roast for roast in roasts(book) if Path(roast.file).stem == name)


def first_version(book: Book, name: str = GOOD, **wished: object) -> Version:
    """House espresso v4, made from a roast that was held against a v3 nobody has."""
    beginning = begin_with_roasts(book, [roast_called(book, name)])
    wish = Wish(beginning.name, beginning.coffee, author="Ines", **wished)  # type: ignore[arg-type]
    kept = keep_version(book, beginning, begun(beginning).reference, wish, at("2026-03-05"))
    assert kept.version_id is not None and not kept.remark
    return version_of(book, kept.version_id)


def next_version(book: Book, version: Version, change: str, day: str, reason: str = "") -> Version:
    """The version that an edit makes of another one."""
    beginning = begin_with_version(book, version)
    after = edited(begun(beginning).reference, change).after
    wish = Wish(beginning.name, beginning.coffee, change, "Tomas", reason)
    kept = keep_version(book, beginning, after, wish, at(day))
    assert kept.version_id is not None and not kept.remark
    return version_of(book, kept.version_id)


def home_with_story(home: Path) -> Path:
    """v4 from a roast, roasted to three times; v5 an edit of it, roasted to twice."""
    roasted(home, GOOD, "House espresso v3", "2026-03-04", verdict="good")
    with Book.open(home) as book:
        take_in_all(book)
        fourth = first_version(book)
        next_version(book, fourth, "browning 20 s longer", "2026-03-12", "flat in the cup")
    scores = (("a", "83.0", "good"), ("b", "83.5", "fair"), ("c", "", "good"))
    for day, (name, score, verdict) in enumerate(scores, 6):
        facts = {"cup_score": score} if score else {}
        roasted(home, name, "House espresso v4", f"2026-03-0{day}", verdict=verdict, **facts)
    for day, (name, score) in enumerate((("d", "84.0"), ("e", "84.7")), 13):
        facts = {"cup_score": score, "verdict": "good", "roasted_weight_g": "1275"}
        roasted(home, name, "House espresso v5", f"2026-03-{day}", **facts)
    with Book.open(home) as book:
        take_in_all(book)
    return home
