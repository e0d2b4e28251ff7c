"""Opening a serial port, and what to say when it cannot be opened."""

from __future__ import annotations

import errno
import re
import sys
from pathlib import Path
from typing import Protocol, cast
from urllib.parse import urlsplit

import serial
from serial.tools import list_ports

from roastside.core.errors import ProbeError
from roastside.core.text import clean

READ_STEP_S = 0.05
"""How long one read of a port waits. Fixed: changing it makes some ports negotiate anew."""

WRITE_PATIENCE_S = 0.5
"""A device that takes nothing for so long is not there; the write ends with an error."""

try:
    import termios

    LINE_TROUBLES: tuple[type[Exception], ...] = (OSError, termios.error)
except ImportError:  # no termios on Windows
    LINE_TROUBLES = (OSError,)
"""What a serial line raises when the device behind it is gone."""


class Port(Protocol):
    """The little of a pyserial port that is used."""

    @property
    def in_waiting(self) -> int: ...

    def read(self, size: int) -> bytes: ...

    def write(self, data: bytes) -> int | None: ...

    def close(self) -> None: ...


def open_port(url: str, baud: int, parity: str = "N", stop_bits: int = 1) -> Port:
    """An open port, for this program alone where the system can see to that.

    url: any pyserial URL. parity: N, E or O. Raises ProbeError with a sentence for people.
    """
    if "://" in url:
        _check_address(url)
    try:
        port = serial.serial_for_url(
            url,
            do_not_open=True,
            baudrate=baud,
            parity=parity,
            stopbits=stop_bits,
            timeout=READ_STEP_S,
            # pyserial's RFC 2217 ports refuse one, and never wait on their own account.
            write_timeout=None if url.startswith("rfc2217://") else WRITE_PATIENCE_S,
            exclusive=True,
        )
        if url.startswith("socket://"):
            # pyserial discards what came before; on a connection just made that is the
            # beginning of the data and not, as on a serial line, what an earlier owner left.
            port.reset_input_buffer = _keep_everything
        port.open()
    except LINE_TROUBLES as error:
        raise ProbeError(trouble(url, error)) from error
    except ValueError as error:
        raise ProbeError(
            f"The port {clean(url)} cannot be opened: {clean(str(error))}."
            " Write it as /dev/ttyUSB0, COM3 or socket://host:port, with a usual speed (baud)."
        ) from error
    return cast(Port, port)


def trouble(url: str, error: Exception) -> str:
    """One sentence or two: why the port did not open and what to do."""
    name = clean(url) or "without a name"
    number = error.errno if isinstance(error, OSError) else error.args[0]
    words = str(error)
    if number in (errno.EAGAIN, errno.EBUSY) or (sys.platform == "win32" and "Permission" in words):
        return f"The port {name} is held by another program; close that program and try again."
    if number in (errno.EACCES, errno.EPERM):
        return f"You may not open the port {name}; {_who_may(url)}."
    if number in (errno.ENOENT, errno.ENODEV, errno.ENXIO) or "FileNotFound" in words:
        return f"There is no port {name}; plug the adapter in or name another. {_ports_here()}"
    if "://" in url:
        return f"Nothing answers at {name} ({_reason(words)}); check the address and the device."
    if f"({errno.ENOTTY}," in words or not Path(url).is_char_device():
        return f"{name} is not a serial port; name another. {_ports_here()}"
    return f"The port {name} cannot be opened ({_reason(words)}); unplug the adapter and try again."


def _check_address(url: str) -> None:
    try:
        parts = urlsplit(url)
        complete = bool(parts.hostname and parts.port)
    except ValueError:
        complete = False
    if url.split("://")[0] in ("socket", "rfc2217") and not complete:
        raise ProbeError(
            f"The address {clean(url)} is not complete; write it as socket://host:port."
        )


def _keep_everything() -> None:
    """Stands in for pyserial's discarding."""


def _who_may(url: str) -> str:
    try:
        group = Path(url).group()
    except (OSError, KeyError, NotImplementedError):
        group = ""
    if group in ("", "root", "wheel"):
        return "ask the person who looks after this computer"
    return (
        f"it belongs to the group {group}: run `sudo usermod -aG {group} $USER`,"
        " then log out and in again"
    )


def _ports_here() -> str:
    names = sorted(each.device for each in list_ports.comports())
    return f"Ports here: {clean(', '.join(names))}." if names else "No port is plugged in here."


def _reason(words: str) -> str:
    """The system's own phrase out of the sentences pyserial wraps around it."""
    found = re.search(r"\[Errno -?\d+\] ([^:]+)|\(\d+, '([^']+)'", words)
    return clean((found[1] or found[2]) if found else words).rstrip(".")
