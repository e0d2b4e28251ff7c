"""The event stream of contract 4: one JSON object a line."""

from __future__ import annotations

import json
import os
import threading
import time
from collections.abc import Callable, Sequence

from roastside.core.events import Event, as_record

PATIENCE_S = 3.0

MOST_WAITING_BYTES = 64 * 1024 * 1024
"""Beyond this the roast waits for its reader: a replay should, and no live roast gets so far."""

_PIECE_BYTES = 64 * 1024
_RETRY_S = 0.02
_LOOK_S = 0.1


class EventWriter:
    """Writes events to a file descriptor as they come, unbuffered, from a thread of its own.

    A reader who stops reading for a while holds up no roast: lines wait in memory. `error` tells
    why nothing can be written any more; events are then dropped.

    The text is plain ASCII (JSON escapes the rest), so nothing a device or a file said can reach
    a terminal as a control sequence.
    """

    def __init__(self, fd: int) -> None:
        self.error: OSError | None = None
        self._fd = fd
        self._waiting = bytearray()
        self._closing = False
        self._changed = threading.Condition()
        threading.Thread(target=self._run, name="events", daemon=True).start()

    def __call__(self, events: Sequence[Event]) -> None:
        lines = [json.dumps(as_record(event), separators=(",", ":")) + "\n" for event in events]
        with self._changed:
            self._changed.wait_for(lambda: self.error or len(self._waiting) < MOST_WAITING_BYTES)
            if self.error is None:
                self._waiting += "".join(lines).encode("ascii")
            self._changed.notify_all()

    def close(self, hurried: Callable[[], bool]) -> None:
        """Wait until all is written or cannot be; once hurried, not for a reader who has stopped.

        That is one who has taken nothing for PATIENCE_S.
        """
        with self._changed:
            self._closing = True
            self._changed.notify_all()
            taken_at_s = time.monotonic()
            while self._waiting:
                if self._changed.wait(_LOOK_S):
                    taken_at_s = time.monotonic()
                elif hurried() and time.monotonic() - taken_at_s > PATIENCE_S:
                    return

    def _run(self) -> None:
        while piece := self._next_piece():
            try:
                written = os.write(self._fd, piece)
            except BlockingIOError:  # a pipe that whoever started us made non-blocking
                time.sleep(_RETRY_S)
            except OSError as error:
                with self._changed:
                    self.error = error
                    self._waiting.clear()
                    self._changed.notify_all()
                return
            else:
                with self._changed:
                    del self._waiting[:written]
                    self._changed.notify_all()

    def _next_piece(self) -> bytes:
        """What to write next; empty when all is written and no more will come."""
        with self._changed:
            self._changed.wait_for(lambda: self._waiting or self._closing)
            return bytes(self._waiting[:_PIECE_BYTES])
