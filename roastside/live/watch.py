"""Words for the person beside a headless roast, on stderr: once per trouble, one sentence."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TextIO

from roastside.core.events import Alert, Event
from roastside.probes.source import Source

_TOLD = ("probe", "recording", "safety")


class Watch:
    """Tells of probe, recording and safety troubles as they are raised and end."""

    def __init__(self, source: Source, out: TextIO) -> None:
        self._source = source
        self._out = out

    def __call__(self, events: Sequence[Event]) -> None:
        for event in events:
            if isinstance(event, Alert) and event.family in _TOLD:
                self._tell(event)

    def _tell(self, alert: Alert) -> None:
        said = alert.message if alert.state == "raised" else f"over: {alert.message}"
        unread = getattr(self._source, "last_unread", "")
        if alert.alert == "probe_silent" and alert.state == "raised" and unread:
            said += (
                f" (the line says {unread!r}, in which there is no temperature: is --wire right?)"
            )
        print(f"roastside: {self._source.name}: {said}", file=self._out, flush=True)
