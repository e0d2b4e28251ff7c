"""Seeded lines and frames for every wire: good ones with what they say, and garbage between them.

`python tests/probes/corpus.py 1000000` sends so many lines and frames through the wires and tells
what came out. It ends with 1 if anything was invented, lost or raised.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random
from typing import NamedTuple

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from roastside.core.readings import HIGHEST_C, LOWEST_C
from roastside.probes.modbus_frames import Ask, Refused, Unreadable, read_answer
from roastside.probes.modbus_registers import Block
from roastside.probes.wire.spec import parse_wire
from roastside.probes.wire.splitter import LONGEST_LINE
from tests.probes.modbus_bytes import answer

LINES = "lines"
MILLIVOLTS = "millivolts:bean=1,cold=2,type=K"

Said = tuple[float | None, float | None]
"""Bean and air temperature of a reading, °C."""


class Line(NamedTuple):
    """A line with its end. `said` is what it says; None: it is garbage and says nothing."""

    data: bytes
    said: Said | None


def text_lines(count: int, seed: int) -> Iterator[Line]:
    """Lines for the wire `lines`, every second or so a good one."""
    random = Random(seed)
    for _ in range(count):
        if random.random() < 0.5:
            bean_c, air_c = round(random.uniform(20, 240), 1), round(random.uniform(20, 240), 1)
            yield Line(random.choice(_WORDINGS)(bean_c, air_c) + _end(random), (bean_c, air_c))
        else:
            good = random.choice(_WORDINGS)(203.4, 231.0)
            yield Line(random.choice((*_SPOILERS, _no_probe))(random, good) + _end(random), None)


def millivolt_lines(count: int, seed: int) -> Iterator[Line]:
    """Lines for the wire `millivolts`: 4.096 mV at terminals of 25 °C, or garbage."""
    random = Random(seed)
    for _ in range(count):
        good = random.choice((b"4.096,25.0", b"4.096 mV;25 C", b"4096uV 77F", b"emf=4.096 cj=25.0"))
        if random.random() < 0.5:
            # Worked example of the documentation of `thermocouple-its90`: 124.3 °C.
            yield Line(good + _end(random), (124.3, None))
        else:
            yield Line(random.choice(_SPOILERS)(random, good) + _end(random), None)


def noise_lines(count: int, seed: int) -> Iterator[bytes]:
    """Lines of what temperature lines are made of, in no order: some may make sense by chance."""
    random = Random(seed)
    alphabet = (
        b"0123456789012345678901234567890..,,;;::==-+eE CFK\t{}\"'nabirTx*#$>\xb0\xc2\xff\x00"
    )
    for _ in range(count):
        length = random.choice((3, 6, 12, 25, 60))
        yield bytes(random.choices(alphabet, k=random.randint(0, length))) + b"\n"


class Exchange(NamedTuple):
    """A question and what came back. registers: what it says; None: nothing that counts."""

    ask: Ask
    came: bytes
    registers: tuple[int, ...] | None


def exchanges(count: int, seed: int) -> Iterator[Exchange]:
    """Answers of Modbus devices: good ones, with stray bytes before them or not, and spoiled."""
    random = Random(seed)
    for _ in range(count):
        ask = Ask(
            random.randint(1, 247),
            random.choice((3, 4)),
            Block(random.randrange(1000), random.randint(1, 6)),
        )
        registers = tuple(random.choices(range(0x10000), k=ask.block.count))
        frame = answer(*registers, unit=ask.unit, function=ask.function)
        if random.random() < 0.5:
            stray = bytes(b for b in random.randbytes(random.randint(0, 2)) if b != ask.unit)
            yield Exchange(ask, stray + frame, registers)
        else:
            yield Exchange(ask, _spoiled_frame(random, frame), None)


def _spoiled_frame(random: Random, frame: bytes) -> bytes:
    match random.randrange(4):
        case 0:  # no checksum of 16 bits misses one to three wrong bits in so short a frame
            bits = int.from_bytes(frame, "big")
            for place in random.sample(range(8 * len(frame)), random.randint(1, 3)):
                bits ^= 1 << place
            return bits.to_bytes(len(frame), "big")
        case 1:
            return frame[: random.randrange(len(frame))]
        case 2:
            return random.randbytes(random.randrange(4))
        case _:  # of another unit
            return bytes([frame[0] % 247 + 1]) + frame[1:]


Wording = Callable[[float, float], bytes]

_WORDINGS: tuple[Wording, ...] = (
    lambda bean, air: f"{bean},{air}".encode(),
    lambda bean, air: f"  {bean} ; {air}".encode(),
    lambda bean, air: f"{bean}\t{air}\t17".encode(),
    lambda bean, air: f"{bean} {air}".encode(),
    lambda bean, air: f"{bean};{air}".replace(".", ",").encode(),
    lambda bean, air: f"{bean} {air}".replace(".", ",").encode(),
    lambda bean, air: f"bean={bean} air={air}".encode(),
    lambda bean, air: f"air: {air} C, bean: {bean} C".encode(),
    lambda bean, air: f"T1: {bean} C  T2: {air} C".encode(),
    lambda bean, air: f"T1:{bean};T2:{air}".replace(".", ",").encode(),
    lambda bean, air: f'{{"bean": {bean}, "air": {air}}}'.encode(),
    lambda bean, air: f'{{"id": 7, "probes": {{"air": "{air}", "bean": "{bean} °C"}}}}'.encode(),
    lambda bean, air: f"08:14:09,{bean},{air}".encode(),
    lambda bean, air: f"{bean}\xb0C {air}\xb0C".encode("latin-1"),
)

Spoiler = Callable[[Random, bytes], bytes]


def _no_breaks(data: bytes) -> bytes:
    return data.replace(b"\n", b".").replace(b"\r", b".")


def _with_control(random: Random, good: bytes) -> bytes:
    place = random.randint(1, len(good) - 1)
    return good[:place] + bytes([random.choice((0, 1, 7, 8, 27, 127))]) + good[place:]


_SPOILERS: tuple[Spoiler, ...] = (
    lambda random, good: b"\x01" + _no_breaks(random.randbytes(random.randint(0, 60))),
    _with_control,
    lambda random, good: random.choice((b"# ", b"> ", b"$LOG,", b"!", b"%", b"//")) + good,
    lambda random, good: good + b"*%02X" % random.randrange(256),
    lambda random, good: b'{"bean": 203.4, "air": 231.0}'[: random.randint(2, 28)],
    lambda random, good: good + b" \xff\xfe",
    lambda random, good: b" " * LONGEST_LINE + good,
    lambda random, good: b"Firmware %d.%d ready" % (random.randrange(9), random.randrange(99)),
    lambda random, good: random.choice((b"OK", b"", b",,", b"-----", b"boot:", b"\x1b[2J", b"?")),
)


def _no_probe(random: Random, _good: bytes) -> bytes:
    return b"fan=%d heater=%d" % (random.randrange(100), random.randrange(100))


def _end(random: Random) -> bytes:
    return random.choice((b"\n", b"\n", b"\r\n", b"\r"))


def troubles_of_lines(spec: str, lines: Iterator[Line], seed: int) -> Iterator[str]:
    """What is wrong with what a wire makes of the lines, sent in pieces of odd sizes."""
    wire, random = parse_wire(spec), Random(seed)
    unsent, expected = b"", []
    heard: list[Said] = []
    for line in lines:
        unsent += line.data
        expected += [line.said] if line.said else []
        while len(unsent) > 200:
            cut = random.randint(1, 150)
            heard += [(each.bean_c, each.air_c) for each in wire.feed(unsent[:cut], 0.0)]
            unsent = unsent[cut:]
    heard += [(each.bean_c, each.air_c) for each in wire.feed(unsent, 0.0)]
    if len(heard) != len(expected):
        yield f"{spec}: {len(expected)} readings were sent and {len(heard)} came"
    for sent, came in zip(expected, heard, strict=False):
        if not all(_same(a, b) for a, b in zip(sent, came, strict=True)):
            yield f"{spec}: {sent} was sent and {came} came"
            return


def _same(sent: float | None, came: float | None) -> bool:
    return sent == came if sent is None or came is None else abs(sent - came) < 0.05


def troubles_of_noise(spec: str, lines: Iterator[bytes]) -> Iterator[str]:
    """Temperatures that a wire takes from lines in which no such number stands."""
    wire = parse_wire(spec)
    for line in lines:
        for reading in wire.feed(line, 0.0):
            for degrees in (reading.bean_c, reading.air_c):
                if degrees is not None and not _stands_in(degrees, line):
                    yield f"{spec}: {degrees} was taken from {line!r}"


def _stands_in(degrees: float, line: bytes) -> bool:
    if not LOWEST_C <= degrees <= HIGHEST_C:
        return False
    text = line.decode("latin-1").replace(",", ".").casefold()
    written = (degrees, degrees * 1.8 + 32.0, degrees + 273.15)
    for start in range(len(text)):
        for stop in range(start + 1, min(len(text), start + 24) + 1):
            try:
                number = float(text[start:stop])
            except ValueError:
                continue
            if any(abs(number - each) < 0.01 for each in written):
                return True
    return False


def troubles_of_exchanges(told: Iterator[Exchange]) -> Iterator[str]:
    """What is wrong with what is read from the answers of Modbus devices."""
    for ask, came, registers in told:
        read = read_answer(ask, came)
        heard = None if read is None or isinstance(read, Refused | Unreadable) else tuple(read)
        if heard != registers:
            yield f"modbus: {registers} was sent and {heard} came from {came.hex(' ')}"


def troubles(count: int, seed: int) -> Iterator[str]:
    """Everything wrong in `count` lines and frames, a quarter for each wire and one of noise."""
    share = count // 4
    yield from troubles_of_lines(LINES, text_lines(share, seed), seed)
    yield from troubles_of_lines(MILLIVOLTS, millivolt_lines(share, seed), seed)
    yield from troubles_of_noise(LINES, noise_lines(share, seed))
    yield from troubles_of_exchanges(exchanges(share, seed))


if __name__ == "__main__":
    many = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    found = list(troubles(many, seed=1))
    print("\n".join(found[:20]) or f"{many} lines and frames: all read, nothing invented")
    sys.exit(bool(found))
