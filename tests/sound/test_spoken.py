"""What is said sounds as a person would say it."""

from __future__ import annotations

import re
import shutil
import subprocess
from math import nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from roastside.core.units import CELSIUS, FAHRENHEIT
from roastside.sound.spoken import (
    LARGEST,
    Status,
    decimal,
    duration,
    pace,
    rate,
    sentence,
    status_sentence,
    temperature,
    whole,
)

needs_espeak = pytest.mark.skipif(
    shutil.which("espeak-ng") is None, reason="espeak-ng is not installed on this machine"
)


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (0, "zero"),
        (13, "thirteen"),
        (40, "forty"),
        (182, "one hundred eighty-two"),
        (300, "three hundred"),
        (1005, "one thousand five"),
        (115_200, "one hundred fifteen thousand two hundred"),
        (-7, "minus seven"),
        (LARGEST + 1, "1000000"),
    ],
)
def test_whole_numbers(number: int, words: str) -> None:
    assert whole(number) == words


def sounds_of(lines: list[str]) -> list[str]:
    """How espeak-ng pronounces each line: the letters of its phonemes, no stress or weakening."""
    spoken = subprocess.run(
        ["espeak-ng", "-q", "-x", "-v", "en-us", "--stdin"],
        input="\n\n".join(lines),
        capture_output=True,
        text=True,
        check=True,
    )
    letters = (re.sub(r"[^a-zA-Z@]", "", line) for line in spoken.stdout.splitlines() if line)
    # As a word, forty has the vowel of north; within a figure, that of force.
    return [line.replace("O@", "o@") for line in letters]


@needs_espeak
def test_numbers_in_words_sound_as_espeak_reads_the_figures() -> None:
    wholes = [*range(100), *range(100, 1000, 37), *range(2000, 20_000, 997)]
    tenths = [each / 10 for each in range(0, 300, 7)]
    figures = [str(each) for each in wholes] + [f"{each:.1f}" for each in tenths]
    words = [whole(each) for each in wholes] + [decimal(each) for each in tenths]
    assert sounds_of(words) == sounds_of(figures)


@pytest.mark.parametrize(
    ("value", "words"),
    [(8.4, "eight point four"), (-0.04, "zero point zero"), (-3.25, "minus three point two")],
)
def test_decimals(value: float, words: str) -> None:
    assert decimal(value) == words


def test_degrees_are_those_the_person_reads() -> None:
    assert temperature(150.0) == "one hundred fifty degrees"
    assert temperature(150.0, FAHRENHEIT) == "three hundred two degrees"
    assert temperature(1.2) == "one degree"
    assert rate(8.4) == "eight point four degrees a minute"
    assert rate(-5.0, FAHRENHEIT) == "minus nine point zero degrees a minute"


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (0.0, "zero seconds"),
        (1.0, "one second"),
        (59.4, "fifty-nine seconds"),
        (59.6, "one minute"),
        (65.0, "one minute five"),
        (370.0, "six minutes ten"),
    ],
)
def test_lengths_of_time(seconds: float, words: str) -> None:
    assert duration(seconds) == words


def test_seconds_ahead_and_behind() -> None:
    assert pace(-12.0) == "twelve seconds behind"
    assert pace(1.2) == "one second ahead"
    assert pace(-0.3) == "on the reference"


@pytest.mark.parametrize(
    ("shown", "spoken"),
    [
        (
            "more heat: 3.2 °C low, 12 seconds behind, rate 8.4",
            "more heat: three point two degrees low, twelve seconds behind, rate eight point four",
        ),
        ("at 150 °C heat to 70 %", "at one hundred fifty degrees heat to seventy percent"),
        ("bean probe at 466 °F", "bean probe at four hundred sixty-six degrees"),
        ("rate -3.2 °C/min", "rate minus three point two degrees a minute"),
        ("rate −3.2 °C/min", "rate minus three point two degrees a minute"),
        ("expected in 1 seconds", "expected in one second"),
        ("30s left.", "thirty seconds left."),
        ("uneven (±0.2 s)", "uneven (plus or minus zero point two seconds)"),
        ("at 6:10, cooling", "at six minutes ten, cooling"),
        ("drop in 20–30 s", "drop in twenty to thirty seconds"),
        ("set the probe's unit to °F", "set the probe's unit to degrees Fahrenheit"),
        (
            "it read 390, too hot for °C",
            "it read three hundred ninety, too hot for degrees Celsius",
        ),
    ],
)
def test_a_message_becomes_a_sentence(shown: str, spoken: str) -> None:
    assert sentence(shown) == spoken


@pytest.mark.parametrize(
    "name",
    [
        "/dev/ttyUSB0",
        "COM3",
        "house-espresso-v3.csv",
        "2026-03-02 08:14:09",
        "192.168.1.7:4000",
        "1,500 g",
        "roast-12",
    ],
)
def test_names_paths_dates_and_addresses_are_left_alone(name: str) -> None:
    assert sentence(f"check {name} again") == f"check {name} again"


@given(st.text(max_size=80))
def test_any_text_can_be_made_a_sentence(text: str) -> None:
    once = sentence(text)
    assert sentence(once) == once


@given(
    st.floats(-50.0, 500.0).map(lambda value: round(value, 1)),
    st.sampled_from(["°C", "s", "%", ""]),
)
def test_no_figure_is_left_in_what_is_said(value: float, unit: str) -> None:
    assert not re.search(r"\d|°", sentence(f"now {value} {unit} left"))


STATUS = Status(370.0, 182.0, 8.4, -12.0, milestone="first_crack", in_s=40.0)


def test_the_status_is_one_sentence() -> None:
    assert status_sentence(STATUS) == (
        "six minutes ten, one hundred eighty-two degrees, rate eight point four, "
        "twelve seconds behind, first crack in forty seconds"
    )
    assert status_sentence(STATUS, FAHRENHEIT) == (
        "six minutes ten, three hundred sixty degrees, rate fifteen point one, "
        "twelve seconds behind, first crack in forty seconds"
    )


def test_development_and_what_is_overdue_are_told() -> None:
    status = Status(500.0, 208.0, 4.0, None, 65.0, "drop", -3.0)
    assert status_sentence(status, CELSIUS) == (
        "eight minutes twenty, two hundred eight degrees, rate four point zero, "
        "development one minute five, drop three seconds overdue"
    )
    assert status_sentence(Status(milestone="drop", in_s=0.2)) == "drop now"


def test_what_is_not_known_is_left_out() -> None:
    assert status_sentence(Status()) == "no reading yet"
    assert status_sentence(Status(bean_c=201.0, rate_c_per_min=nan, in_s=40.0)) == (
        "two hundred one degrees"
    )
