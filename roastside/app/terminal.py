"""When the terminal goes away, or we are told to go: end the roast, close its recording, leave."""

from __future__ import annotations

import os
import signal
import sys
import threading
import time
from collections.abc import Callable

_LOOK_EVERY_S = 1.0


def leave_when_told(end: Callable[[], object]) -> None:
    """From now on a hang-up, SIGTERM or a terminal that is gone ends the program after `end`.

    A screen without a terminal helps nobody, and would hold the port and the processor. `end` may
    take its time: it is called in a thread of its own, once, and the program then leaves at once.
    """
    leaving = threading.Lock()

    def leave() -> None:
        if leaving.acquire(blocking=False):
            end()
            os._exit(0)

    def told(_signal: int, _frame: object) -> None:
        threading.Thread(target=leave, name="leaving").start()

    for name in ("SIGTERM", "SIGHUP"):
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), told)

    def watch() -> None:
        while _has_terminal():
            time.sleep(_LOOK_EVERY_S)
        leave()

    threading.Thread(target=watch, name="terminal", daemon=True).start()


def _has_terminal() -> bool:
    try:
        return sys.__stdout__ is not None and os.isatty(sys.__stdout__.fileno())
    except (OSError, ValueError):
        return False
