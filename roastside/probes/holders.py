"""Who else has a port open. Only Linux tells, and only of a person's own programs."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from roastside.core.text import clean

_PROCESSES = Path("/proc")


def other_holders(url: str) -> list[str]:
    """Programs that have the port open beside this one, as `name (process 123)`.

    Many programs do not lock a port, so that it opens for two; each byte then goes to one only.
    """
    device = os.path.realpath(url)
    if "://" in url or not device.startswith("/dev/"):
        return []
    return sorted({_name(process) for process in _others() if _has_open(process, device)})


def _others() -> Iterator[Path]:
    with suppress(OSError):
        for process in _PROCESSES.iterdir():
            if process.name.isdigit() and int(process.name) != os.getpid():
                yield process


def _has_open(process: Path, device: str) -> bool:
    with suppress(OSError):
        for opened in (process / "fd").iterdir():
            with suppress(OSError):
                if str(opened.readlink()) == device:
                    return True
    return False


def _name(process: Path) -> str:
    name = ""
    with suppress(OSError):
        name = (process / "comm").read_text("utf-8", "replace")
    return f"{clean(name, 40) or 'a program'} (process {process.name})"
