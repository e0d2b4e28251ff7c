"""What was found at a port, in lines for people."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from textwrap import wrap

from roastside.core.readings import Reading
from roastside.core.units import CELSIUS, FAHRENHEIT, Degrees
from roastside.probes.finding import Finding
from roastside.probes.ports import PortFound
from roastside.probes.raw import RawLine, shown_bytes

WIDTH = 96
_INDENT = "    "
_RAW_WIDTH = 38
_LINES = 4
_NOISE_WIDTH = 72


def report(port: PortFound, found: Finding) -> str:
    """The port, what came beside what is read from it, and the command to listen with."""
    return "\n".join(_lines(port, found))


BOTH_UNITS = (CELSIUS, FAHRENHEIT)
"""So that a reading can be held against any thermometer."""


def reading_words(reading: Reading | None, units: Sequence[Degrees] = BOTH_UNITS) -> str:
    """A reading in words, each temperature in all these units."""
    if reading is None:
        return "not a reading"
    probes = {"bean": reading.bean_c, "air": reading.air_c} | {
        name.removesuffix("_c"): degrees_c for name, degrees_c in reading.extra.items()
    }
    return "   ".join(
        f"{name} {_temperature(degrees_c, units)}"
        for name, degrees_c in probes.items()
        if degrees_c is not None or name == "bean"
    )


def beside(
    lines: Sequence[RawLine], width: int = _RAW_WIDTH, units: Sequence[Degrees] = BOTH_UNITS
) -> Iterator[str]:
    """Each line as it came, `width` characters wide, beside what is read from it."""
    for line in lines:
        yield f"{shown_bytes(line.data, width):{width}}  {reading_words(line.reading, units)}"


def _lines(port: PortFound, found: Finding) -> Iterator[str]:
    yield f"{port.url}  {port.description}".strip()
    yield from _wrapped(found.sentence)
    if found.lines:
        yield ""
        yield f"{_INDENT}{'what came':{_RAW_WIDTH}}  what is read from it"
        yield from (_INDENT + line for line in beside(found.lines[-_LINES:]))
    elif found.data:
        yield f"{_INDENT}what came: {shown_bytes(found.data, _NOISE_WIDTH)}"
    if found.advice:
        yield ""
    for sentence in found.advice:
        yield from _wrapped(sentence)
    if found.proposal is not None:
        yield ""
        yield _INDENT + found.proposal.command


def _wrapped(sentence: str) -> list[str]:
    return wrap(
        sentence,
        WIDTH,
        initial_indent=_INDENT,
        subsequent_indent=_INDENT,
        break_long_words=False,
        break_on_hyphens=False,
    )


def _temperature(degrees_c: float | None, units: Sequence[Degrees]) -> str:
    if degrees_c is None:
        return "gives nothing"
    return " = ".join(f"{degrees.temperature(degrees_c):.5g} {degrees.unit}" for degrees in units)
