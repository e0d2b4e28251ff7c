"""How well bytes read: right speed, wrong speed, talk, and probes that give nothing."""

from __future__ import annotations

import random

from hypothesis import given
from hypothesis import strategies as st

from roastside.core.readings import Reading
from roastside.probes.judge import judge

GOOD = b"24.25,23.5\r\n" * 6
NOISE = random.Random(26).randbytes(200)


def test_good_lines_have_the_best_score_and_settle_it() -> None:
    found = judge(GOOD)
    assert (found.score, found.reads_well, found.is_settled) == (1.0, True, True)
    assert found.lines[0].reading == Reading(0.0, 24.25, 23.5)


def test_a_few_good_lines_read_well_but_more_may_tell_more() -> None:
    found = judge(GOOD[:24])
    assert found.reads_well
    assert not found.is_settled


def test_noise_is_known_as_such_once_there_is_enough_of_it() -> None:
    assert judge(NOISE).is_noise
    assert not judge(NOISE[:20]).is_noise
    assert not judge(NOISE).reads_well
    assert not judge(NOISE).is_text


def test_a_greeting_in_noise_and_words_does_not_count() -> None:
    found = judge(NOISE + b"\r\nWelcome\r\nready 1.2\r\n" + GOOD)
    assert found.reads_well
    assert found.readable == 1.0


def test_readings_drowned_in_noise_are_not_believed() -> None:
    assert not judge(b"24.25\n" + NOISE + b"\n24.25\n" + NOISE).reads_well


def test_a_first_line_cut_at_its_head_is_left_out() -> None:
    cut = b"4.25,23.5\r\n" + GOOD
    assert judge(cut).lines[0].reading == Reading(0.0, 4.25, 23.5)
    assert len(judge(cut, mid_line=True).lines) == 6
    assert judge(b"25,23.5", mid_line=True).lines == ()


def test_talk_is_text_without_a_score() -> None:
    found = judge(b"status ok\nmotor on\n" * 3)
    assert (found.is_text, found.is_noise, found.score) == (True, False, 0.0)


def test_absurd_temperatures_do_not_read_well() -> None:
    assert not judge(b"2034,2310\n" * 6).reads_well
    assert not judge(b"450.5\n" * 6).reads_well


def test_a_probe_that_says_it_is_open_reads_well() -> None:
    found = judge(b"nan,nan\n" * 6)
    assert (found.reads_well, found.guess.open) == (True, True)


def test_a_temperature_in_every_third_line_is_enough() -> None:
    assert judge(b"status: ok\nfan: on\ndrum: 24.5\n" * 4).reads_well


def test_nothing_is_nothing() -> None:
    found = judge(b"")
    assert (found.score, found.is_text, found.is_noise, found.reads_well) == (0.0, *[False] * 3)


@given(st.binary(max_size=300), st.booleans())
def test_shares_are_shares_whatever_comes(data: bytes, mid_line: bool) -> None:
    found = judge(data, mid_line)
    for share in (found.printable, found.readable, found.plausible, found.score):
        assert 0.0 <= share <= 1.0
