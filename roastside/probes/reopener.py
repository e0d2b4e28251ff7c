"""Trying to open a lost port again, in the background."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable

from roastside.probes.port import Port

LONGEST_DELAY_S = 2.0


class Reopener:
    """Opens the port as soon as it can be opened; the delay between tries doubles up to 2 s.

    A thread of its own, as opening can hang for seconds (a network address, a radio link) and
    nobody shall wait for that.
    """

    def __init__(self, open_port: Callable[[], Port], delay_s: float) -> None:
        self._open_port = open_port
        self._delay_s = delay_s
        self._opened: queue.SimpleQueue[Port] = queue.SimpleQueue()
        self._stopped = threading.Event()
        self._handing_over = threading.Lock()
        threading.Thread(target=self._run, name="reopener", daemon=True).start()

    def take(self, timeout_s: float) -> Port | None:
        """The open port once there is one, waiting at most `timeout_s`."""
        try:
            return self._opened.get(timeout=timeout_s)
        except queue.Empty:
            return None

    def stop(self) -> None:
        """Try no more. A port that was not taken is closed."""
        with self._handing_over:
            self._stopped.set()
            while (port := self.take(0.0)) is not None:
                port.close()

    def _run(self) -> None:
        delay_s = self._delay_s
        while not self._stopped.wait(delay_s):
            try:
                port = self._open_port()
            except Exception:  # whatever it was: the device may still come back
                delay_s = min(2.0 * delay_s, LONGEST_DELAY_S)
                continue
            with self._handing_over:
                if self._stopped.is_set():
                    port.close()
                else:
                    self._opened.put(port)
            return
