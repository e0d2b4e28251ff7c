"""Several adapters heard at once, as one source of readings on one clock."""

from __future__ import annotations

import queue
import threading
from collections.abc import Iterator, Sequence

from roastside.core.errors import UsageError
from roastside.core.readings import Item
from roastside.core.text import clean
from roastside.probes.channels import column, spoken
from roastside.probes.mixer import Mixer
from roastside.probes.source import Clock, ProbeSource
from roastside.probes.wire.choice import AIR, BEAN

_READ_S = 0.1
_PATIENCE_S = 2.0

Heard = tuple[ProbeSource, Sequence[Item]]


class MergedSource:
    """A Source: each adapter is read in a thread of its own, so that none waits for another.

    One adapter has the bean probe; see Mixer for what becomes of the readings of the others.
    """

    def __init__(self, sources: Sequence[ProbeSource], clock: Clock) -> None:
        """Raises UsageError unless one source has the bean probe, and no two the same channel."""
        self.channels = tuple(channel for source in sources for channel in source.channels)
        _refuse_channels(sources, self.channels)
        self.name = " + ".join(source.name for source in sources)
        self._sources = tuple(sources)
        self._clock = clock
        self._bean = next(source for source in sources if BEAN in source.channels)
        self.own_rows = tuple(
            column(channel)
            for source in sources
            for channel in source.channels
            if source is not self._bean
        )
        self._heard: queue.SimpleQueue[Heard | Exception] = queue.SimpleQueue()
        self._closing = threading.Event()
        self._threads: list[threading.Thread] = []
        self._mixer = Mixer(self._bean)

    @property
    def last_unread(self) -> str:
        """The bean adapter's last line that made no sense, if it can tell."""
        return str(getattr(self._bean, "last_unread", ""))

    @property
    def ended(self) -> bool:
        """Never: a lost line is waited for."""
        return False

    def open(self) -> None:
        """Open all or none. Raises ProbeError with a sentence for people."""
        for count, source in enumerate(self._sources):
            try:
                source.open()
            except BaseException:
                for opened in self._sources[:count]:
                    opened.close()
                raise
        for source in self._sources:
            thread = threading.Thread(
                target=self._listen, args=(source,), name=f"adapter {source.name}", daemon=True
            )
            self._threads.append(thread)
            thread.start()

    def read(self, timeout_s: float) -> list[Item]:
        """See Source.read."""
        return self._mixer.take(
            (source, item) for source, items in self._waiting(timeout_s) for item in items
        )

    def now_s(self) -> float:
        """See Source.now_s."""
        return self._clock.now_s()

    def close(self) -> None:
        """Let go of all ports."""
        self._closing.set()
        for thread in self._threads:
            thread.join(_PATIENCE_S)
        for source in self._sources:
            source.close()

    def _listen(self, source: ProbeSource) -> None:
        try:
            while not self._closing.is_set():
                if items := source.read(_READ_S):
                    self._heard.put((source, items))
        except Exception as error:  # whatever it was, `read` raises it for all to see
            self._heard.put(error)

    def _waiting(self, timeout_s: float) -> Iterator[Heard]:
        """What the threads have heard, waiting at most `timeout_s` for the first."""
        try:
            heard = self._heard.get(timeout=timeout_s)
            while True:
                if isinstance(heard, Exception):
                    raise heard
                yield heard
                heard = self._heard.get_nowait()
        except queue.Empty:
            return


def _refuse_channels(sources: Sequence[ProbeSource], channels: Sequence[str]) -> None:
    twice = next((name for name in channels if channels.count(name) > 1), "")
    if BEAN not in channels:
        raise UsageError("No wire says which field is the bean probe; one of them must.")
    if twice:
        places = " and ".join(source.name for source in sources if twice in source.channels)
        hint = " (a wire without fields looks for bean and air)" if twice in (BEAN, AIR) else ""
        raise UsageError(
            f"The wires of {clean(places)} both look for {clean(spoken(twice), 40)}{hint}; say"
            " which probe each adapter has, as in --wire lines:bean=1 --wire lines:air=1."
        )
