"""What a text line is read as: its readings, or just the two probes of each."""

from __future__ import annotations

from roastside.core.readings import Reading
from roastside.probes.wire.spec import parse_wire

AT_S = 12.5
"""When every line comes."""


def read(data: bytes | str, spec: str = "lines") -> list[Reading]:
    line = data if isinstance(data, bytes) else data.encode()
    return parse_wire(spec).feed(line + b"\n", AT_S)


def probes(data: bytes | str, spec: str = "lines") -> list[tuple[float | None, float | None]]:
    return [(each.bean_c, each.air_c) for each in read(data, spec)]
