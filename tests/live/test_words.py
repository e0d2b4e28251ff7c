"""Lists on one line of a form."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from roastside.core.errors import UsageError
from roastside.live.words import line_of, words_of


@given(st.lists(st.text()))
def test_what_is_written_is_read_again(words: list[str]) -> None:
    assert words_of(line_of(words)) == tuple(words)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("", ()),
        ("  send-it   now ", ("send-it", "now")),
        ('send-it "{priority}: {message}"', ("send-it", "{priority}: {message}")),
        (r'"C:\Program Files\send.exe" C:\new', (r"C:\Program Files\send.exe", r"C:\new")),
        ("send-it '' \"it's\" #1", ("send-it", "", "it's", "#1")),
    ],
)
def test_lines_are_read_as_people_write_them(line: str, words: tuple[str, ...]) -> None:
    assert words_of(line) == words


def test_a_quote_left_open_is_told() -> None:
    with pytest.raises(UsageError, match="a quote is left open"):
        words_of('send-it "oh')
