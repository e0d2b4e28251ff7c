"""From what was heard at each speed to the outcome and its sentence."""

from __future__ import annotations

import random

from roastside.probes.finding import Finding, Outcome, finding
from roastside.probes.judge import judge
from roastside.probes.proposal import Proposal

PORT = "/dev/ttyUSB0"
GOOD = b"24.25,23.5\r\n" * 6
NOISE = random.Random(26).randbytes(200)


def found(heard: dict[int, bytes], port: str = PORT, holders: tuple[str, ...] = ()) -> Finding:
    return finding(port, {baud: judge(data) for baud, data in heard.items()}, holders)


def even_parity(text: bytes) -> bytes:
    """Seven bits and even parity, as a receiver of eight bits gets them."""
    return bytes(byte | (byte.bit_count() % 2) << 7 for byte in text)


def test_the_speed_at_which_it_reads_is_proposed() -> None:
    result = found({9600: NOISE, 115200: NOISE, 19200: GOOD})
    assert result.outcome is Outcome.READINGS
    assert result.proposal == Proposal(PORT, 19200, "lines", "lines:bean=2,air=1")
    assert "19200 baud" in result.sentence
    assert len(result.lines) == 6
    assert result.advice


def test_a_network_line_has_no_speed() -> None:
    result = found({9600: GOOD}, port="socket://127.0.0.1:4000")
    assert result.proposal is not None
    assert result.proposal.baud is None
    assert "baud" not in result.sentence


def test_an_open_probe_is_found_but_told() -> None:
    result = found({9600: b"nan,23.5\n" * 6})
    assert (result.outcome, result.found) == (Outcome.OPEN_PROBE, True)
    assert "plug" in result.sentence


def test_talk_is_told_with_its_speed_and_shown() -> None:
    result = found({9600: NOISE, 115200: b"motor on\n" * 6})
    assert (result.outcome, result.found) == (Outcome.TEXT, False)
    assert "115200 baud" in result.sentence
    assert result.lines[-1].data == b"motor on\n"


def test_what_is_wrong_with_numbers_is_told() -> None:
    assert "too large for degrees" in found({9600: b"2034,2310\n" * 6}).sentence


def test_noise_at_every_speed_and_silence_have_their_own_sentences() -> None:
    noise, silence = found({9600: NOISE, 19200: NOISE}), found({9600: b"", 19200: b""})
    assert (noise.outcome, silence.outcome) == (Outcome.NOISE, Outcome.SILENCE)
    assert noise.data == NOISE
    assert noise.sentence.startswith("Bytes come, but")
    assert silence.sentence.startswith("Nothing came")
    assert not (noise.found or silence.found)


def test_seven_bits_with_parity_are_recognised() -> None:
    result = found({9600: even_parity(GOOD), 19200: NOISE})
    assert result.outcome is Outcome.NOISE
    assert "seven data bits" in result.sentence


def test_another_program_at_the_port_is_named_where_that_may_be_the_reason() -> None:
    holders = ("ticker (process 12)",)
    assert "ticker (process 12)" in found({9600: b""}, holders=holders).sentence
    assert "ticker (process 12)" in found({9600: NOISE}, holders=holders).sentence
    assert "ticker" not in found({9600: GOOD}, holders=holders).sentence
