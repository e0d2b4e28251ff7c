"""Listening to one port in the background while a screen shows what comes."""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, replace

from roastside.core.errors import RoastsideError
from roastside.core.quality import Quality
from roastside.core.readings import Outage, Reading
from roastside.core.trust import Trust
from roastside.live.line import Line
from roastside.live.probe_search import line_of
from roastside.probes.finder import LISTEN_S, Finder, Step
from roastside.probes.finding import Finding
from roastside.probes.opening import device_source
from roastside.probes.raw import Overheard, RawLine
from roastside.probes.serial_source import SerialSource
from roastside.probes.source import RoastClock, Source
from roastside.probes.wire.spec import MODBUS, parse_poll, parse_wire, wire_kind

KEPT_LINES = 8
_READ_S = 0.2
_LETTING_GO_S = 10.0


@dataclass(frozen=True, slots=True)
class Heard:
    """What a screen shows of listening. words: what is being done, or why it ended.

    lines: the newest lines and their readings; data: the bytes, where they are not lines.
    """

    words: str = ""
    lines: tuple[RawLine, ...] = ()
    data: bytes = b""
    finding: Finding | None = None
    readings: int = 0
    quality: Quality | None = None
    over: bool = False


class Ear:
    """Listens in a thread of its own until it is stopped. `heard` may be read from any thread.

    Begin with `Ear.finding` or `Ear.listening`. after: another that is stopping and must let
    its port go first.
    """

    def __init__(self, work: Callable[[Ear], None], after: Ear | None = None) -> None:
        self.heard = Heard()
        self._work = work
        self._after = after
        self._stopping = threading.Event()
        self._thread = threading.Thread(target=self._run, name="ear", daemon=True)
        self._thread.start()

    @classmethod
    def finding(
        cls, port: str, ask: bool = False, after: Ear | None = None, listen_s: float = LISTEN_S
    ) -> Ear:
        """Finds out how to read the port, and reads on if it is found."""
        return cls(lambda ear: ear._find(port, ask, listen_s), after)

    @classmethod
    def listening(cls, line: Line, after: Ear | None = None) -> Ear:
        """Reads a line as it is said to be read."""
        return cls(lambda ear: ear._listen(line), after)

    def stop(self) -> None:
        """Listen no more. The port is let go soon after, at the latest when it answers."""
        self._stopping.set()

    def wait(self, timeout_s: float) -> bool:
        """Wait for the end; whether it came."""
        self._thread.join(timeout_s)
        return not self._thread.is_alive()

    def _run(self) -> None:
        if self._after is not None:
            self._after.wait(_LETTING_GO_S)
            self._after = None
        try:
            self._work(self)
        except RoastsideError as error:
            self._say(words=str(error))
        finally:
            self._say(over=True)

    def _find(self, port: str, ask: bool, listen_s: float) -> None:
        self._say(words=f"opening {port}")
        found = Finder(port, listen_s, ask, self._show, self._stopping.is_set).find()
        self._say(words=found.sentence, lines=found.lines, data=found.data, finding=found)
        if found.proposal is not None and not self._stopping.is_set():
            self._listen(line_of(found.proposal))

    def _show(self, step: Step) -> None:
        self._say(words=step.words, lines=step.lines[-KEPT_LINES:], data=step.data)

    def _listen(self, line: Line) -> None:
        asked = wire_kind(line.wire) == MODBUS
        overheard = None if asked else Overheard(parse_wire(line.wire), KEPT_LINES)
        lines = deque(maxlen=KEPT_LINES) if overheard is None else overheard.lines
        source = _source(line, overheard)
        trust = Trust()
        count = 0
        source.open()
        self._say(words=f"listening to {line.port}", lines=())
        try:
            while not self._stopping.is_set():
                for item in source.read(_READ_S):
                    if isinstance(item, Outage):
                        self._say(words=f"{item.reason}; waiting for it to come back")
                    elif isinstance(item, Reading):
                        count += 1
                        trust.judge(item.time_s, item.bean_c)
                        if asked:
                            lines.append(RawLine(b"", item))
                        self._say(words=f"reading {line.port}", quality=trust.quality)
                self._say(lines=tuple(lines), readings=count)
        finally:
            source.close()

    def _say(self, **changes: object) -> None:
        self.heard = replace(self.heard, **changes)  # type: ignore[arg-type]


def _source(line: Line, overheard: Overheard | None) -> Source:
    """The line's source; what is overheard reads it, where there is text to overhear."""
    clock = RoastClock()
    if overheard is None:
        return device_source(line.port, line.wire, line.baud, clock)
    return SerialSource(line.port, overheard, line.baud, clock, parse_poll(line.wire))
