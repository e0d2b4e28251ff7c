"""Text from outside is made safe to show."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from roastside.core.text import clean
from tests.core.roasts import steady


@pytest.mark.parametrize(
    ("raw", "shown"),
    [
        ("\x1b[31mred\x1b[0m", "red"),
        ("\x1b[2J\x1b[1;1Hgone", "gone"),
        ("\x1b[?25lhidden cursor", "hidden cursor"),
        ("\x9b31mone-byte CSI", "one-byte CSI"),
        ("\x1b]0;new title\x07after", "after"),
        ("\x1b]8;;http://example.org\x1b\\link\x1b]8;;\x1b\\", "link"),
        ("\x9d0;title\x9cafter", "after"),
        ("\x1bPq#0;2;0;0;0\x1b\\after", "after"),
        ("\x90device control\x9cafter", "after"),
        ("\x1b^private\x1b\\\x1b_program\x1b\\after", "after"),
        ("\x1bcreset", "reset"),
        ("\x1b(0line drawing", "line drawing"),
        ("\x1b\x1b[A[31mnested", "[31mnested"),
        ("lone \x1b", "lone"),
    ],
    # Control functions and their one-byte forms: ECMA-48 (1991), sections 5.3, 5.4 and 5.6.
)
def test_escape_sequences_leave_only_their_text(raw: str, shown: str) -> None:
    assert clean(raw) == shown


@pytest.mark.parametrize("control", ["\x00", "\x07", "\x08", "\x7f", "\x85", "\x8d"])
def test_control_characters_are_taken_out(control: str) -> None:
    assert clean(f"a{control}b") in ("ab", "a b")
    assert control not in clean(f"a{control}b")


# Bidirectional and zero-width format characters: Unicode Standard Annex 9 and category Cf.
@pytest.mark.parametrize(
    "hidden", ["\u202e", "\u202d", "\u2066", "\u2069", "\u200b", "\u200d", "\ufeff", "\u00ad"]
)
def test_characters_that_reorder_or_hide_text_are_taken_out(hidden: str) -> None:
    assert clean(f"batch{hidden}12") == "batch12"


@pytest.mark.parametrize("broken", ["a\nb", "a\r\nb", "a\tb", "a\x0bb", "a\u2028b", "a\u2029 b"])
def test_line_breaks_and_tabs_become_one_space(broken: str) -> None:
    assert clean(broken) == "a b"


def test_letters_of_any_language_degrees_and_signs_stay() -> None:
    assert clean("Crème brûlée, 焙煎, 205 °C ± 2 ✓") == "Crème brûlée, 焙煎, 205 °C ± 2 ✓"


def test_long_text_is_cut_with_a_sign_that_it_was() -> None:
    assert clean("x" * 30, limit=10) == "x" * 9 + "…"
    assert clean("x" * 10, limit=10) == "x" * 10


def test_a_lone_half_of_a_surrogate_pair_is_taken_out() -> None:
    assert clean("a\ud800b") == "ab"


@steady
@given(st.text(alphabet=st.characters(), max_size=60) | st.text("\x1b\x9b\x9d[]mP;0\\A\x07"))
def test_whatever_comes_in_one_printable_line_goes_out_and_cleaning_it_again_is_idle(
    raw: str,
) -> None:
    shown = clean(raw)
    assert all(unicodedata.category(c)[0] not in "C" for c in shown)
    assert "\n" not in shown
    assert clean(shown) == shown
