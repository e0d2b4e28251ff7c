"""Readings corrected by a calibration, and the way back to what the probes read.

A recording holds the corrected temperatures and, in its header, a line for each calibrated probe:

    # calibration_bean_c: gain=1.002 offset_c=-0.35 date=2026-03-02 person=Ines

so that raw = (corrected − offset_c) / gain.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

from roastside.core.errors import RecordError, UsageError
from roastside.core.readings import Item, Reading
from roastside.core.text import clean
from roastside.probes.calibrate import Calibration, calibration_from_words
from roastside.probes.source import Source
from roastside.record.format import AIR, BEAN
from roastside.record.reader import RoastFile

DIGITS = 3
"""Corrected temperatures are rounded to 0.001 °C, far below any probe's step."""

_HEADER = "calibration_"

Calibrations = Mapping[str, Calibration]
"""Channel (`bean_c`, `air_c`, or a further one) to what its readings are corrected by."""


class CalibratedSource:
    """Another Source, its readings corrected; all else it has and gives is passed through."""

    def __init__(self, source: Source, calibrations: Calibrations) -> None:
        self.name = source.name
        self._source = source
        self._calibrations = dict(calibrations)

    def open(self) -> None:
        """See Source.open."""
        self._source.open()

    def read(self, timeout_s: float) -> Sequence[Item]:
        """See Source.read."""
        return [
            corrected(item, self._calibrations) if isinstance(item, Reading) else item
            for item in self._source.read(timeout_s)
        ]

    def now_s(self) -> float:
        """See Source.now_s."""
        return self._source.now_s()

    @property
    def ended(self) -> bool:
        """See Source.ended."""
        return self._source.ended

    def close(self) -> None:
        """See Source.close."""
        self._source.close()

    def __getattr__(self, name: str) -> object:
        # What some sources have besides, such as last_unread. Only asked for what is not above.
        if name == "_source":
            raise AttributeError(name)
        return getattr(self._source, name)


def corrected(reading: Reading, calibrations: Calibrations) -> Reading:
    """The reading with the temperatures of calibrated channels corrected."""
    return _changed(reading, {name: each.corrected for name, each in calibrations.items()})


def calibration_facts(calibrations: Calibrations) -> dict[str, str]:
    """The header lines that tell how a recording's readings were corrected."""
    return {f"{_HEADER}{channel}": str(each) for channel, each in calibrations.items()}


def calibrations_of(roast: RoastFile) -> dict[str, Calibration]:
    """What a recording's readings were corrected by, without the points.

    Raises RecordError if a calibration line cannot be understood.
    """
    found = {}
    for key, words in roast.header.items():
        if not key.startswith(_HEADER):
            continue
        try:
            found[key.removeprefix(_HEADER)] = calibration_from_words(words)
        except (ValueError, UsageError) as error:
            raise RecordError(
                f"{clean(str(roast.path))}: the header line {key} is '{clean(words, 80)}', from "
                "which the correction cannot be told; write it as gain=1.002 offset_c=-0.35 "
                "date=2026-03-02 person=Ines."
            ) from error
    return found


def raw_items(roast: RoastFile) -> Iterator[Item]:
    """Readings and marks of a recording, temperatures as the probes gave them, to 0.001 °C.

    Raises RecordError as `calibrations_of`.
    """
    back = {name: each.raw for name, each in calibrations_of(roast).items()}
    for item in roast.items():
        yield _changed(item, back) if isinstance(item, Reading) else item


def _changed(reading: Reading, changes: Mapping[str, Callable[[float], float]]) -> Reading:
    """The reading with some channels changed; what is missing stays so."""

    def of(channel: str, value_c: float) -> float:
        change = changes.get(channel)
        return value_c if change is None else round(change(value_c), DIGITS)

    return replace(
        reading,
        bean_c=None if reading.bean_c is None else of(BEAN, reading.bean_c),
        air_c=None if reading.air_c is None else of(AIR, reading.air_c),
        extra={channel: of(channel, value_c) for channel, value_c in reading.extra.items()},
    )
