"""Words for the person beside a headless roast, on stderr: a sentence per trouble, and the end."""

from __future__ import annotations

import re
from collections.abc import Sequence
from contextlib import suppress
from typing import TextIO

from roastside.core.alert_count import alert_count
from roastside.core.events import Alert, AlertState, Event, Family, Summary
from roastside.probes.source import Source
from roastside.probes.wire.values import read_value

_TOLD = (Family.PROBE, Family.RECORDING, Family.SAFETY)


class Watch:
    """Tells of probe, recording and safety troubles as they are raised and end.

    At a terminal it also tells, when asked, how often alerts came in all.
    """

    def __init__(self, source: Source, out: TextIO) -> None:
        self._source = source
        self._out = out
        self._told: set[str] = set()
        self._summary: Summary | None = None

    def __call__(self, events: Sequence[Event]) -> None:
        for event in events:
            if isinstance(event, Alert) and event.family in _TOLD:
                self._tell_alert(event)
            elif isinstance(event, Summary):
                self._summary = event

    def tell_once(self, sentence: str) -> None:
        """Say this, unless it was said before."""
        if sentence not in self._told:
            self._told.add(sentence)
            self._tell(sentence)

    def sum_up(self) -> None:
        """Say how often alerts came, to a person who looks on; a program reads the summary."""
        if self._summary is not None and self._out.isatty():
            self._tell(alert_count(self._summary))

    def _tell_alert(self, alert: Alert) -> None:
        if alert.state is AlertState.ACKNOWLEDGED:
            return
        begins = alert.state is AlertState.RAISED
        said = alert.message if begins else f"over: {alert.alert.replace('_', ' ')}"
        hint = unread_hint(self._source)
        if begins and alert.alert == "probe_silent" and hint:
            said += f" ({hint})"
        self._tell(said)

    def _tell(self, sentence: str) -> None:
        with suppress(OSError):  # whoever read these words has gone; the roast goes on
            print(f"roastside: {self._source.name}: {sentence}", file=self._out, flush=True)


def unread_hint(source: Source) -> str:
    """What a line that cannot be read says, and what to do; empty if all could be read."""
    trouble = getattr(source, "trouble", "")
    if trouble:
        return str(trouble)
    unread = getattr(source, "last_unread", "")
    if not unread:
        return ""
    if "\N{REPLACEMENT CHARACTER}" in unread:
        return f"the line says {unread!r}, which is garbled: check the plug, then --baud"
    if any(_says_open(word) for word in re.split(r"[\s,;=]+", unread)):
        return f"the adapter says {unread!r}: check the probe and its plug"
    return f"the line says {unread!r}, which is no reading as a whole: is --wire right?"


def _says_open(word: str) -> bool:
    value = read_value(word) if word else None
    return value is not None and value.number is None
