"""The bell for a sound that does not come: players and sound systems can hang without a word."""

from __future__ import annotations

from collections.abc import Callable
from threading import Lock, Timer

from roastside.sound.grammar import BURST_S
from roastside.sound.motifs import Motif

LATE_S = 2.0
"""How much longer than itself a sound may take before the bell rings for it."""


class LateBell:
    """Rings for one sound at a time, once. ring: called in a thread of its own.

    late_s: how much longer than itself a sound may take.
    """

    def __init__(self, ring: Callable[[Motif], object], late_s: float = LATE_S) -> None:
        self._ring = ring
        self._late_s = late_s
        self._lock = Lock()
        self._motif: Motif | None = None
        self._timer: Timer | None = None
        self._rung = False

    def expect(self, motif: Motif) -> None:
        """From now on, this sound is to come; in place of one of its priority, by the same time."""
        with self._lock:
            before, self._motif = self._motif, motif
            if before is not None and before.priority is motif.priority:
                return
            self._cancel()
            timer = Timer(BURST_S[motif.priority] + self._late_s, lambda: self._late(timer))
            timer.daemon = True
            self._timer = timer
            timer.start()

    def over(self) -> bool:
        """The sound has come, or is not wanted any more; whether the bell rang for it."""
        with self._lock:
            rung = self._rung
            self._cancel()
            self._motif = None
            return rung

    def _late(self, timer: Timer) -> None:
        with self._lock:
            motif = self._motif
            if timer is not self._timer or motif is None:
                return
            self._rung = True
        self._ring(motif)

    def _cancel(self) -> None:
        if self._timer is not None:
            self._timer.cancel()
        self._timer, self._rung = None, False
