"""What Modbus registers hold: numbers one or two registers long, and temperatures in them."""

from __future__ import annotations

import struct
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from roastside.core.readings import plausible_c
from roastside.probes.wire.choice import BEAN
from roastside.probes.wire.values import to_celsius

NUMBER_TYPES: Mapping[str, str] = {
    "int16": ">h",
    "uint16": ">H",
    "int32": ">i",
    "uint32": ">I",
    "float32": ">f",
}
"""Name -> how `struct` writes it. Within a register the high byte comes first, always."""

MOST_REGISTERS = 125
"""One request may ask for no more (MODBUS Application Protocol Specification V1.1b3)."""


@dataclass(frozen=True, slots=True)
class NumberForm:
    """How a number stands in registers.

    A number's *pattern* is its 16 or 32 bits, read as a whole number without sign.
    """

    type: str = "int16"
    """One of NUMBER_TYPES."""
    low_word_first: bool = False

    @property
    def width(self) -> int:
        """Registers of one number."""
        return struct.calcsize(NUMBER_TYPES[self.type]) // 2

    def pattern(self, registers: Sequence[int]) -> int:
        """The pattern in `width` registers."""
        words = reversed(registers) if self.low_word_first else registers
        return int.from_bytes(b"".join(word.to_bytes(2, "big") for word in words), "big")

    def number(self, pattern: int) -> float:
        """The number a pattern means; NaN and infinities are possible in a float32."""
        (number,) = struct.unpack(NUMBER_TYPES[self.type], pattern.to_bytes(2 * self.width, "big"))
        return float(number)

    def pattern_of(self, text: str) -> int:
        """The pattern of a number a person wrote: `32767`, `0x7FFF`, for float32 `9999.9`.

        Whole numbers may be meant with or without sign: -32768, 32768 and 0x8000 are one
        pattern. Raises ValueError when the form can not hold it.
        """
        if self.type == "float32":
            try:
                return int.from_bytes(struct.pack(NUMBER_TYPES[self.type], float(text)), "big")
            except OverflowError as error:
                raise ValueError(text) from error
        bits = 16 * self.width
        number = int(text, 0)
        if not -(1 << (bits - 1)) <= number < 1 << bits:
            raise ValueError(text)
        return number % (1 << bits)


class Channel(NamedTuple):
    """Where a channel stands, and the patterns there that mean its probe is open."""

    register: int
    open_patterns: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Block:
    """Registers that one request asks for."""

    start: int
    count: int

    def __str__(self) -> str:
        last = self.start + self.count - 1
        return f"register {last}" if self.count == 1 else f"registers {self.start} to {last}"


@dataclass(frozen=True, slots=True)
class RegisterMap:
    """The channels of a device, no two in the same register.

    A temperature is the number times `scale`, in `degrees` C, F or K.
    """

    channels: Mapping[str, Channel]
    form: NumberForm = NumberForm()
    scale: float = 1.0
    degrees: str = "C"

    def blocks(self) -> list[Block]:
        """The fewest requests that ask for no register without need.

        The bean's block comes last, so that its temperature is fresh when a reading is stamped.
        """
        runs = list(self._runs())
        if BEAN not in self.channels:
            return runs
        bean = self.channels[BEAN].register
        return sorted(runs, key=lambda run: run.start <= bean < run.start + run.count)

    def celsius(self, block: Block, registers: Sequence[int]) -> dict[str, float | None]:
        """Channels in a block, in °C to 0.001; None when open or no temperature of a probe."""
        found = {}
        for name, channel in self.channels.items():
            at = channel.register - block.start
            if 0 <= at < block.count:
                found[name] = self._celsius(channel, registers[at : at + self.form.width])
        return found

    def _celsius(self, channel: Channel, registers: Sequence[int]) -> float | None:
        pattern = self.form.pattern(registers)
        if pattern in channel.open_patterns:
            return None
        degrees = self.form.number(pattern) * self.scale
        return plausible_c(round(to_celsius(degrees, self.degrees), 3))

    def _runs(self) -> Iterator[Block]:
        width = self.form.width
        start = count = 0
        for register in sorted(channel.register for channel in self.channels.values()):
            if count and register == start + count and count + width <= MOST_REGISTERS:
                count += width
                continue
            if count:
                yield Block(start, count)
            start, count = register, width
        yield Block(start, count)
