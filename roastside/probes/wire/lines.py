"""Lines of text: separated numbers, JSON objects, `name=value` pairs."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from roastside.core.readings import Reading
from roastside.core.text import clean
from roastside.probes.wire.choice import AIR, BEAN, Choice, FieldChoice
from roastside.probes.wire.fields import Field, Fields
from roastside.probes.wire.line_form import LineForm, commented
from roastside.probes.wire.splitter import LineSplitter
from roastside.probes.wire.values import Value, read_value

ALIKE_C = 5.0
"""A reading that may be cut and the next one differ by less when it is whole."""

HOLD_S = 2.0
"""A reading that may be cut waits no longer for the next one to bear it out."""

SHOWN_CHARACTERS = 80

_NO_UNITS: Mapping[str, str] = MappingProxyType({})
_PLAIN_LINES = LineForm()
_DIGITS = re.compile(rb"[0-9]+")
_FIRST_DIGITS = re.compile(rb"[^0-9]*[0-9]+")
_DIGITS_TO_0 = bytes.maketrans(b"123456789", b"000000000")


class TextLines:
    """The wire `lines`: one reading a line.

    A temperature is in the unit behind it, or that of its channel (`units`), or `unit`, or the
    one in its field's name, or °C.

    Never invents a reading: a line gives one only if it makes sense as a whole. The first line
    after an opening in mid-line may have lost its head, so its reading is held until the next
    one is like it, and is then stamped with that later time. It is dropped when none such comes
    within HOLD_S. `strict` compares every digit's place.
    """

    def __init__(
        self,
        choice: Choice | None = None,
        unit: str = "",
        units: Mapping[str, str] = _NO_UNITS,
        form: LineForm = _PLAIN_LINES,
        strict: bool = False,
    ) -> None:
        self.lines_seen = 0
        self.last_unread = ""
        self._choice = choice or FieldChoice()
        self.channels = self._choice.names
        self._unit = unit
        self._units = units
        self._form = form
        self._shape = _strict_shape if strict else _shape
        self._splitter = LineSplitter()
        self._header: list[str] = []
        self._first_is_doubtful = False
        self._held: Reading | None = None
        self._held_shape = b""

    def begin(self, mid_line: bool) -> None:
        """See Wire.begin. Column names learned from a header line are kept."""
        self._splitter.reset()
        self._first_is_doubtful = mid_line
        self._held = None

    def feed(self, data: bytes, at_s: float) -> list[Reading]:
        """See Wire.feed."""
        if self._held is not None and at_s - self._held.time_s > HOLD_S:
            self._held = None
        readings: list[Reading] = []
        for line in self._splitter.feed(data):
            reading = self._read(line, at_s)
            doubtful, self._first_is_doubtful = self._first_is_doubtful, False
            if doubtful:
                self._held, self._held_shape = reading, self._shape(line)
            elif reading is not None:
                readings += self._released(reading, self._shape(line))
                readings.append(reading)
        return readings

    def _read(self, line: bytes, at_s: float) -> Reading | None:
        if not line.strip():
            return None
        self.lines_seen += 1
        text = self._form.text_of(line)
        if text is not None:
            for parts in self._form.take_apart(text):
                if values := self._choice.pick(self._titled(parts)):
                    self.last_unread = ""
                    return self._reading(values, at_s)
        if self._learns_header(text or commented(line) or ""):
            return None
        self.last_unread = clean(line.decode("utf-8", "replace"), SHOWN_CHARACTERS)
        return None

    def _reading(self, values: dict[str, Value], at_s: float) -> Reading:
        celsius = {
            channel: value.celsius(self._units.get(channel, self._unit))
            for channel, value in values.items()
        }
        bean_c = celsius.pop(BEAN, None)
        air_c = celsius.pop(AIR, None)
        extra = {name: degrees for name, degrees in celsius.items() if degrees is not None}
        return Reading(at_s, bean_c, air_c, extra) if extra else Reading(at_s, bean_c, air_c)

    def _titled(self, line: Fields) -> Fields:
        """Bare fields under the names of the header line, if there was one that fits."""
        if len(line.fields) != len(self._header) or any(each.name for each in line.fields):
            return line
        named = [Field(name, f.text) for name, f in zip(self._header, line.fields, strict=True)]
        return line._replace(fields=named)

    def _learns_header(self, text: str) -> bool:
        for line in self._form.take_apart(text):
            names = [each.text for each in line.fields if not each.name]
            if len(names) < max(2, len(line.fields)):
                continue
            if any(read_value(name) is not None for name in names):
                continue
            if self._choice.knows_header(names):
                self._header = names
                return True
        return False

    def _released(self, following: Reading, shape: bytes) -> list[Reading]:
        held, self._held = self._held, None
        if held is None or shape != self._held_shape or not _alike(held, following):
            return []
        return [replace(held, time_s=following.time_s)]


def _alike(one: Reading, other: Reading) -> bool:
    """The same channels, and none more than ALIKE_C apart."""
    ones, others = _channels(one), _channels(other)
    return ones.keys() == others.keys() and all(
        abs(ones[name] - others[name]) < ALIKE_C for name in ones
    )


def _shape(line: bytes) -> bytes:
    """The line with 0 for every digit of its first number, and a single 0 for later digits.

    A line that lost its head has another shape: what it lost is digits of the first number, or
    more. One whose other numbers grew or shrank a little, as `228.5` and `228.75`, has the same.
    """
    found = _FIRST_DIGITS.match(line)
    end = found.end() if found else 0
    return _strict_shape(line[:end]) + _DIGITS.sub(b"0", line[end:])


def _strict_shape(line: bytes) -> bytes:
    """The line with 0 for every digit."""
    return line.translate(_DIGITS_TO_0)


def _channels(reading: Reading) -> dict[str, float]:
    everything = {BEAN: reading.bean_c, AIR: reading.air_c, **reading.extra}
    return {name: degrees for name, degrees in everything.items() if degrees is not None}
