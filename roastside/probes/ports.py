"""The serial ports of this machine."""

from __future__ import annotations

from dataclasses import dataclass

from roastside.core.text import clean


@dataclass(frozen=True, slots=True)
class PortFound:
    """A port and what the system says is plugged in there."""

    url: str
    description: str


def serial_ports() -> list[PortFound]:
    """Ports with something known behind them first; a bare port without a description last."""
    from serial.tools.list_ports import comports

    found = [
        PortFound(port.device, "" if port.description in (None, "n/a") else clean(port.description))
        for port in comports()
    ]
    return sorted(found, key=lambda port: (not port.description, port.url))
