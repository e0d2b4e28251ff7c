"""What is proposed, and what a person is told to check."""

from __future__ import annotations

import shlex
from collections import defaultdict

import pytest

from roastside.arguments import parser
from roastside.probes.judge import judge
from roastside.probes.proposal import Proposal, advice


def advised(line: str) -> str:
    return " ".join(advice(judge(f"{line}\n".encode() * 6)))


@pytest.mark.parametrize(
    "proposal",
    [
        Proposal("/dev/ttyUSB0", 19200, "lines:bean=2,air=3"),
        Proposal("socket://127.0.0.1:4000", None, "lines"),
        Proposal("/dev/by name/it's", 9600, "lines:bean=probe one"),
    ],
)
def test_the_command_can_be_given_as_it_stands(proposal: Proposal) -> None:
    program, *words = shlex.split(proposal.command)
    chosen = parser(defaultdict(lambda: lambda _: 0)).parse_args(words)
    assert program == "roastside"
    bauds = [] if proposal.baud is None else [proposal.baud]
    assert (chosen.port, chosen.baud, chosen.wire) == ([proposal.port], bauds, [proposal.wire])


def test_with_two_probes_the_hand_tells_which_is_which() -> None:
    assert "take the wire lines:bean=2,air=1" in advised("24.5,23.5")
    assert "the wire" not in advised("24.5")
    assert "must rise" in advised("24.5")


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("24.5,23.5", "24.5 °C is a room's temperature"),
        ("72.5,71", "If the probe lies in a room, the numbers are °F: take the wire lines:unit=F"),
        ("203.5,231", "if it is 203.5 °F, take the wire lines:unit=F"),
        ("0.012,24.5", "may be millivolts"),
    ],
)
def test_bare_numbers_are_to_be_held_against_a_thermometer(line: str, said: str) -> None:
    assert said in advised(line)


def test_nothing_is_asked_about_a_unit_the_device_itself_tells() -> None:
    assert "thermometer" not in advised("72.5F,70.0F")


def test_a_probe_that_gives_nothing_is_not_to_be_warmed() -> None:
    assert advised("nan,nan") == ""
