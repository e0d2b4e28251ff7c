"""Listening to a port at the usual speeds, to find out how it is to be read."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from roastside.core.errors import ProbeError
from roastside.core.text import clean
from roastside.probes.finding import SILENCE_WHEN_ASKED, Finding, Outcome, finding, has_speed
from roastside.probes.holders import other_holders
from roastside.probes.judge import Judgement, judge
from roastside.probes.link import MID_LINE_S
from roastside.probes.port import LINE_TROUBLES
from roastside.probes.raw import RawLine
from roastside.probes.tuning import MOST_BYTES, TunablePort, open_tunable, take, tune

USUAL_SPEEDS = (9600, 115200, 19200, 57600, 38400, 4800, 2400)
"""Baud, the likeliest first (common practice, no source)."""

LISTEN_S = 3.0
"""How long each speed is listened to."""

_LONGER = 3
"""So many times as long where lines come slowly but read well."""

_FIRST_BYTES = 2
"""So many times as long for the first byte: many boards restart when their port is opened."""

_ROUNDS = 2
"""A board that greets in noise may have been noisy at its own speed in the first round."""


@dataclass(frozen=True, slots=True)
class Step:
    """Where the search is: what is being tried, and what has come so far."""

    words: str
    data: bytes = b""
    lines: tuple[RawLine, ...] = ()


class Finder:
    """Listens to one port. It sends nothing, unless it is to ask where nothing comes unasked.

    listen_s: seconds for each speed. ask: then ask the Modbus way, see probes/asking.py. tell:
    called with each Step, from the thread that searches. stopped: asked often; when it says so
    the search ends with what there is.
    """

    def __init__(
        self,
        port: str,
        listen_s: float = LISTEN_S,
        ask: bool = False,
        tell: Callable[[Step], None] = lambda step: None,
        stopped: Callable[[], bool] = lambda: False,
    ) -> None:
        self._url = port
        self._listen_s = listen_s
        self._ask = ask
        self._tell = tell
        self._stopped = stopped

    def find(self) -> Finding:
        """Try the speeds one after another. Whatever is wrong with the port is a Finding too."""
        try:
            port = open_tunable(self._url, USUAL_SPEEDS[0])
        except ProbeError as error:
            return Finding(self._url, Outcome.REFUSED, str(error))
        try:
            found = finding(self._url, self._search(port), other_holders(self._url))
            if found.outcome is Outcome.SILENCE and self._ask and not self._stopped():
                found = self._asked(port)
        except LINE_TROUBLES:
            sentence = (
                f"The line to {clean(self._url)} was lost while listening; look at the plug and try"
                " again."
            )
            return Finding(self._url, Outcome.REFUSED, sentence)
        finally:
            port.close()
        return found

    def _asked(self, port: TunablePort) -> Finding:
        # Here and not above: pymodbus takes long to load.
        from roastside.probes.asking import ask_for_registers

        speeds = speeds_of(self._url)
        found = ask_for_registers(port, self._url, speeds, self._say, self._stopped)
        return found or Finding(self._url, Outcome.SILENCE, SILENCE_WHEN_ASKED)

    def _say(self, words: str) -> None:
        self._tell(Step(words))

    def _search(self, port: TunablePort) -> dict[int, Judgement]:
        """What was heard at each speed, up to the first that gives text."""
        heard: dict[int, Judgement] = {}
        patience_s = _FIRST_BYTES * self._listen_s
        speeds = speeds_of(self._url)
        for _ in range(_ROUNDS):
            for number, baud in enumerate(speeds, 1):
                if self._stopped() or not tune(port, baud):
                    continue
                words = f"listening at {baud} baud, speed {number} of {len(speeds)}"
                judgement = self._listen(port, words, patience_s)
                patience_s = self._listen_s
                if judgement.data or baud not in heard:
                    heard[baud] = judgement
                if judgement.reads_well or judgement.is_text:
                    return heard
            if not any(judgement.data for judgement in heard.values()):
                break
        return heard

    def _listen(self, port: TunablePort, words: str, patience_s: float) -> Judgement:
        """Listen at one speed until it is clear what comes, at most _LONGER times as long."""
        data = b""
        verdict = judge(data)
        began_s = time.monotonic()
        mid_line = False
        wait_s = patience_s
        while time.monotonic() - began_s < wait_s and not self._stopped():
            came = take(port)
            if came and not data:
                mid_line = time.monotonic() - began_s < MID_LINE_S
                wait_s = time.monotonic() - began_s + self._listen_s
            mid_line = mid_line or len(data) + len(came) > MOST_BYTES
            data = (data + came)[-MOST_BYTES:]
            if came:
                verdict = judge(data, mid_line)
            self._tell(Step(words, data, verdict.lines))
            if verdict.is_settled or verdict.is_noise:
                break
            if verdict.reads_well:
                wait_s = max(wait_s, _LONGER * self._listen_s)
        return verdict


def speeds_of(url: str) -> Sequence[int]:
    """The speeds worth trying, in baud."""
    return USUAL_SPEEDS if has_speed(url) else USUAL_SPEEDS[:1]
