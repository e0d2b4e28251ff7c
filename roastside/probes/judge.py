"""How well bytes heard at one speed read as lines with temperatures in them. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from roastside.probes.raw import Overheard, RawLine
from roastside.probes.wire.spec import parse_wire
from roastside.probes.wire_guess import WireGuess, guess_wire

COLDEST_C, HOTTEST_C = -20.0, 300.0
"""What a probe in a roaster or on the bench beside it can show (common practice, no source)."""

LEAST_PRINTABLE = 0.95
LEAST_READABLE = 0.3
"""A device may send its bean temperature in every third line only."""
LEAST_PLAUSIBLE = 0.5

FEWEST_LINES = 2
ENOUGH_LINES = 6
ENOUGH_NOISE = 64
"""Bytes. Of noise at a wrong speed less than half is printable, so that this many settle it."""

_PRINTABLE = bytes(range(0x20, 0x7F)) + b"\t\r\n\xb0\xb5\xc2"
"""Degree and micro sign too, of Latin-1 and of UTF-8."""


@dataclass(frozen=True, slots=True)
class Judgement:
    """What can be said of some bytes. The shares are from 0 to 1.

    lines: whole lines, the reading of each beside it. printable: share of bytes that are text;
    readable: of lines that give a reading; plausible: of readings from -20 to 300 °C. All are
    counted from the first line that reads, as a device may greet with other words.
    """

    data: bytes
    lines: tuple[RawLine, ...]
    guess: WireGuess
    printable: float
    readable: float
    plausible: float

    @property
    def score(self) -> float:
        """From 0 to 1: the better, the likelier is this the device's speed."""
        return self.printable * self.readable * self.plausible

    @property
    def reads_well(self) -> bool:
        """Whether this is how the device is to be read."""
        return (
            self.printable >= LEAST_PRINTABLE
            and self.readable >= LEAST_READABLE
            and self.plausible >= LEAST_PLAUSIBLE
        )

    @property
    def is_text(self) -> bool:
        """Whether there are lines of text, whatever they say: the speed is right then."""
        return len(self.lines) >= FEWEST_LINES and self.printable >= LEAST_PRINTABLE

    @property
    def is_noise(self) -> bool:
        """Whether it is clear that this is no text."""
        return len(self.data) >= ENOUGH_NOISE and self.printable < LEAST_PRINTABLE

    @property
    def is_settled(self) -> bool:
        """Whether nothing more need be heard."""
        return self.reads_well and len(self.lines) >= ENOUGH_LINES


def judge(data: bytes, mid_line: bool = False) -> Judgement:
    """Work out the wire and read the bytes with it.

    mid_line: the first line may have lost its beginning and is left out.
    """
    whole = _read(data, "lines", mid_line)
    guess = guess_wire([line.data for line in whole])
    lines = _read(data, guess.wire, mid_line)
    first = next((n for n, line in enumerate(lines) if line.reading is not None), None)
    if first is None:
        return Judgement(data, tuple(lines), guess, _printable(data), 0.0, 0.0)
    told = lines[first:]
    read = sum(line.reading is not None for line in told)
    return Judgement(
        data,
        tuple(told),
        guess,
        _printable(data[data.index(told[0].data) :]),
        read / len(told),
        _plausible(told, guess.open),
    )


def _read(data: bytes, wire: str, mid_line: bool) -> list[RawLine]:
    if mid_line:
        data = data[min((n for n, byte in enumerate(data) if byte in b"\r\n"), default=len(data)) :]
    overheard = Overheard(parse_wire(wire))
    overheard.feed(data, 0.0)
    return list(overheard.lines)


def _printable(data: bytes) -> float:
    return sum(byte in _PRINTABLE for byte in data) / len(data) if data else 0.0


def _plausible(lines: Sequence[RawLine], is_open: bool) -> float:
    """Share of readings whose bean temperature can be one. An open probe is plausible too."""
    readings = [line.reading for line in lines if line.reading is not None]
    known = [reading.bean_c for reading in readings if reading.bean_c is not None]
    if not known:
        return 1.0 if is_open else 0.0
    return sum(COLDEST_C <= bean_c <= HOTTEST_C for bean_c in known) / len(known)
