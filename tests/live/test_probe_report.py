"""What a person reads of a port, and that the manual shows just that."""

from __future__ import annotations

from pathlib import Path

import pytest

from roastside.core.readings import Reading
from roastside.core.units import FAHRENHEIT
from roastside.live.probe_report import WIDTH, reading_words, report
from roastside.probes.finding import Outcome, finding
from roastside.probes.judge import judge
from roastside.probes.ports import PortFound

MANUAL = (Path(__file__).resolve().parents[2] / "docs" / "probes.md").read_text(encoding="utf-8")
PORT = PortFound("/dev/ttyUSB0", "USB Serial")


def reported(data: bytes) -> str:
    return report(PORT, finding(PORT.url, {9600: judge(data)}))


def test_the_example_of_the_manual_is_what_the_program_says() -> None:
    told = reported(b"".join(b"%d,%.2f,23.50\r\n" % (n, 24 + n % 2 / 4) for n in range(15, 21)))
    assert f"```\n{told}\n```" in MANUAL


@pytest.mark.parametrize(
    "data", [b"", b"motor on\n" * 6, bytes(range(128, 256)), b"nan\n" * 6, b"72.5,70.1\n" * 6]
)
def test_every_report_fits_a_terminal_and_is_printable(data: bytes) -> None:
    lines = reported(data).splitlines()
    assert lines[0] == "/dev/ttyUSB0  USB Serial"
    assert all(line.isprintable() and len(line) <= WIDTH for line in lines)


def test_noise_is_shown_as_it_came() -> None:
    assert r"what came: \x80\x81\x82" in reported(bytes(range(128, 256)))


@pytest.mark.parametrize(
    ("reading", "words"),
    [
        # °F = °C x 9/5 + 32.
        (Reading(0.0, 24.25, 100.0), "bean 24.25 °C = 75.65 °F   air 100 °C = 212 °F"),
        (Reading(0.0, None, 24.0), "bean gives nothing   air 24 °C = 75.2 °F"),
        (Reading(0.0, 0.0, None, {"hood_c": -40.0}), "bean 0 °C = 32 °F   hood -40 °C = -40 °F"),
        (None, "not a reading"),
    ],
)
def test_a_reading_is_given_in_both_units(reading: Reading | None, words: str) -> None:
    assert reading_words(reading) == words


def test_a_reading_can_be_given_in_one_unit() -> None:
    assert reading_words(Reading(0.0, 100.0), (FAHRENHEIT,)) == "bean 212 °F"


def test_an_open_probe_keeps_its_command() -> None:
    assert finding(PORT.url, {9600: judge(b"nan\n" * 6)}).outcome is Outcome.OPEN_PROBE
    assert "roastside listen --port /dev/ttyUSB0 --baud 9600 --wire lines" in reported(b"nan\n" * 6)
