"""Readings corrected on their way in, and recoverable from the recording."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

import pytest

from roastside.core.errors import RecordError
from roastside.core.readings import Item, Mark, Outage, Reading
from roastside.probes.calibrate import Calibration
from roastside.probes.calibrated import (
    CalibratedSource,
    calibration_facts,
    calibrations_of,
    raw_items,
)
from roastside.probes.replay import ReplaySource
from roastside.probes.serial_source import SerialSource
from roastside.probes.source import RoastClock
from roastside.probes.virtual_line import virtual_line
from roastside.probes.wire.spec import parse_wire
from roastside.record.reader import read_roast_file
from roastside.record.recorder import Recorder
from tests.probes.waiting import read_until

FIXTURE = Path(__file__).resolve().parents[2] / "fixtures" / "house-espresso-v3.csv"
BEAN = Calibration(1.018653, -0.611, date(2026, 3, 2), "Ines")
INLET = Calibration(0.987, 1.25, date(2026, 3, 1), "Tomas B.")


class Given:
    """A Source that gives some items at once and ends."""

    name = "given"
    last_unread = "hello"

    def __init__(self, items: Sequence[Item]) -> None:
        self.coming = list(items)
        self.calls: list[str] = []

    def open(self) -> None:
        self.calls.append("open")

    def read(self, timeout_s: float) -> Sequence[Item]:
        given, self.coming = self.coming, []
        return given

    def now_s(self) -> float:
        return 12.5

    @property
    def ended(self) -> bool:
        return not self.coming

    def close(self) -> None:
        self.calls.append("close")


def test_named_channels_are_corrected_and_all_else_is_passed_through() -> None:
    others: list[Item] = [Mark(1.0, "charge"), Outage(2.0, "gone")]
    reading = Reading(0.5, 200.0, 230.0, {"inlet_c": 300.0, "exhaust_c": 180.0})
    source = CalibratedSource(Given([reading, *others]), {"bean_c": BEAN, "inlet_c": INLET})
    assert source.read(0.1) == [
        # 1.018653 × 200 − 0.611; 0.987 × 300 + 1.25
        Reading(0.5, 203.12, 230.0, {"inlet_c": 297.35, "exhaust_c": 180.0}),
        *others,
    ]


def test_a_missing_reading_stays_missing() -> None:
    missing = Reading(0.5, None, None)
    source = CalibratedSource(Given([missing]), {"bean_c": BEAN, "air_c": BEAN, "inlet_c": INLET})
    assert source.read(0.1) == [missing]


def test_it_is_in_all_else_the_source_it_stands_before() -> None:
    inner = Given([Reading(0.0, 20.0)])
    source = CalibratedSource(inner, {"bean_c": BEAN})
    source.open()
    assert (source.name, source.now_s(), source.ended) == ("given", 12.5, False)
    source.read(0.1)
    source.close()
    assert source.ended
    assert inner.calls == ["open", "close"]
    assert getattr(source, "last_unread", "") == "hello"
    assert getattr(source, "take", None) is None


def test_what_a_line_that_cannot_be_read_says_is_still_known() -> None:
    with virtual_line() as line:
        source = CalibratedSource(
            SerialSource(line.port, parse_wire("lines"), 9600, RoastClock()), {"bean_c": BEAN}
        )
        source.open()
        read_until(
            source,
            lambda _: getattr(source, "last_unread", "") != "",
            "the line",
            meanwhile=lambda: line.write(b"no number here\n"),
        )
        source.close()
    assert getattr(source, "last_unread", "") == "no number here"


def recorded(path: Path, items: Sequence[Item], header: dict[str, str]) -> Path:
    recorder = Recorder(path, header, ["inlet_c"])
    recorder.open()
    for item in items:
        assert isinstance(item, Reading | Mark)
        recorder.append(item)
    recorder.close()
    return path


def test_a_recorded_roast_gives_back_what_the_probes_read(tmp_path: Path) -> None:
    calibrations = {"bean_c": BEAN, "inlet_c": INLET}
    whole = ReplaySource(FIXTURE, None)
    whole.open()
    roast = [item for item in whole.read(0.1) if isinstance(item, Reading | Mark)]
    assert len(roast) > 100
    raw: list[Item] = [
        Reading(item.time_s, item.bean_c, item.air_c, {"inlet_c": 250.0 + item.time_s / 8.0})
        if isinstance(item, Reading)
        else item
        for item in roast
    ]
    source = CalibratedSource(Given(raw), calibrations)
    header = calibration_facts(calibrations)
    assert header["calibration_bean_c"] == (
        "gain=1.018653 offset_c=-0.611 date=2026-03-02 person=Ines"
    )
    file = read_roast_file(recorded(tmp_path / "roast.csv", source.read(0.1), header))
    assert calibrations_of(file) == calibrations
    back = list(raw_items(file))
    assert len(back) == len(raw)
    for was, item in zip(raw, back, strict=True):
        if not isinstance(was, Reading):
            assert isinstance(item, Mark)
            continue
        assert isinstance(item, Reading)
        assert item.bean_c == (
            None if was.bean_c is None else pytest.approx(was.bean_c, abs=0.0011)
        )
        assert item.air_c == was.air_c
        assert item.extra["inlet_c"] == pytest.approx(was.extra["inlet_c"], abs=0.0011)
    corrected = [item for item in file.items() if isinstance(item, Reading)]
    assert corrected[0].bean_c != pytest.approx(getattr(raw[0], "bean_c", None), abs=0.5)


def test_a_roast_without_calibration_is_raw_already() -> None:
    file = read_roast_file(FIXTURE)
    assert list(raw_items(file)) == list(file.items())


@pytest.mark.parametrize("words", ["", "gain=2", "gain=0 offset_c=1 date=2026-03-02 person=x"])
def test_a_header_line_that_tells_no_correction_is_refused(words: str, tmp_path: Path) -> None:
    path = recorded(tmp_path / "roast.csv", [Reading(0.0, 20.0)], {"calibration_bean_c": words})
    with pytest.raises(RecordError, match=r"roast\.csv: the header line calibration_bean_c is"):
        list(raw_items(read_roast_file(path)))
