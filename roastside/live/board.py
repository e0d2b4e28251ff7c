"""The board: everything a screen needs to know of a roast, kept from its events."""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from roastside.core.events import (
    Alert,
    AlertState,
    Event,
    Family,
    Forecast,
    Gap,
    Marked,
    Sample,
    Summary,
)
from roastside.core.lag import Lag, NoLag
from roastside.core.quality import Quality
from roastside.core.readings import ONCE_ONLY, UNDO, MarkName, MarkSource
from roastside.core.reference import Reference
from roastside.record.format import parse_fact

Curve = NDArray[np.float64]

_COLUMNS = ("time_s", "bean_c", "level_c", "air_c", "rate_c_per_min", "deviation_c", "ahead_s")
_LOG_LINES = 200

_SAME_MOMENT_S = 1.0
"""A mark that moves by less than this is not worth a line of the log."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the log beside the roast: when (stream s), how grave, and the words.

    Lines of one `topic` belong together and can be told anew.
    """

    time_s: float
    tone: str
    text: str
    topic: str = ""


@dataclass(frozen=True)
class View:
    """The board at one moment. Arrays have shape (n,), one entry a sample, NaN is unknown.

    `bean_c` is as it was read, `level_c` freed of noise and spikes. `extras` are the temperatures
    of further channels, °C, by column name. `lag` is the bean probe's, once it is known.
    `marks` are in stream seconds. `said` words the standing alerts for this moment, by their id.
    `quality` is how well the bean probe is sampled. `version` differs whenever anything does.
    """

    version: int
    last: Sample | None
    time_s: Curve
    bean_c: Curve
    level_c: Curve
    air_c: Curve
    rate_c_per_min: Curve
    deviation_c: Curve
    ahead_s: Curve
    extras: dict[str, Curve]
    marks: dict[str, float]
    forecasts: dict[str, Forecast]
    standing: tuple[Alert, ...]
    said: dict[str, str]
    log: tuple[Line, ...]
    summary: Summary | None
    quality: Quality = field(default_factory=Quality)
    lag: Lag | NoLag | None = None

    @property
    def charge_s(self) -> float | None:
        """Stream time of charge."""
        return self.marks.get(MarkName.CHARGE)


@dataclass
class Board:
    """Takes events from the pipeline's thread and gives views to the screen's.

    A view shares the arrays' memory with the board: the board only ever writes behind the end
    of what it has shown.
    """

    reference: Reference | None = None
    _lock: threading.Lock = field(default_factory=threading.Lock, repr=False)

    def __post_init__(self) -> None:
        self._arrays = {name: np.empty(1024) for name in _COLUMNS}
        self._extras: dict[str, Curve] = {}
        self._count = 0
        self._version = 0
        self._last: Sample | None = None
        self._marks: dict[str, float] = {}
        self._forecasts: dict[str, Forecast] = {}
        self._standing: dict[str, Alert] = {}
        self._said: dict[str, str] = {}
        self._quality = Quality()
        self._lag: Lag | NoLag | None = None
        self._log: deque[Line] = deque(maxlen=_LOG_LINES)
        self._summary: Summary | None = None

    def __call__(self, events: Sequence[Event]) -> None:
        """Take in what happened."""
        with self._lock:
            for event in events:
                self._take(event)
            self._version += 1

    def view(self) -> View:
        """The board as it is now."""
        with self._lock:
            shown = {name: array[: self._count] for name, array in self._arrays.items()}
            return View(
                version=self._version,
                last=self._last,
                **shown,
                extras={name: array[: self._count] for name, array in self._extras.items()},
                marks=dict(self._marks),
                forecasts=dict(self._forecasts),
                standing=tuple(self._standing.values()),
                said=dict(self._said),
                log=tuple(self._log),
                summary=self._summary,
                quality=self._quality,
                lag=self._lag,
            )

    def restate(self, standing: Sequence[Alert], quality: Quality | None = None) -> None:
        """The standing alerts in today's words, and how well the bean probe is sampled."""
        with self._lock:
            self._quality = quality or self._quality
            self._said = {alert.alert: alert.message for alert in standing}

    def note(self, time_s: float, text: str, tone: str = "plain") -> None:
        """Put a line of our own into the log."""
        with self._lock:
            self._log.append(Line(time_s, tone, text))
            self._version += 1

    def tell(self, topic: str, time_s: float, texts: Sequence[str], tone: str = "plain") -> None:
        """Put lines on a topic into the log, in place of what was told of it before.

        They stand where their time is: what took long to find comes before what happened since.
        """
        with self._lock:
            if [line.text for line in self._log if line.topic == topic] == list(texts):
                return
            others = [line for line in self._log if line.topic != topic]
            at = max((n for n, line in enumerate(others, 1) if line.time_s <= time_s), default=0)
            others[at:at] = [Line(time_s, tone, text, topic) for text in texts]
            self._log.clear()
            self._log.extend(others)
            self._version += 1

    def know_lag(self, lag: Lag | NoLag | None) -> None:
        """What the bean probe's lag is, or why it can not be told; None: not known yet."""
        with self._lock:
            self._lag = lag
            self._version += 1

    def _take(self, event: Event) -> None:
        match event:
            case Sample():
                self._sample(event)
            case Marked():
                self._marked(event)
            case Forecast():
                self._forecasts[event.milestone] = event
            case Alert():
                self._alert(event)
            case Gap():
                lost = f"no readings for {event.to_s - event.from_s:.0f} s: {event.reason}"
                self._log.append(Line(event.time_s, "warn", lost))
            case Summary():
                self._summary = event

    def _sample(self, sample: Sample) -> None:
        if self._count == len(self._arrays["time_s"]):
            for arrays in (self._arrays, self._extras):
                for name, array in arrays.items():
                    arrays[name] = np.concatenate((array, np.empty(len(array))))
        for name in _COLUMNS:
            value = getattr(sample, name)
            self._arrays[name][self._count] = np.nan if value is None else value
        for name in sample.extra:
            if name not in self._extras:
                self._extras[name] = np.full(len(self._arrays["time_s"]), np.nan)
        for name, array in self._extras.items():
            array[self._count] = sample.extra.get(name, np.nan)
        self._count += 1
        self._last = sample

    def _marked(self, marked: Marked) -> None:
        name = marked.mark.removeprefix(UNDO)
        words = name.replace("_", " ")
        if marked.mark.startswith(UNDO):
            self._marks.pop(name, None)
            words = f"{words} withdrawn"
        elif name in ONCE_ONLY:
            before_s = self._marks.get(name)
            self._marks[name] = marked.moment_s
            if before_s is not None and abs(marked.moment_s - before_s) < _SAME_MOMENT_S:
                return
            words += " (detected)" if marked.source is MarkSource.AUTO else ""
            words += " moved" if before_s is not None else ""
        elif name == MarkName.CONTROL:
            control, _, unit = marked.note.partition(" ")
            words = f"{control or words} {marked.value} {unit}".rstrip()
        elif parse_fact(marked.note):
            return  # of use in the book, not at the roaster
        else:
            words = marked.note or words
        self._log.append(Line(marked.time_s, "mark", words))

    def _alert(self, alert: Alert) -> None:
        if alert.state is AlertState.RAISED:
            self._standing[alert.alert] = alert
            self._log.append(Line(alert.time_s, str(alert.priority), alert.message))
        elif alert.state is AlertState.CLEARED:
            self._standing.pop(alert.alert, None)
            if alert.family is not Family.TIMING:
                self._log.append(
                    Line(alert.time_s, "plain", f"over: {alert.alert.replace('_', ' ')}")
                )
        else:
            self._standing[alert.alert] = alert
