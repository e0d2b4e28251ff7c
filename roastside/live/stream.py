"""The event stream of contract 4: one JSON object a line."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import TextIO

from roastside.core.events import Event, as_record


class EventWriter:
    """Writes events to a text stream as they come, each line flushed.

    The text is plain ASCII (JSON escapes the rest), so nothing a device or a file said can reach
    a terminal as a control sequence.
    """

    def __init__(self, out: TextIO) -> None:
        self._out = out

    def __call__(self, events: Sequence[Event]) -> None:
        lines = [json.dumps(as_record(event), separators=(",", ":")) + "\n" for event in events]
        self._out.write("".join(lines))
        self._out.flush()
