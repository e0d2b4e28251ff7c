"""What was found out about a port, and the sentence that says so. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from roastside.probes.judge import Judgement, judge
from roastside.probes.proposal import Proposal, advice
from roastside.probes.raw import RawLine


class Outcome(StrEnum):
    """How listening to a port ended."""

    READINGS = "readings"
    OPEN_PROBE = "open probe"
    TEXT = "text"
    NOISE = "noise"
    SILENCE = "silence"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class Finding:
    """What was found out about a port.

    sentence: the outcome, for people. lines: the last lines and their readings; data: the bytes
    of the best speed. advice: further sentences.
    """

    port: str
    outcome: Outcome
    sentence: str
    data: bytes = b""
    lines: tuple[RawLine, ...] = ()
    proposal: Proposal | None = None
    advice: tuple[str, ...] = ()

    @property
    def found(self) -> bool:
        """Whether it is known how to read this port."""
        return self.proposal is not None


def has_speed(url: str) -> bool:
    """Whether the line has a speed: one over a plain network connection has none."""
    return not url.startswith("socket://")


def finding(url: str, heard: Mapping[int, Judgement], holders: Sequence[str] = ()) -> Finding:
    """What follows from what was heard at each speed (baud).

    holders: other programs that have the port open.
    """
    if not any(judgement.data for judgement in heard.values()):
        return Finding(url, Outcome.SILENCE, _with(_SILENCE, _who_takes(holders)))
    baud, best = max(heard.items(), key=lambda each: (each[1].score, each[1].printable))
    at_speed = f" at {baud} baud" if has_speed(url) else ""
    if best.reads_well:
        outcome, words = _READ[best.guess.open]
        return Finding(
            url,
            outcome,
            words.format(at_speed),
            best.data,
            best.lines,
            Proposal(url, baud if has_speed(url) else None, best.guess.wire, best.guess.swapped),
            advice(best),
        )
    if best.is_text:
        sentence = _with(_TEXT.format(at_speed), *best.guess.notes)
        return Finding(url, Outcome.TEXT, sentence, best.data, best.lines)
    words = _SEVEN_BITS if any(map(_reads_without_top_bit, heard.values())) else _NOISE
    return Finding(url, Outcome.NOISE, _with(words, _who_takes(holders)), best.data)


_READ = {
    False: (Outcome.READINGS, "Readings come{}."),
    True: (
        Outcome.OPEN_PROBE,
        "The adapter speaks{}, but says that its probe gives nothing: look at the probe's plug.",
    ),
}
_TEXT = (
    "Text comes{}, but its lines do not read as temperatures: is it the right device? If it is,"
    " docs/probes.md tells how to say which field is the bean probe."
)
_NOISE = (
    "Bytes come, but at none of the usual speeds are they text: the device speaks another way; its"
    " manual says at which speed and in which protocol."
)
_SEVEN_BITS = (
    "Text comes, but with seven data bits and a parity bit: set the device to eight data bits and"
    " no parity (8N1), as its manual tells."
)
_SILENCE = (
    "Nothing came: look whether the adapter has power and is set to send by itself. Many speak only"
    " when asked, as their manual tells; --ask tries the Modbus way."
)
SILENCE_WHEN_ASKED = (
    "Nothing came, not even when unit 1 was asked the Modbus way: look whether the device has power"
    " and whether its two wires are swapped; its manual says how it speaks."
)


def _with(*sentences: str) -> str:
    return " ".join(sentence for sentence in sentences if sentence)


def _who_takes(holders: Sequence[str]) -> str:
    if not holders:
        return ""
    return f"The port is open in {', '.join(holders)} too, which may take what comes: close it."


def _reads_without_top_bit(judgement: Judgement) -> bool:
    """A parity bit in place of the eighth data bit spoils about half of the characters."""
    seven = judge(bytes(byte & 0x7F for byte in judgement.data), mid_line=True)
    return seven.reads_well and len(seven.lines) > 1
