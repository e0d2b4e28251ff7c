"""A device that answers only when asked, on one end of a real serial line."""

from __future__ import annotations

import os
import select
import sys
import threading
from collections.abc import Callable
from types import TracebackType
from typing import Self

if sys.platform != "win32":
    import tty

    class AskedLine:
        """A pseudo-terminal whose device waits for `question`, then sends what `answer` gives.

        port: what a listener opens. asked: every byte the listener sent.
        """

        def __init__(self, question: bytes, answer: Callable[[], bytes]) -> None:
            self._device, self._listener = os.openpty()
            tty.setraw(self._listener)
            self.port = os.ttyname(self._listener)
            self.asked = b""
            self._question = question
            self._answer = answer
            self._stop_read, self._stop_write = os.pipe()
            self._thread = threading.Thread(target=self._serve)
            self._thread.start()

        def unplug(self) -> None:
            """The device is gone, for good. May be repeated."""
            if self._thread.is_alive():
                os.write(self._stop_write, b".")
                self._thread.join()
                for end in (self._device, self._listener, self._stop_read, self._stop_write):
                    os.close(end)

        def _serve(self) -> None:
            unheard = b""
            while True:
                ready, _, _ = select.select([self._device, self._stop_read], [], [])
                if self._stop_read in ready:
                    return
                came = os.read(self._device, 4096)
                self.asked += came
                *questions, unheard = (unheard + came).split(self._question)
                for _ in questions:
                    os.write(self._device, self._answer())

        def __enter__(self) -> Self:
            return self

        def __exit__(
            self,
            kind: type[BaseException] | None,
            error: BaseException | None,
            trace: TracebackType | None,
        ) -> None:
            self.unplug()
