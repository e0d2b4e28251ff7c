"""What people type finds the roasts they mean, and nothing typed breaks the search."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from roastside.book.filters import called, condition, misunderstood
from roastside.book.intake import take_in_all
from roastside.book.naming import rename_coffee
from roastside.book.roasts import count_roasts, roasts
from roastside.book.store import Book
from tests.book.homes import home_of, roast_text, write_roast

FAHRENHEIT = (1.0 / 1.8, -32.0 / 1.8)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    """Three roasts: a, b and c."""
    home = home_of(tmp_path_factory.mktemp("home"))
    write_roast(home, "a.csv", title="a", coffee="Quarry Road natural", lot="Spring",
                started_at="2025-12-31T23:30:00+00:00", charge_weight_g="1000",
                roasted_weight_g="840", verdict="good", cup_score="85")  # fmt: skip
    write_roast(home, "b.csv", title="b", coffee="Fenmoor washed", reference="Fenmoor v2",
                started_at="2026-03-04T07:28:09+01:00", charge_weight_g="1000",
                roasted_weight_g="860", verdict="poor")  # fmt: skip
    write_roast(home, "c.csv", roast_text(
        {"title": "c", "started_at": "2026-03-14T07:28:09+01:00"}, crack_s=540.0))  # fmt: skip
    with Book.open(home) as opened:
        take_in_all(opened)
        yield opened


def found(book: Book, text: str, to_celsius: tuple[float, float] = (1.0, 0.0)) -> str:
    """The titles of the roasts found, in the order of the alphabet."""
    return "".join(
        sorted(roast.title for roast in roasts(book, condition(text, to_celsius=to_celsius)))
    )


@pytest.mark.parametrize(
    ("text", "titles"),
    [
        ("", "abc"),
        ("   ", "abc"),
        ("QUARRY", "a"),
        ("quarry fenmoor", ""),
        ("march", "bc"),
        ("coffee:fenmoor", "b"),
        ('coffee:"quarry road"', "a"),
        ('coffee:"quarry road', "a"),
        ("coffee:spring", ""),
        ('coffee="quarry road natural"', "a"),
        ('COFFEE="QUARRY road  natural" verdict:good', "a"),
        ('coffee="quarry road natural" verdict:poor', ""),
        ('coffee="quarry road"', ""),
        ('coffee="fenmoor wash', "b"),  # still being typed
        ('coffee="fenmoor ""', ""),
        ("lot=spring", "a"),
        ("lot=sprin", ""),
        ('reference="fenmoor v2"', "b"),
        ('reference="v2"', ""),
        ("lot:spring", "a"),
        ("reference:v2", "b"),
        ("reference:espresso coffee:road", "a"),
        ("verdict:good", "a"),
        ("verdict:none", "c"),
        ("is:unfinished", "c"),
        ("is:finished", ""),
        ("verdict:go", ""),
        ("since:2026", "bc"),
        ("since:2026-03", "bc"),
        ("since:2026-03-05", "c"),
        ("until:2025", "a"),
        ("until:2026-03-04", "ab"),
        ("until:2026-03", "abc"),
        ("since:2026-03-04 until:2026-03-04", "b"),
        ("since:2026-13-40", ""),
        ("loss>15", "a"),
        ("loss>15%", "a"),
        ("loss<=14", "b"),
        ("loss<100", "ab"),
        ("ratio>15", "ab"),
        ("ratio<15", "c"),
        ("total=10", "abc"),
        ("total<9,5", ""),
        ("score>=85", "a"),
        ("drop>187.9 drop<188.1", "abc"),
        ("worst<1", ""),
        ("loss>", ""),
        ("loss>x", ""),
        ("nonsense>3", ""),
        ("loss>15 verdict:poor", ""),
    ],
)
def test_what_is_typed_finds_what_is_meant(text: str, titles: str, book: Book) -> None:
    assert found(book, text) == titles


def test_temperatures_are_typed_in_the_degrees_shown(book: Book) -> None:
    # 188 °C are 370.4 °F.
    assert found(book, "drop>370.2 drop<370.6", FAHRENHEIT) == "abc"
    assert found(book, "drop>371", FAHRENHEIT) == ""
    # A difference has no zero.
    assert condition("worst<9", to_celsius=FAHRENHEIT).parameters == pytest.approx((5.0,))


@settings(max_examples=200, deadline=None)
@given(
    st.text(st.sampled_from("coffe:lotv\"'%_-<>=1.5,; ()*\0é🫘\n") | st.characters(), max_size=40)
)
def test_anything_can_be_typed(text: str) -> None:
    found = condition(text)
    assert found.sql.count("?") == len(found.parameters)
    assert all(word not in found.sql for word in (";", "--", "'"))


@pytest.mark.parametrize(
    "text", ["'; DROP TABLE roast; --", 'a"b', "%", "_", "xyz\0", "xyz\ud800", "?"]
)
def test_nothing_that_is_typed_breaks_the_search(text: str, book: Book) -> None:
    assert count_roasts(book, condition(text)) == 0
    assert count_roasts(book) == 3


def test_a_name_in_quotes_is_whole_words_and_does_not_find_longer_ones(book: Book) -> None:
    assert found(book, 'reference:"fenmoor v2"') == "b"
    assert found(book, 'reference:"fenmoor v"') == ""
    assert found(book, 'reference:"fenmoor v') == "b"  # still being typed
    assert found(book, "reference:fenm") == "b"


NAMES = (
    "Moor",
    "Moor washed",
    'The "big" Moor',
    '"',
    'Moor"',
    "Café",
    "CAFÉ",
    "a=b",
    "100% _x",
    "Straße",
)


def test_a_whole_name_finds_its_roasts_and_no_others_whatever_is_in_it(tmp_path: Path) -> None:
    home = home_of(tmp_path / "home")
    for number, name in enumerate(NAMES):
        write_roast(home, f"{number}.csv", title=str(number), coffee=name)
    with Book.open(home) as book:
        take_in_all(book)
        for number, name in enumerate(NAMES):
            assert found(book, called("coffee", name)) == str(number), name
            assert found(book, called("coffee", name) + " verdict:none") == str(number), name


def test_a_name_that_a_coffee_had_before_is_not_its_name(tmp_path: Path) -> None:
    home = home_of(tmp_path / "home")
    write_roast(home, "a.csv", title="a", coffee="Moor")
    with Book.open(home) as book:
        take_in_all(book)
        (roast,) = roasts(book)
        assert roast.coffee_id is not None
        rename_coffee(book, roast.coffee_id, "Heath")
        assert found(book, called("coffee", "Heath")) == "a"
        assert found(book, called("coffee", "Moor")) == ""
        assert found(book, 'coffee:"moor"') == "a"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("loss>abc", " After loss> comes a plain number, as in loss>12."),
        ("quarry total<11:30", " After total< comes a plain number, as in total<12."),
        ("loss > 15", " Write a comparison without blanks, as in loss>15."),
        ("score:80", " Write score>80 or score<80 to compare."),
        (
            "colour>90",
            " loss, ratio, drop, total, worst, score can be compared, colour cannot.",
        ),
        (
            "verdict=good",
            " Write verdict:good, verdict:fair, verdict:poor or verdict:none.",
        ),
        ("since:2026-13", " Write since:2026-03-14, since:2026-03 or since:2026."),
        ("is:done", " Write is:unfinished; nothing else can be asked so."),
        ("coffee=", ""),
        ("loss>15 verdict:good until:2026", ""),
        ("quarry road", ""),
        ("", ""),
    ],
)
def test_what_was_meant_otherwise_than_as_a_word_is_explained(text: str, told: str) -> None:
    assert misunderstood(text) == told
