"""Which line to listen to: what a command names, or else what is kept in the settings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from roastside.core.errors import UsageError
from roastside.core.text import clean
from roastside.live.settings import ProbeSettings, load_settings, save_settings, settings_path
from roastside.probes.opening import device_source
from roastside.probes.source import RoastClock

FASTEST_BAUD = 4_000_000


@dataclass(frozen=True, slots=True)
class Line:
    """A port, the speed of its line in baud, and the wire that reads it."""

    port: str
    baud: int
    wire: str


def chosen_line(port: str = "", baud: int | None = None, wire: str = "") -> Line:
    """What is given wins; the kept speed and wire are those of the kept port only.

    Raises UsageError if no port is given and none is kept, or the settings cannot be read.
    """
    kept = ProbeSettings() if port else load_settings().probe
    chosen = port or kept.port
    if not chosen:
        raise UsageError(
            "no adapter is chosen yet: name one with --port, or let `roastside probes --save` find"
            " it"
        )
    return Line(chosen, baud or kept.baud, wire or kept.wire)


def chosen_lines(ports: Sequence[str], bauds: Sequence[int], wires: Sequence[str]) -> list[Line]:
    """The lines to listen to: the n-th baud and wire belong to the n-th port.

    Raises UsageError if there are too many or too few of them, a port is named twice, or as
    `chosen_line`.
    """
    count = max(len(ports), 1)
    for option, given in (("baud", bauds), ("wire", wires)):
        if len(given) not in (0, count):
            raise UsageError(
                f"--port is given {len(ports)} times and --{option} {len(given)} times; give each"
                f" port its own --{option}, in the same order"
            )
    if len(set(ports)) < len(ports):
        raise UsageError("the same --port is given twice; name each adapter once")
    return [
        chosen_line(*line)
        for line in zip(
            ports or ("",), bauds or (None,) * count, wires or ("",) * count, strict=True
        )
    ]


def typed_line(port: str, baud: str, wire: str) -> Line:
    """A line as typed; empty texts are as usual. Raises UsageError if the speed is no number."""
    usual = ProbeSettings()
    if baud and not (baud.isascii() and baud.isdigit()):
        raise UsageError(f"the speed {clean(baud, 40)} is not a whole number such as 9600")
    return Line(port, int(baud) if baud else usual.baud, wire or usual.wire)


def check_line(line: Line | ProbeSettings) -> None:
    """Raises UsageError if it makes no sense; whether anything is plugged in does not matter."""
    if not 0 < line.baud <= FASTEST_BAUD:
        raise UsageError(f"no line has the speed {line.baud}; a usual one is 9600")
    device_source(line.port, line.wire, line.baud, RoastClock())


def keep_line(line: Line) -> Path:
    """Keep the line as the one to listen to; the file it is kept in.

    Raises UsageError if the settings cannot be read, StoreError if they cannot be written.
    """
    settings = load_settings()
    probe = replace(settings.probe, port=line.port, baud=line.baud, wire=line.wire)
    if probe != settings.probe:
        save_settings(replace(settings, probe=probe), only="probe")
    return settings_path()
